"""Cutting what lies under quilted pieces: as parts of a lay, as steps, and what of it is cut already.

A tick says how many layers of which size it cut: its key names them, so that panels which are added or grow
later still get theirs. Lengths nm.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from projects.calc.lay import LayPanel
from projects.calc.under import JOIN, widths
from projects.models import Fabric

from . import cautions
from .cloth import Washing
from .drafts import Draft
from .fabric_plan import LayPart
from .load import Rows
from .plan import Measure, PiecePlan
from .touched import OVER, states_of, under_key
from .under import Layer, layers_in

UNDER_AT = 900.0
"""Cut after everything is washed or pressed, before the panels."""
NAMED = 6
"""So many panels a step names."""
_KEY = re.compile(r"f([0-9]+):under:([a-z]+):([0-9]+)x([0-9]+)x([0-9]+)-([0-9]+)")

Size = tuple[str, int, int]
"""What a layer is, and how wide and long its panel is cut."""


class Cut(NamedTuple):
    """Layers of one size that one step cuts: from the ``first`` of that size to the ``last``."""

    key: str
    size: Size
    first: int
    last: int
    done: bool = False

    def serves(self, size: Size, *, larger: bool) -> bool:
        """Whether what it cut is of this size, or with ``larger`` at least as large."""
        if not larger:
            return size == self.size
        return size[0] == self.size[0] and size[1] <= self.size[1] and size[2] <= self.size[2]


def size_of(layer: Layer) -> Size:
    role, line, _ = layer
    return role, line.plan.cut_width, line.plan.cut_length


def cuts_of(fabric: Fabric, layers: Sequence[Layer], states: dict[str, str]) -> list[Cut]:
    """What cuts each layer of a fabric, in their order: a step that is over, as far as what it cut goes, else
    the step that cuts those of its size that are still to be cut."""
    over = _over(fabric, states) if layers else []
    left = {cut.key: cut.last - cut.first + 1 for cut in over}
    found: dict[int, Cut] = {}
    # Those of its own size first: a smaller panel must not take what a larger one needs.
    for larger in (False, True):
        for at, layer in enumerate(layers):
            fit = (cut for cut in over if left[cut.key] and cut.serves(size_of(layer), larger=larger))
            if at not in found and (cut := next(fit, None)) is not None:
                found[at] = cut
                left[cut.key] -= 1
    found |= _still_to_cut(fabric, {at: row for at, row in enumerate(layers) if at not in found}, over)
    return [found[at] for at in range(len(layers))]


def _over(fabric: Fabric, states: dict[str, str]) -> list[Cut]:
    """What steps that are done or skipped cut of a fabric, the smallest first."""
    found = []
    for key, state in states.items():
        if state in OVER and (read := _KEY.fullmatch(key)) and int(read[1]) == fabric.pk:
            width, length, first, last = (int(text) for text in read.groups()[2:])
            if first <= last:  # a file may say otherwise
                found.append(Cut(key, (read[2], width, length), first, last, done=True))
    return sorted(found, key=lambda cut: (cut.size[1] * cut.size[2], cut.size, cut.first))


def _still_to_cut(fabric: Fabric, layers: dict[int, Layer], over: list[Cut]) -> dict[int, Cut]:
    """One step for all layers of one size that may lie alike, with numbers that no step over has."""
    alike: dict[tuple[Size, bool], list[int]] = {}
    for at, layer in layers.items():
        alike.setdefault((size_of(layer), layer[2]), []).append(at)
    known, found = list(over), {}
    for (size, _), places in alike.items():
        same = sorted((cut.first, cut.last) for cut in known if cut.size == size)
        first = 1
        for begin, end in same:
            if first + len(places) > begin:
                first = max(first, end + 1)
        last = first + len(places) - 1
        cut = Cut(under_key(fabric.pk, *size, first, last), size, first, last)
        known.append(cut)
        found |= dict.fromkeys(places, cut)
    return found


def widths_of(size: Size, fabric: Fabric, washing: Washing, *, may_turn: bool) -> tuple[int, ...]:
    """The widths one layer is cut in: one, or several that are joined where the cloth is narrower."""
    role, width, length = size
    turned = length if may_turn and not fabric.one_way else None
    return widths(role, width, washing.worked_width(fabric.width), turned=turned)


def under_parts(
    fabric: Fabric, layers: Sequence[Layer], washing: Washing, states: dict[str, str]
) -> tuple[LayPart, ...]:
    """What is cut of a fabric to lie under panels, each as large as its panel."""
    found = []
    for layer, cut in zip(layers, cuts_of(fabric, layers, states), strict=True):
        role, line, may_turn = layer
        name = f"{role.capitalize()} of {line.name}"
        parts = widths_of(size_of(layer), fabric, washing, may_turn=may_turn)
        for number, width in enumerate(parts, 1):
            of = f"{name}, width {number}" if len(parts) > 1 else name
            panel = LayPanel(of, width, line.plan.cut_length, 1, may_turn)
            found.append(LayPart(panel, of, None, cut.done, cut.key))
    return tuple(found)


def under_steps(pieces: tuple[PiecePlan, ...], fabrics: Iterable[Fabric], rows: Rows) -> Iterator[Draft]:
    """Cut what lies under the panels, fabric by fabric and size by size."""
    turns = {piece.pk: piece.may_turn for piece in rows.pieces}
    states = states_of(rows)
    for number, fabric in enumerate(fabrics):
        layers = list(layers_in(fabric.pk, pieces, turns))
        by_step: dict[Cut, list[Layer]] = {}
        for layer, cut in zip(layers, cuts_of(fabric, layers, states), strict=True):
            by_step.setdefault(cut, []).append(layer)
        for place, (cut, group) in enumerate(by_step.items()):
            alone = len([other for other in by_step if other.size[0] == cut.size[0]]) == 1
            washing, may_turn = Washing.of(fabric, rows.project), group[0][2]
            parts = widths_of(cut.size, fabric, washing, may_turn=may_turn)
            yield _step(cut, fabric, group, parts, UNDER_AT + number + place / 1000, alone=alone)


def _step(
    cut: Cut, fabric: Fabric, layers: list[Layer], parts: tuple[int, ...], place: float, *, alone: bool
) -> Draft:
    role, width, length = cut.size
    of = "" if alone else f" of {_names(layers, 1)}"
    joins, sewn = len(parts) - 1, JOIN[role]
    across = [("across", width)] if not joins else [(f"width {n}", w) for n, w in enumerate(parts, 1)]
    measures = [Measure(label, nm, "panel") for label, nm in (*across, ("along the grain", length))]
    if joins and sewn:
        measures.append(Measure("join allowance, each side", sewn))
    work = [("panels", len(layers)), *([("width_joins", joins * len(layers))] if joins and sewn else [])]
    return Draft(
        cut.key, "cut", place,
        f"{'Cut and join' if joins and sewn else 'Cut'} the {role}{of} from {fabric.name}",
        _how(layers, joins, sewn=bool(sewn)), measures=tuple(measures),
        cautions=cautions.cutting(fabric), work=tuple(work),
    )  # fmt: skip


def _how(layers: list[Layer], joins: int, *, sewn: bool) -> str:
    many = f"{len(layers)} pieces, each as large as its panel" if len(layers) > 1 else "As large as its panel"
    found = f"{many} before it is worked: {_names(layers, NAMED)}."
    if not joins:
        return found
    how = "sewn together and pressed open" if sewn else "butted: edge to edge, not one over the other"
    one = "each" if len(layers) > 1 else "it"
    return f"{found} Its cloth is narrower, so {one} is {joins + 1} widths, {how}."


def _names(layers: list[Layer], most: int) -> str:
    """The panels that layers lie under, so many of them by name."""
    more = f" and {len(layers) - most} more" if len(layers) > most else ""
    return f"{'; '.join(line.name for _, line, _ in layers[:most])}{more}"
