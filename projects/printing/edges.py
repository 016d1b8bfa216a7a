"""Edges, strips and thread on the job sheet, as texts ready to read."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.safestring import SafeString

from projects.calc.lengths import Rounding, System, rounded
from projects.calc.thread import said
from projects.drawings.bias import DrawnBlank, blanks_of
from projects.planning.plan import Binding, EdgePlan, Plan, ThreadPlan
from projects.planning.thread_plan import covers


@dataclass(frozen=True, slots=True)
class EdgeRow:
    """One edge: which, how it is finished, how long and how often, and its strip."""

    name: str
    finish: str
    length: str
    times: int
    strip: str


@dataclass(frozen=True, slots=True)
class BlankPart:
    """One rectangle to cut strips from, drawn, with the length of each strip by its number."""

    drawing: SafeString
    lengths: str


@dataclass(frozen=True, slots=True)
class StripPart:
    """Strips of one width, and what they are cut from: none where they can't be cut."""

    title: str
    text: str
    blanks: tuple[BlankPart, ...]
    cut: bool


@dataclass(frozen=True, slots=True)
class EdgePart:
    """What the sheet says of edges; all empty where a project has none."""

    edges: tuple[EdgeRow, ...]
    strips: tuple[StripPart, ...]
    thread: str


def edge_part(plan: Plan, system: System) -> EdgePart:
    return EdgePart(
        tuple(_row(edge, system) for piece in plan.pieces for edge in piece.edges),
        tuple(_strips(plan, system)),
        thread_text(plan.thread, system) if plan.thread else "",
    )


def _row(edge: EdgePlan, system: System) -> EdgeRow:
    strip = "none"
    if edge.strip_width:
        long, wide = rounded(edge.strip, Rounding.PANEL, system), _wide(edge.strip_width, system)
        strip = f"{long} × {wide}{', ' + edge.fabric if edge.fabric else ''}"
    finish = f"{edge.title}, by hand" if edge.by_hand else edge.title
    length = rounded(edge.length, Rounding.PANEL, system)
    return EdgeRow(f"{edge.piece}, {edge.name}", finish, length, edge.times, strip)


def _wide(width: int, system: System) -> str:
    return rounded(width, Rounding.MARK, system)


def _strips(plan: Plan, system: System) -> Iterator[StripPart]:
    for strips, drawn in blanks_of(plan, system):
        way = "Bias strips" if strips.on_the_bias else "Straight strips"
        title = f"{way}, {_wide(strips.strip_width, system)} wide: {strips.fabric}"
        blanks = tuple(BlankPart(*_blank(blank)) for blank in drawn)
        yield StripPart(title, strips.problem or _text(strips, system), blanks, strips.cut)


def _blank(drawn: DrawnBlank) -> tuple[SafeString, str]:
    told = "; ".join(f"{numbers}: {length}" for numbers, length in drawn.lengths)
    return drawn.drawing, f"{drawn.title}. {told}" if drawn.title else told


def _text(strips: Binding, system: System) -> str:
    sizes = " and ".join(
        f"{rounded(blank.width, Rounding.PANEL, system)} × {rounded(blank.length, Rounding.PANEL, system)}"
        for blank in strips.blanks
    )
    gives, need = (rounded(nm, Rounding.PANEL, system) for nm in (strips.gives, strips.need))
    count = len(strips.strips)
    many = f"{count} strips, joined {gives}" if count > 1 else f"1 strip, {gives}"
    what = f"{len(strips.blanks)} pieces left beside the panels," if strips.left_over else "Blank"
    return f"{what} {sizes}, across × along the grain. {many}; {need} needed."


def thread_text(thread: ThreadPlan, system: System) -> str:
    """Thread in metres or yards and in spools, and what the figure covers."""
    length = said(thread.thread, system)
    spool = rounded(thread.spool, Rounding.CLOTH, system).replace(".00 ", " ")
    name = f" {thread.notion}" if thread.notion else ""
    spools = "1 spool" if thread.spools == 1 else f"{thread.spools} spools"
    held = f": {spools} of {spool}{name}" if thread.spools else name
    return f"Thread, about {length}{held}. {covers(thread)}"
