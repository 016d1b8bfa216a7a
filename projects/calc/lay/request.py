"""What a lay is asked and what it answers. Lengths in whole nm; x across the cloth, y along it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from projects.calc.lengths import PlainError, Rounding, System, rounded

MOST_PANELS: Final = 1_000


class LayError(PlainError):
    """A panel that can't be laid, and what would fit. `panel` is its name, empty where all are meant."""

    def __init__(self, problem: str, *, panel: str, given: str, expected: str, remedy: str) -> None:
        super().__init__(problem, given=given, expected=expected, remedy=remedy)
        self.panel = panel


@dataclass(frozen=True, slots=True)
class LayPanel:
    """`count` equal panels: `width` across the cloth and `length` along it with the grain upright."""

    name: str
    width: int
    length: int
    count: int = 1
    may_turn: bool = False


@dataclass(frozen=True, slots=True)
class Flaw:
    """A part of a length that no panel may touch: its corner nearest the start and its size (nm)."""

    x: int
    y: int
    width: int
    length: int


@dataclass(frozen=True, slots=True)
class StashLength:
    """One continuous length on the shelf: usable `width` across, `length` along it (nm)."""

    name: str
    width: int
    length: int
    dye_lot: str = ""
    flaws: tuple[Flaw, ...] = ()


@dataclass(frozen=True, slots=True)
class Pin:
    """A panel held where it is: which of `count`, on which length (empty: the roll), its corner, its way."""

    name: str
    copy: int
    x: int
    y: int
    turned: bool = False
    on: str = ""


@dataclass(frozen=True, slots=True)
class LayRequest:
    """Panels for a cloth of a usable width; `gap` is left between panels, not at the edges of the cloth.

    One-way cloth never turns a panel. `most_length` bounds the length of cloth; `system` is only for the
    words of errors. `width` is that of the roll; 0 where none can be bought. `lengths` are what the stash
    has, used before anything is bought; `end_loss` is what each cut end costs (a length that is cut, and the
    roll, lose it at the end they are begun from); with `one_dye_lot` all lengths used are of one lot, and
    the roll counts as another. A remnant under `smallest_remnant` on either side is waste. `straight_cuts`:
    every cut runs edge to edge of what it cuts. `pins` stay where they are. The same request and `seed`
    give the same lay.
    """

    width: int
    panels: tuple[LayPanel, ...]
    gap: int = 0
    one_way: bool = False
    most_length: int | None = None
    system: System = System.METRIC
    lengths: tuple[StashLength, ...] = ()
    end_loss: int = 0
    one_dye_lot: bool = True
    smallest_remnant: int = 0
    straight_cuts: bool = False
    pins: tuple[Pin, ...] = ()
    seed: int = 0


@dataclass(frozen=True, slots=True)
class Used:
    """What a lay takes of one length (nm along it, the lost end in it)."""

    name: str
    length: int


@dataclass(frozen=True, slots=True)
class Placement:
    """One panel laid: its corner nearest the start of the cloth, its size as it lies, which of `count`.

    `on` names the length it lies on; empty for the roll, and for cloth of no name.
    """

    name: str
    x: int
    y: int
    width: int
    length: int
    turned: bool
    copy: int = 1
    on: str = ""


@dataclass(frozen=True, slots=True)
class Lay:
    """A lay: length used, where each panel lies, the shortest any lay could be, and the share wasted.

    `length` is what the roll gives (nm), 0 where the stash serves. `shortest` says that the length meets the
    bound: nothing shorter exists. `used` is what each length of the stash gives, in the order of the request.
    """

    length: int
    placements: tuple[Placement, ...]
    lower_bound: int
    waste_share: Decimal
    shortest: bool
    used: tuple[Used, ...] = ()


@dataclass(frozen=True, slots=True)
class Item:
    """One panel for the packer, grown by the gap on two sides; `ways` are (width, length) as it may lie."""

    panel: LayPanel
    copy: int
    ways: tuple[tuple[int, int], ...]


def items_of(request: LayRequest) -> list[Item]:
    """Every panel to lay, in the order given. Raises LayError for one that can't be."""
    if request.width <= 0 or request.gap < 0:
        raise _unusable(request)
    if sum(max(panel.count, 0) for panel in request.panels) > MOST_PANELS:
        raise LayError(
            f"More than {MOST_PANELS} panels are too many for one lay.",
            panel="",
            given=str(sum(panel.count for panel in request.panels)),
            expected=f"at most {MOST_PANELS} panels",
            remedy="Lay them in several parts.",
        )
    return [item for panel in request.panels for item in _items(panel, request)]


def _items(panel: LayPanel, request: LayRequest) -> list[Item]:
    if panel.width <= 0 or panel.length <= 0 or panel.count < 1:
        given = f"{_say(panel.width, request)} by {_say(panel.length, request)}, {panel.count} of them"
        raise LayError(
            f"{panel.name} has no size: {given}.",
            panel=panel.name,
            given=given,
            expected="a width, a length and a count above 0",
            remedy="Give it a width and a length above 0, and a count of at least 1.",
        )
    sizes = [(panel.width, panel.length), *([(panel.length, panel.width)] if turns(panel, request) else [])]
    fitting = [(width, length) for width, length in sizes if _fits(width, length, request)]
    if not fitting:
        raise _too_large(panel, request)
    ways = tuple((width + request.gap, length + request.gap) for width, length in fitting)
    return [Item(panel, copy, ways) for copy in range(1, panel.count + 1)]


def turns(panel: LayPanel, request: LayRequest) -> bool:
    """Whether it makes a difference to turn a panel, and its grain and the cloth allow it."""
    return panel.may_turn and not request.one_way and panel.width != panel.length


def _fits(width: int, length: int, request: LayRequest) -> bool:
    return width <= request.width and (request.most_length is None or length <= request.most_length)


def _too_large(panel: LayPanel, request: LayRequest) -> LayError:
    wide = panel.width > request.width
    given = _say(panel.width if wide else panel.length, request)
    most = _say(request.width if wide else request.most_length or 0, request)
    turned_fits = _fits(panel.length, panel.width, request)
    remedy = f"A panel up to {most} {'wide' if wide else 'long'} would fit."
    if turned_fits and not request.one_way:
        remedy += " Turned it would fit, if its grain may lie across."
    elif wide:
        remedy += f" Use cloth at least {given} wide, or join widths."
    return LayError(
        f"{panel.name} is {given} {'wide' if wide else 'long'}; the cloth is {most}.",
        panel=panel.name,
        given=given,
        expected=f"at most {most}",
        remedy=remedy,
    )


def _unusable(request: LayRequest) -> LayError:
    return LayError(
        "The cloth has no usable width.",
        panel="",
        given=_say(request.width, request),
        expected="a usable width above 0 and a gap of 0 or more",
        remedy="Give the width without its selvedges, and a gap of 0 or more.",
    )


def _say(nm: int, request: LayRequest) -> str:
    return rounded(nm, Rounding.PANEL, request.system)
