"""How the panels of one fabric lie on its cloth: an accepted lay, the best of a draft, or a quick one."""

from dataclasses import dataclass, replace

from projects.calc.lay import Lay, LayError, LayPanel, LayRequest
from projects.models import ClothLength, KeptLay, LayDraft

from .fabric_plan import LayOn
from .lay_json import Kept, lay_from_json, read_kept, request_from_json
from .lay_request import LayAsked, Table, joint_name, own_panels, question
from .quick_lays import quick_lay

OF_PANELS = ("panels", "pins", "pairs")
"""What of a question is told panel by panel, each with its name."""
ACCEPTED, IMPROVED, QUICK = "accepted", "improved", "quick"
Band = tuple[int, int]


@dataclass(frozen=True, slots=True)
class LaidPart:
    """One cloth of a lay. ``bands`` are the stretches of it that are still to be cut off straight across, as
    (length, width) in nm; ``row`` the length it is, None for cloth to buy; ``free`` what of it the project
    may use now (nm as worked), whatever there was when it was laid; ``off`` what the lay took off it already
    (nm as on the shelf) while panels are still to be cut from that."""

    on: LayOn
    bands: tuple[Band, ...]
    row: ClothLength | None
    free: int = 0
    off: int = 0


@dataclass(frozen=True, slots=True)
class LaidOut:
    """The lay to show and the cloth still to cut. ``whole`` is what all panels take, cut ones too (nm); 0
    where they can't be laid. ``settled``: which cloth each panel is cut from is part of the lay; else
    whatever lies on the shelf may serve. ``carried_by`` is the number of the project that takes the cloth."""

    lay: Lay | None
    parts: tuple[LaidPart, ...] = ()
    state: str = QUICK
    changed: bool = False
    problem: str = ""
    whole: int = 0
    laid_for: LayRequest | None = None
    settled: bool = False
    laid_with: tuple[int, ...] = ()
    carried_by: int | None = None
    counted: "LaidOut | None" = None
    """What cloth is counted by instead, where the lay shown is not the project's alone."""

    @property
    def bands(self) -> tuple[Band, ...]:
        return tuple(band for part in self.parts for band in part.bands)


def lay_out(table: Table, kept: KeptLay | None, draft: LayDraft | None) -> LaidOut:
    """The lay of a fabric: as accepted while the plan has not changed since, else the best a draft has for
    what it asks now, else a quick one.

    An accepted lay shows all panels, cut ones too; another only what is still to cut. A draft of several
    projects is not settled: until it is accepted each project's plan shows its own panels alone.
    """
    if kept is not None and (read := fitting(kept, table)):
        return _accepted(kept, read, table)
    found = _of_draft(draft, table) if draft is not None else _quick(to_cut(table))
    return replace(found, changed=kept is not None, whole=_whole(found, table))


def _whole(found: LaidOut, table: Table) -> int:
    """What all panels take. Where some are cut, as all would lie on new cloth."""
    all_of_it = _quick(table.request) if any(part.cut for part in table.parts) else found.counted or found
    return sum(part.on.used for part in all_of_it.parts)


def to_cut(table: Table) -> LayRequest:
    """The parts still to cut, on new cloth of the fabric's own width."""
    return replace(table.request, panels=tuple(part.panel for part in table.parts if not part.cut))


def fitting(kept: KeptLay, table: Table) -> Kept | None:
    """An accepted lay read back, None where the plan has changed since."""
    read = read_kept(kept.inputs, kept.result)
    own = own_panels(read.request.panels, table.number, bool(read.projects))
    mine = {part.panel.name: part.panel for part in table.parts}
    # What was cut before the lay was accepted need not be in it.
    cut = {part.panel.name for part in table.parts if part.cut}
    same = all(mine.get(name) == panel for name, panel in own.items()) and mine.keys() - own.keys() <= cut
    same = same and read.request.one_way == table.fabric.one_way
    return read if same and wide_enough(kept, read, table) else None


def wide_enough(kept: KeptLay, read: Kept, table: Table) -> bool:
    """Whether each cloth of the lay is still as wide as it was laid on, or wider; cloth to buy as wide."""
    fabric, washing, widths = table.fabric, table.washing, {x.name: x.width for x in read.request.lengths}
    if read.lay.length:
        if kept.cloth is not None:
            if washing.width_of(kept.cloth, fabric) < read.request.width:
                return False
        elif read.own_width and washing.worked_width(fabric.width) != read.request.width:
            return False
    return all(washing.width_of(x.cloth, fabric) >= widths.get(str(x.place), 0) for x in kept.lengths.all())


def _accepted(kept: KeptLay, read: Kept, table: Table) -> LaidOut:
    lay, request = read.lay, read.request
    joint = bool(read.projects)
    cut = {part.panel.name for part in table.parts if part.cut}
    cut = {joint_name(table.number, name) for name in cut} if joint else cut
    off: dict[int, int] = {}
    for row in kept.cuts.all():
        if row.entry is not None:
            off[row.entry.cloth_id] = off.get(row.entry.cloth_id, 0) - row.entry.amount
    rows: dict[str, ClothLength | None] = {str(x.place): x.cloth for x in kept.lengths.all()}
    parts = tuple(
        _accepted_part(on, rows.get(on.name, kept.cloth if not on.name else None), lay, cut, off, table)
        for on in clothes_of(lay, request)
    )
    mine = kept.project_id == table.project_id
    return LaidOut(
        lay,
        parts if mine else tuple(replace(part, bands=()) for part in parts),
        state=ACCEPTED,
        whole=sum(part.on.used for part in parts) if mine else 0,
        laid_for=replace(request, panels=_laid(request, lay)),
        settled=not mine or bool(request.lengths) or kept.cloth is not None,
        laid_with=tuple(n for n in read.projects if n != table.number),
        carried_by=None if mine else read.projects[0],
    )


def _laid(request: LayRequest, lay: Lay) -> tuple[LayPanel, ...]:
    """The panels that lie in the lay: it was asked with those that were cut before, too."""
    names = {placed.name for placed in lay.placements}
    return tuple(panel for panel in request.panels if panel.name in names)


def _accepted_part(
    on: LayOn, row: ClothLength | None, lay: Lay, cut: set[str], off: dict[int, int], table: Table
) -> LaidPart:
    gone = off.get(row.pk, 0) if row is not None else 0
    to_cut = [c for c in across(lay, on.name) if c.names - cut]
    left = [c for c in to_cut if gone < _as_bought(c.end, row, table)]
    found = _part(on, row, tuple((cloth.end - cloth.start, cloth.width) for cloth in left), table)
    if row is None:
        return found
    # What there was when it was laid: the part that is cut off since is not among what is free.
    roll = max(on.used, table.washing.length_of(row, _free(row, table) + gone))
    there = on.there if on.name else roll
    return replace(found, on=replace(found.on, there=there), off=gone if to_cut else 0)


def _part(on: LayOn, row: ClothLength | None, bands: tuple[Band, ...], table: Table) -> LaidPart:
    if row is None:
        return LaidPart(on, bands, None)
    free = table.washing.length_of(row, _free(row, table))
    return LaidPart(replace(on, cloth_id=row.pk, label=row.label, there=free), bands, row, free)


def _free(row: ClothLength, table: Table) -> int:
    return next((s.free for s in table.stock if s.length.pk == row.pk), 0)


def _as_bought(worked: int, row: ClothLength | None, table: Table) -> int:
    return worked if row is None or row.washed else table.washing.to_buy(worked)


def clothes_of(lay: Lay, request: LayRequest) -> tuple[LayOn, ...]:
    """Each cloth a lay takes, as its question knows it; the roll last."""
    used = {u.name: u.length for u in lay.used}
    stash = [x for x in request.lengths if x.name in used]
    found = [LayOn(x.name, None, "", x.width, used[x.name], x.length) for x in stash]
    roll = [LayOn("", None, "", request.width, lay.length, lay.length)] if lay.length else []
    return (*found, *roll)


def _of_draft(draft: LayDraft, table: Table) -> LaidOut:
    """The best of a draft where it was found for what is asked now, else a quick lay of its own panels."""
    projects = tuple(sorted(row.number for row in draft.others.all()))
    if projects and (joint := _joint_draft(draft, (table.number, *projects), table)):
        return joint
    asked = question(draft, table)
    if not asked.request.panels:
        return LaidOut(None)
    if draft.result is not None and draft.inputs == asked.inputs:
        return _as_found(lay_from_json(draft.result), IMPROVED, asked, table)
    try:
        return _as_found(quick_lay(asked.request), QUICK, asked, table)
    except LayError as error:
        return LaidOut(None, problem=str(error))


def _joint_draft(draft: LayDraft, projects: tuple[int, ...], table: Table) -> LaidOut | None:
    """The best of a draft of several projects, while its own part and all else it asks is as it was. Until it
    is accepted, each of the projects counts its own panels alone."""
    asked = question(draft, table, projects=projects)
    if draft.result is None or not asked.request.panels:
        return None
    start, found = joint_name(table.number, ""), draft.inputs
    own = {key: [row for row in found.get(key, []) if row["name"].startswith(start)] for key in OF_PANELS}
    if {**found, **own} != asked.inputs:
        return None
    whole = replace(asked, request=request_from_json(found))
    shown = _as_found(lay_from_json(draft.result), IMPROVED, whole, table)
    return replace(shown, laid_with=projects[1:], counted=_quick(to_cut(table)))


def _as_found(lay: Lay, state: str, asked: LayAsked, table: Table) -> LaidOut:
    request = asked.request
    rows = {str(n): stock.length for n, stock in enumerate(asked.lengths, 1)}
    clothes = clothes_of(lay, request)
    parts = tuple(_part(on, rows.get(on.name), bands_of(lay, on.name), table) for on in clothes)
    return LaidOut(lay, parts, state=state, laid_for=request, settled=True)


def _quick(request: LayRequest) -> LaidOut:
    if not request.panels:
        return LaidOut(None)
    try:
        lay = quick_lay(request)
    except LayError as error:
        return LaidOut(None, problem=str(error))
    on = LayOn("", None, "", request.width, lay.length, lay.length)
    return LaidOut(lay, (LaidPart(on, bands_of(lay), None),), laid_for=request)


@dataclass(frozen=True, slots=True)
class Cloth:
    """Cloth between two straight cuts across the whole width: ``start`` and ``end`` along it, how much of the
    width is used (nm), and the names of the panels on it."""

    start: int
    end: int
    width: int
    names: frozenset[str]


def across(lay: Lay, on: str = "") -> tuple[Cloth, ...]:
    """One cloth of a lay (``on``: its name, "" the roll) between the straight cuts across it, in order.
    Together they are what the lay takes of it."""
    total = lay.length if not on else next((u.length for u in lay.used if u.name == on), 0)
    found: list[Cloth] = []
    start = end = wide = 0
    names: set[str] = set()
    for placed in sorted((p for p in lay.placements if p.on == on), key=lambda p: p.y):
        if names and placed.y >= end:
            found.append(Cloth(start, placed.y, wide, frozenset(names)))
            start, wide, names = placed.y, 0, set()
        end = max(end, placed.y + placed.length)
        wide = max(wide, placed.x + placed.width)
        names.add(placed.name)
    return (*found, Cloth(start, total, wide, frozenset(names))) if names else ()


def bands_of(lay: Lay, on: str = "") -> tuple[Band, ...]:
    """Stretches between straight cuts across the whole of one cloth, as (length, width used), in order."""
    return tuple((cloth.end - cloth.start, cloth.width) for cloth in across(lay, on))
