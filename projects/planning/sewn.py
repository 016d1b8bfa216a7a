"""Edges, strips, thread and cord as numbers of the Plan: pure values, lengths in nm."""

from dataclasses import dataclass


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
    """Strips of one fabric and width, and the blank they are cut from (nm). ``strips`` are the lengths kept,
    ``dropped`` those too short; ``gives`` is all of them joined. ``cut`` once its step is over."""

    fabric_id: int
    fabric: str
    strip_width: int
    on_the_bias: bool
    need: int
    strips: tuple[int, ...]
    dropped: int
    blank_width: int
    blank_length: int
    gives: int
    edges: tuple[str, ...]
    problem: str
    key: str
    cut: bool
    first_side: int = 0
    """How many of the strips lie between the first cut and the far corner of the longer side."""


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
