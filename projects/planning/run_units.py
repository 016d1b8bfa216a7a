"""The units of a run in the order of sewing: tucks and pleats, rows, lines, metres of an edge. Lengths nm."""

from collections.abc import Iterator
from dataclasses import dataclass

from projects.calc.order_of_work import stretches
from projects.calc.panels import PanelPlan, SidePlan
from projects.calc.ratio_work import Marks, RatioWork, Segment, stitch_places

from .edges import CORNERS, edges_of
from .sewn import EdgePlan

METRE = 1_000_000_000


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit. ``at`` is where it is drawn on the flat cloth: a tuck's fold, a row, a line, from the edge
    ``edges[0]``, border included, or a slanting line's mark from a corner; ``extent`` is how far it is from
    there to ``edges[1]``. ``take_up`` is what it swallows, ``depth`` what the guide is set to. Units of one
    ``row`` lie along one another; ``from_far`` ones are measured from the far side. ``origin`` is the number
    of the seam measures are taken from, where not from the edge. ``count`` of ``what`` are worked in it."""

    number: int
    at: int
    extent: int
    edges: tuple[str, str]
    letter: str = ""
    depth: int | None = None
    take_up: int = 0
    row: str = ""
    from_far: bool = False
    origin: int | None = None
    lies: str = ""
    caught: str = ""
    count: int = 0
    what: str = ""
    segment: Segment | None = None
    long: int | None = None
    """How long it is (a metre of an edge), where that is all there is to say."""

    @property
    def start(self) -> int:
        """Where the cloth it swallows begins, flat."""
        return self.at - self.take_up // 2

    @property
    def end(self) -> int:
        return self.start + self.take_up


def of_side(side: SidePlan) -> tuple[Unit, ...]:
    """Tucks or pleat folds of one direction."""
    axis = side.axis
    if axis is None:
        return ()
    marks, edges = list(side.marks()), edges_of(side)
    return tuple(
        Unit(
            number=marks[place].number, at=marks[place].fold, extent=side.marked, edges=edges,
            letter=marks[place].letter, depth=marks[place].depth, take_up=marks[place].take_up,
            row=side.name, from_far=stretch.from_far,
            origin=None if stretch.origin is None else axis.numbers[stretch.origin],
            lies=marks[place].pressing.value, caught=marks[place].caught,
        )
        for stretch in stretches(axis)
        for place in stretch.places
    )  # fmt: skip


def of_work(plan: PanelPlan, work: RatioWork, picks_up: bool) -> tuple[Unit, ...]:
    """Rows or lines of a panel worked by ratio; ``picks_up``: the dots, before the smocking."""
    if work.has_dots:
        return tuple(_dot_rows(plan, work, picks_up))
    return tuple(_lines(plan, work))


def _dot_rows(plan: PanelPlan, work: RatioWork, picks_up: bool) -> Iterator[Unit]:
    marks = work.grid_along or Marks(0, 0, 0)
    rows = marks.count - 1 if work.technique == "lattice" else marks.count
    stitches: dict[int, int] = {}
    if not picks_up:
        for row, *_ in stitch_places(work.technique, work.rows, work.columns):
            stitches[row] = stitches.get(row, 0) + 1
    for row in range(rows):
        count, what = (work.columns, "dot") if picks_up else (stitches.get(row, 0), "stitch")
        yield Unit(
            row + 1, marks.positions[row], work.length, edges_of(plan.along), row="across",
            count=count, what=what,
        )  # fmt: skip


def _lines(plan: PanelPlan, work: RatioWork) -> Iterator[Unit]:
    """Rows across from the top, then rows down from the side; quilted lines from the middle outwards."""
    segments = list(work.line_segments())
    downs = len(work.grid_across.positions) if work.grid_across else 0
    along = ("along", work.grid_along, work.length, edges_of(plan.along), segments[downs:])
    across = ("across", work.grid_across, work.width, edges_of(plan.across), segments[:downs])
    if work.slant:
        round_ = work.width + work.length - 4 * work.border
        along = ("along", work.grid_along, round_, (CORNERS["along"],) * 2, segments[downs:])
        across = ("across", work.grid_across, round_, (CORNERS["across"],) * 2, segments[:downs])
    quilted = work.technique in ("quilting", "trapunto")
    first = 1
    for name, marks, extent, edges, lines in (across, along) if quilted else (along, across):
        if marks is None:
            continue
        far = False
        for place, far in _outwards(marks.count) if quilted else ((i, False) for i in range(marks.count)):
            yield Unit(
                first + place, marks.positions[place], extent, edges, row=name, from_far=far,
                origin=first + marks.count // 2 if quilted else None,
                segment=lines[place] if work.slant else None,
            )  # fmt: skip
        first += marks.count


def _outwards(count: int) -> Iterator[tuple[int, bool]]:
    """Places from the middle to the far side, then from the middle back to the first."""
    middle = count // 2
    yield from ((place, False) for place in range(middle, count))
    yield from ((place, True) for place in range(middle - 1, -1, -1))


def of_edge(edge: EdgePlan) -> tuple[Unit, ...]:
    """Metres of an edge, once for each time it is finished; the last of each is what remains."""
    metres = max(1, -(-edge.length // METRE))
    return tuple(
        Unit(
            time * metres + number + 1, number * METRE, edge.length, ("beginning", "end"), row=f"{time + 1}",
            long=min(METRE, edge.length - number * METRE), count=time + 1, what="time",
        )
        for time in range(edge.times)
        for number in range(metres)
    )  # fmt: skip
