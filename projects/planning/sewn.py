"""Edges, strips, thread, cord and layers under quilting as a Plan has them: pure values, lengths in nm."""

from dataclasses import dataclass

from projects.calc.blanks import Asked, Blank


@dataclass(frozen=True, slots=True)
class UnderPlan:
    """The fabric that lies under a quilted piece as its "wadding" or "backing" (``role``)."""

    role: str
    fabric_id: int
    fabric: str


@dataclass(frozen=True, slots=True)
class EdgePlan:
    """One edge of a piece. Lengths nm: ``length`` of the edge and ``strip`` cut for it, overlap included, are
    for one; ``sewn`` (every row of stitches), ``worked`` (edge finished at the machine) and ``hand`` for all
    ``times``. ``fabric_id`` is what strips are cut from; None where none are or no fabric is known."""

    edge_id: int
    name: str
    finish: str
    title: str
    length: int
    times: int
    strip_width: int | None
    strip: int
    fabric_id: int | None
    fabric: str
    on_the_bias: bool
    by_hand: bool
    sewn: int
    starts: int
    worked: int
    hand: int
    piece: str


@dataclass(frozen=True, slots=True)
class Binding:
    """Strips of one fabric and width, and what they are cut from: one blank, or on the bias several pieces of
    what the panels leave. ``gives`` is all strips joined to one, less what the joins take (nm); ``cut`` once
    its step is over. ``area`` (nm2) is that of a blank by itself: it stays as panels are cut. ``asked`` is
    how blanks are chosen, a little more than the ``need``."""

    fabric_id: int
    fabric: str
    strip_width: int
    on_the_bias: bool
    need: int
    asked: Asked
    blanks: tuple[Blank, ...]
    gives: int
    edges: tuple[str, ...]
    problem: str
    key: str
    cut: bool
    area: int

    @property
    def left_over(self) -> bool:
        """Whether the strips come from several pieces beside the panels."""
        return len(self.blanks) > 1

    @property
    def strips(self) -> tuple[int, ...]:
        """The lengths kept (nm), blank by blank in the order they are cut."""
        return tuple(length for blank in self.blanks for length in blank.strips.lengths)

    @property
    def dropped(self) -> int:
        """How many strips are too short to keep."""
        return sum(blank.strips.dropped for blank in self.blanks)


@dataclass(frozen=True, slots=True)
class ThreadPlan:
    """Thread for everything sewn (nm), in spools of ``spool`` each; ``starting``: rests on starting values.
    ``notion`` is the thread named among what the project needs."""

    sewn: int
    starts: int
    stitch: str
    thread: int
    spools: int
    spool: int
    starting: bool
    notion: str = ""
    texture: bool = False
    """Texture sewn at the machine is in it."""
    edges: bool = False
    at_machine: bool = True
    """Whether anything of it is sewn at the machine."""
    left_out: bool = False
    """There is texture worked by hand, which is not in it."""


@dataclass(frozen=True, slots=True)
class CordPlan:
    """Cord of one thickness for ``tucks`` corded tucks (nm): ``need`` with a tail each, from a starting
    value."""

    thickness: int
    tucks: int
    need: int
