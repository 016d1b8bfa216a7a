"""What the bias strips of a project are cut from, among the panels of each fabric's lay."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from projects.calc.binding import BindingError
from projects.calc.blanks import Blank
from projects.calc.lay import LayError, LayPanel, LayRequest
from projects.calc.lay.bias import Wanted
from projects.calc.lay.strips import joined, panels_of, piece_name, strips_laid
from projects.calc.lengths import Rounding, System, rounded
from projects.models import KeptLay, LayDraft

from .lay_json import read_kept
from .lay_request import Table, own_panels, question
from .quick_lays import quick_lay
from .sewn import Binding


def strip_panels(binding: Binding, system: System) -> tuple[LayPanel, ...]:
    """What strips are cut from, as it lies on the cloth."""
    name = blank_name(binding, system)
    if binding.on_the_bias:
        return panels_of(name, binding.blanks) if binding.blanks else ()
    return tuple(LayPanel(name, blank.width, blank.length) for blank in binding.blanks)


def blank_name(binding: Binding, system: System) -> str:
    width = rounded(binding.strip_width, Rounding.MARK, system)
    return f"{'Bias blank' if binding.on_the_bias else 'Blank'} for {width} strips"


def where_cut(
    bindings: Sequence[Binding], table: Table, kept: KeptLay | None, draft: LayDraft | None, least: int
) -> tuple[Binding, ...]:
    """The bindings of a fabric with what the lay shown cuts them from, whichever takes less cloth: a blank,
    or several pieces of what the panels leave.

    What an accepted lay has stays while it gives enough, of strips at least ``least`` long (nm), even where
    the lay itself no longer serves: it may be cut by then. A draft
    chooses for what it is asked, except that pins and other projects change nothing; else all panels count,
    cut ones too, so that nothing changes as they are cut. ``table`` has no parts of bias strips.
    """
    found: dict[str, Binding] = {}
    if kept is not None and any(b.on_the_bias for b in bindings):
        found = {b.key: b for b in _as_kept(bindings, kept, table, least)}
    to_choose = [b for b in bindings if b.on_the_bias and b.blanks and b.key not in found]
    if to_choose:
        found |= {b.key: b for b in _chosen(to_choose, _request(table, draft), table.system)}
    return tuple(found.get(b.key, b) for b in bindings)


def _as_kept(bindings: Iterable[Binding], kept: KeptLay, table: Table, least: int) -> Iterable[Binding]:
    """Those whose strips an accepted lay has cloth for."""
    read = read_kept(kept.inputs, kept.result)
    panels = own_panels(read.request.panels, table.number, bool(read.projects))
    for binding in bindings:
        if binding.on_the_bias and (rows := _rows(blank_name(binding, table.system), panels)):
            for asked in (binding.asked, replace(binding.asked, least=least)):
                blanks = tuple(Blank(p.width, p.length, asked.cut(p.width, p.length)) for p in rows)
                if (gives := joined(asked, blanks)) >= binding.need:
                    yield replace(binding, asked=asked, blanks=blanks, gives=gives, problem="")
                    break


def _rows(name: str, panels: dict[str, LayPanel]) -> list[LayPanel]:
    """The blank of this name, or its pieces in order."""
    if name in panels:
        return [panels[name]]
    found: list[LayPanel] = []
    while (piece := piece_name(name, len(found) + 1)) in panels:
        found.append(panels[piece])
    return found


def _request(table: Table, draft: LayDraft | None) -> LayRequest:
    return replace(question(draft, table).request, pins=()) if draft is not None else table.request


def _chosen(bindings: Sequence[Binding], request: LayRequest, system: System) -> Iterable[Binding]:
    """Where nothing can be laid, each keeps its blank: the lay itself says what is wrong."""
    wanted = tuple(Wanted(blank_name(b, system), b.asked) for b in bindings)
    try:
        laid = strips_laid(request, wanted, quick_lay)
    except (BindingError, LayError):
        return bindings
    return [
        replace(binding, blanks=blanks, gives=joined(binding.asked, blanks))
        for binding, blanks in zip(bindings, laid, strict=True)
    ]
