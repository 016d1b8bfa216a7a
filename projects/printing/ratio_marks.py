"""Marks of a panel worked by ratio: where the first dot or line lies, how far apart, how many, the last."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from projects.calc.lengths import NM_PER_MM, Rounding, System, about, half_up, rounded
from projects.calc.panels import PanelPlan
from projects.calc.ratio_work import Marks, RatioWork
from projects.calc.turning import mirrored
from projects.planning.edges import CORNERS
from projects.planning.plan import PanelLine, PiecePlan

from .marks import EDGE_NAMES, alike_panels

EVERY = 10
MOST_CONTROLS = 40
"""Of so many marks that tenths would fill the page, every twentieth, fiftieth ... is told."""
NAMES = {
    "gathers": ("", "row"),
    "shirring": ("", "row of elastic"),
    "english": ("dot", "row of dots"),
    "honeycomb": ("dot", "row of dots"),
    "lattice": ("line of the squares", "line of the squares"),
    "quilting": ("line of the first set", "line of the second set"),
    "trapunto": ("line", "line"),
}
"""What is marked across and what along."""


@dataclass(frozen=True, slots=True)
class GridTable:
    """The marks of one direction. `first` and `last` are read from the edges named beside them."""

    title: str
    name: str
    mark: str
    edge: str
    far: str
    count: int
    first: str
    step: str
    last: str
    controls: tuple[tuple[int, str], ...]
    note: str
    at_edge: bool = False
    """The marks run from edge to edge: the first and the last lie on them."""

    @property
    def marks(self) -> str:
        """The mark as said of several: "rows of dots"."""
        return plural(self.mark)

    @property
    def starts(self) -> str:
        """For instance "first 25.0 mm from the left edge", "first at the left edge itself"."""
        return f"at {self.edge} itself" if self.at_edge else f"{self.first} from {self.edge}"

    @property
    def ends(self) -> str:
        """Where the last mark lies, as a check."""
        if not self.far:
            return f"at {self.last}"
        return f"at {self.far} itself" if self.at_edge else f"{self.last} from {self.far}"

    @property
    def control_words(self) -> str:
        """For instance "10th 79 mm, 20th 139 mm"."""
        return ", ".join(f"{number}th {text}" for number, text in self.controls)


def plural(mark: str) -> str:
    """ "row of dots" -> "rows of dots"."""
    first, of, rest = mark.partition(" of ")
    return f"{first}s{of}{rest}"


def grid_tables_of(pieces: Iterable[PiecePlan], system: System) -> Iterator[GridTable]:
    """The tables of all panels worked by ratio; panels with the same numbers share one."""
    lines = [line for piece in pieces for line in piece.panels if not line.spare and line.plan.work]
    for members in alike_panels(lines):
        yield from grid_tables(members, members[0].plan, system)


def grid_tables_of_line(line: PanelLine, system: System) -> list[GridTable]:
    """The tables of one panel; empty where nothing is worked by ratio."""
    return list(grid_tables([line], line.plan, system))


def grid_tables(lines: list[PanelLine], plan: PanelPlan, system: System) -> Iterator[GridTable]:
    """Both directions of one panel, or of panels that are alike; `lines` only name them."""
    plan = mirrored(plan) if plan.mirrored else plan
    work = plan.work
    if work is None:
        return
    names = ", ".join(line.name for line in lines)
    across, along = NAMES[work.technique]
    for name, mark, marks, extent in (
        ("across", across, work.grid_across, work.width),
        ("along", along, work.grid_along, work.length),
    ):
        if marks is not None and marks.count:
            yield _table(names, name, mark, marks, extent, work, system)


def _table(
    names: str, name: str, mark: str, marks: Marks, extent: int, work: RatioWork, system: System
) -> GridTable:
    edge, far = EDGE_NAMES[name]
    slanted = work.slant and not work.has_dots
    lead = f"{names}: " if names else ""
    title = f"{lead}{plural(mark)}{'' if slanted else f' {name}'}"
    return GridTable(
        title=title[:1].upper() + title[1:],
        name=name,
        mark=mark,
        edge=f"the {CORNERS[name]}" if slanted else f"the {edge} edge",
        far="" if slanted else f"the {far} edge",
        count=marks.count,
        first=_mark(marks.first, system),
        step=_apart(marks.step, slanted, system) if marks.count > 1 else "",
        last=_mark(marks.last if slanted else extent - marks.last, system),
        controls=tuple(_controls(marks, system)),
        note=_note(work, name),
        at_edge=marks.first == 0 and not slanted,
    )


def _apart(step: int, slanted: bool, system: System) -> str:
    """How far apart marks lie. Slanted lines lie root 2 as far apart at the edge: whole mm or sixteenths, for
    nobody marks closer by eye; the marks to check by hold them in place."""
    if not slanted:
        return about(step, system)
    if system is System.METRIC:
        return f"about {half_up(step, NM_PER_MM)} mm"
    return f"about {rounded(step, Rounding.PANEL, system)}"


def _note(work: RatioWork, name: str) -> str:
    if work.slant and not work.has_dots:
        lean = "left" if name == "across" else "right"
        return f"Every line runs down to the {lean} at 45 degrees from its mark."
    if work.has_dots:
        return f"Mark on the {'right' if work.technique == 'honeycomb' else 'wrong'} side."
    return ""


def _controls(marks: Marks, system: System) -> Iterator[tuple[int, str]]:
    """Every tenth mark from the first edge, so that no error of a step adds up."""
    positions, every = marks.positions, EVERY
    while marks.count // every > MOST_CONTROLS:
        every *= 2
    for number in range(every, marks.count + 1, every):
        yield number, _mark(positions[number - 1], system)


def _mark(nm: int, system: System) -> str:
    return rounded(nm, Rounding.MARK, system)
