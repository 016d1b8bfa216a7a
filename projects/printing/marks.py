"""Mark tables of a sheet: one row a repeat, and what must be known before the first seam."""

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import accumulate, groupby

from projects.calc.axis import Axis
from projects.calc.lengths import Rounding, System, rounded, rounded_number
from projects.calc.marks import MarkRow, begin_at, cross_from
from projects.calc.order_of_work import in_pairs, middle_of, wish_unfollowed
from projects.calc.panels import PanelPlan
from projects.calc.side import SidePlan
from projects.calc.turning import mirrored
from projects.planning.plan import PanelLine, PiecePlan

COLUMNS = 4
"""Tucks on one line of paper."""
UNIT_WORDS = {System.METRIC: "millimetres", System.INCH: "inches"}
ASKED = {
    "centre": "Asked for from the centre outwards: not while they overlap.",
    "alternate": "Asked for every other one first: not while they overlap.",
}
EDGE_NAMES = {"across": ("left", "right"), "along": ("top", "bottom")}


@dataclass(frozen=True, slots=True)
class MarkCell:
    """One tuck of a table: its number, letter, fold and both stitch lines as text, from the edge named."""

    number: int
    letter: str
    before: str
    fold: str
    after: str
    caught: bool

    @property
    def line(self) -> str:
        """The cell on one line of print, a star where the tuck is caught."""
        star = "*" if self.caught else ""
        return f"{self.number}{self.letter}{star}  {self.before} – {self.fold} – {self.after}"


@dataclass(frozen=True, slots=True)
class MarkTableRow:
    label: str
    cells: tuple[MarkCell | None, ...]


@dataclass(frozen=True, slots=True)
class MarkTable:
    """One direction of one panel, or of a pair whose marks are the same from opposite edges."""

    title: str
    edges: str
    unit: str
    columns: int
    by_repeat: bool
    """One row a repeat; else as many as fit."""
    rows: tuple[MarkTableRow, ...]
    count: int
    last: str
    begin: str
    flaps: str
    order: str
    caught: str


def mark_tables(pieces: Iterable[PiecePlan], system: System) -> Iterator[MarkTable]:
    """The tables of all panels; panels with the same numbers share one.

    A RIGHT is the mirror image of its LEFT, so its marks read the same from the opposite edge: it is turned
    back to be compared, and the table says from which edge each is measured.
    """
    for lines in alike_panels([line for piece in pieces for line in piece.panels if not line.spare]):
        plan = _unmirrored(lines[0])
        for side in plan.sides:
            if side.count:
                yield _table(lines, plan, side, system)


def _unmirrored(line: PanelLine) -> PanelPlan:
    return mirrored(line.plan) if line.hand == "right" else line.plan


def alike_panels(lines: list[PanelLine]) -> list[list[PanelLine]]:
    """Panels grouped by equal numbers, in their own order."""
    groups: list[tuple[PanelPlan, list[PanelLine]]] = []
    for line in lines:
        plan = _unmirrored(line)
        found = next((members for known, members in groups if known == plan), None)
        found.append(line) if found is not None else groups.append((plan, [line]))
    return [members for _, members in groups]


def _table(lines: list[PanelLine], plan: PanelPlan, side: SidePlan, system: System) -> MarkTable:
    axis = side.axis
    assert axis is not None
    return MarkTable(
        title=f"{_names(lines)}: {_kind(side)} {side.name}",
        edges=_edges(lines, side.name),
        unit=UNIT_WORDS[system],
        columns=COLUMNS,
        by_repeat=bool(side.direction and len(side.direction.tucks) > 1),
        rows=tuple(_rows(side, system)),
        count=side.count,
        last=_mark(side.last_mark_from_far_edge or 0, system),
        begin=_begin(axis, side.name),
        flaps=_flaps(plan, side),
        order=_order(plan, side),
        caught=_caught(side),
    )


def _kind(side: SidePlan) -> str:
    return "pleats" if side.direction and side.direction.is_pleats else "tucks"


def _caught(side: SidePlan) -> str:
    """Which tucks an edge, seam or opening catches, told together by reason."""
    reasons: dict[str, list[str]] = {}
    for row in side.marks():
        if row.caught:
            reasons.setdefault(row.caught, []).append(str(row.number))
    return "; ".join(f"{', '.join(numbers)}: {reason}" for reason, numbers in reasons.items())


def _names(lines: list[PanelLine]) -> str:
    names = [line.name for line in lines]
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))


def _edges(lines: list[PanelLine], name: str) -> str:
    first, far = EDGE_NAMES[name]
    hands = {line.hand for line in lines}
    if name == "along" or hands <= {"", "left"}:
        return f"from the {first} edge, face up"
    if hands == {"right"}:
        return f"from the {far} edge, face up"
    return f"LEFT from the {first} edge, RIGHT from the {far} edge, both face up"


def _rows(side: SidePlan, system: System) -> Iterator[MarkTableRow]:
    """One row a repeat, wrapped where a repeat has more tucks than fit.

    Pleats, and tucks that are all alike, go several to a row.
    """
    per_repeat = len(side.direction.tucks) if side.direction else 0
    alike = per_repeat < 2
    width = COLUMNS if alike else per_repeat
    offset = 0 if alike else _first_place(side)
    for turn, rows in groupby(side.marks(), key=lambda row: (row.number - 1 + offset) // width):
        cells: list[MarkCell | None] = [None] * width
        for row in rows:
            cells[(row.number - 1 + offset) % width] = _cell(row, system)
        for start in range(0, width, COLUMNS):
            part = tuple(cells[start : start + COLUMNS])
            if any(part):
                yield MarkTableRow(_label(part, turn + 1, alike, start > 0), part)


def _label(cells: tuple[MarkCell | None, ...], turn: int, alike: bool, goes_on: bool) -> str:
    """A row's name: its repeat, or the numbers in it where all are alike."""
    if alike:
        numbers = [cell.number for cell in cells if cell]
        return f"{numbers[0]} to {numbers[-1]}"
    return f"{turn}, on" if goes_on else str(turn)


def _first_place(side: SidePlan) -> int:
    """Which tuck of the repeat comes first on this panel: those before it lie before the first edge."""
    axis, direction = side.axis, side.direction
    if axis is None or direction is None or not axis.repeat:
        return 0
    seams = list(accumulate(tuck.space for tuck in direction.tucks))
    share = sum(tuck.space for tuck in direction.tucks)
    return bisect_right(seams, axis.phase * share // axis.repeat) % len(seams)


def _cell(row: MarkRow, system: System) -> MarkCell:
    return MarkCell(
        number=row.number,
        letter=row.letter,
        before=_bare(row.stitch_before, system),
        fold=_bare(row.fold, system),
        after=_bare(row.stitch_after, system),
        caught=bool(row.caught),
    )


def _mark(nm: int, system: System) -> str:
    return rounded(nm, Rounding.MARK, system)


def _bare(nm: int, system: System) -> str:
    return rounded_number(nm, Rounding.MARK, system)


def _begin(axis: Axis, name: str) -> str:
    first, far = EDGE_NAMES[name]
    if name == "across":
        first, far = "edge measured from", "far edge"
    words = {
        "first": f"Begin at the {first}.",
        "far": f"The tucks overlap: begin at the {far}, last number first, and press each before the next.",
        "both": "The tucks overlap: begin at both edges, work to the middle, press each before the next.",
        "centre": "The tucks overlap: begin in the middle, work outwards, press each before the next.",
        "middle": f"Begin in the middle, work to the {far}; then from the middle to the {first}.",
        "alternate": f"Begin at the {first}: every other one, then those between, from the {first} again.",
    }
    begin = begin_at(axis)
    if begin == "alternate" and in_pairs(axis):
        words[begin] = f"Begin at the {first}: every other pleat, both its folds, then those between."
    number = f" The first is number {axis.numbers[middle_of(axis)]}." if begin == "middle" else ""
    asked = f" {ASKED[axis.order]}" if wish_unfollowed(axis) else ""
    return f"{words[begin]}{number}{asked}"


def _flaps(plan: PanelPlan, side: SidePlan) -> str:
    """How the flaps lie, and from which end seams that cross them start."""
    axis = side.axis
    assert axis is not None
    lies = " ".join(_pressed(axis))
    crossing = _both(plan) and plan.sides[0].name == side.name
    return f"{lies} {_cross(axis)}" if crossing else lies


def _pressed(axis: Axis) -> Iterator[str]:
    words = {
        "on": "away from the edge measured from",
        "back": "towards the edge measured from",
        "opened": "flattened over the seam",
        "corded": "left standing, never pressed over",
    }
    runs = [(pressing, len(list(group))) for pressing, group in groupby(axis.pressings)]
    if len(runs) == 1:
        yield f"Flaps: {words[runs[0][0]]}."
        return
    if len(runs) > 2 and all(count == 1 for _, count in runs):
        yield f"Flaps in pairs: odd numbers {words[runs[0][0]]}, even numbers {words[runs[1][0]]}."
        return
    number = 1
    for pressing, count in runs:
        yield f"Numbers {number} to {number + count - 1}: {words[pressing]}."
        number += count


def _cross(axis: Axis) -> str:
    ends = {
        "first": "Sew the second direction from the edge measured from, so the foot runs off the folds.",
        "far": "Sew the second direction from the far edge, so the foot runs off the folds.",
        "both": "Sew the second direction from each edge to the middle, so the foot runs off the folds.",
        "centre": "Sew the second direction from the middle outwards, so the foot runs off the folds.",
    }
    return ends.get(cross_from(axis), "")


def _both(plan: PanelPlan) -> bool:
    return bool(plan.across.count and plan.along.count)


def _order(plan: PanelPlan, side: SidePlan) -> str:
    if not _both(plan):
        return ""
    if plan.sides[0].name == side.name:
        return "Sewn first."
    before = plan.sides[0].name
    return f"Sewn second: mark on the cloth as it lies once the tucks {before} are sewn and pressed."
