"""What a panel is planned from besides its recipe: the piece's size, the cloth, and how it is worked.

Lengths are whole nanometres, shares are exact decimals. Unknown is None and is never taken for nothing
silently: the plan says what it cannot show.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from projects.calc.errors import CalcError, millimetres, shorten
from projects.calc.sampling import TakeUp, take_up

MM = 1_000_000
LONGEST_PIECE = 20_000 * MM
WIDEST_ALLOWANCE = 500 * MM
EDGES = {"across": ("left", "right"), "along": ("top", "bottom")}
WASHES = ("before", "after", "never")
MARGIN_ENDS = ("both", "first", "far")


class PanelError(CalcError):
    """A piece, cloth or way of working that no panel can be cut for."""


ROLES = ("wadding", "backing")


@dataclass(frozen=True, slots=True)
class Under:
    """One layer under the cloth: ``role`` "wadding" or "backing", its thickness (nm) and g/m2 where known."""

    role: str
    thickness: int | None = None
    grams: Decimal | None = None

    def __post_init__(self) -> None:
        check_word("role", self.role, ROLES)
        if self.thickness is not None:
            check_length("thickness", self.thickness, 0, 50 * MM)
        if self.grams is not None and not (self.grams.is_finite() and 0 <= self.grams <= 3000):
            raise PanelError("grams", f"{self.grams}", "0 to 3000 grams a square metre", "Weigh it again.")


@dataclass(frozen=True, slots=True)
class Cloth:
    """One cloth: thickness nm, grams a square metre, shares of light let through and lost in the wash.
    `under` is what lies under it where it is quilted, from the top."""

    thickness: int | None = None
    grams: Decimal | None = None
    light: Decimal | None = None
    shrink_along: Decimal | None = None
    shrink_across: Decimal | None = None
    usable_width: int | None = None
    one_way: bool = False
    under: tuple[Under, ...] = ()

    def __post_init__(self) -> None:
        for name in ("shrink_along", "shrink_across"):
            share = getattr(self, name)
            if share is not None and not (share.is_finite() and 0 <= share < 1):
                raise PanelError(name, f"{share}", "a share from 0 to below 1", "5 % is 0.05.")
        if self.thickness is not None:
            check_length("thickness", self.thickness, 0, 50 * MM)
        if self.usable_width is not None:
            check_length("usable_width", self.usable_width, MM, LONGEST_PIECE)

    def shrink(self, direction: str) -> Decimal | None:
        """The share lost in the first wash, "across" or "along" the grain."""
        return self.shrink_across if direction == "across" else self.shrink_along


@dataclass(frozen=True, slots=True)
class Sizing:
    """How panels are worked. Starting values: squaring 10 mm a side, spread 0.4 mm a tuck, lift 5 mm.

    `border` is 0 unless the panel is taped or hooped; `tape` is how far a check measure may be off.
    """

    squaring: int = 10 * MM
    border: int = 0
    depth_spread: int = 400_000
    check_every: int | None = None
    tape: int = 500_000
    wash: str = "before"
    needle_lift: int = 5 * MM

    def __post_init__(self) -> None:
        for name in ("squaring", "border"):
            check_length(name, getattr(self, name), 0, WIDEST_ALLOWANCE)
        for name in ("depth_spread", "tape", "needle_lift"):
            check_length(name, getattr(self, name), 0, 100 * MM)
        if self.check_every is not None and self.check_every < 1:
            raise PanelError(
                "check_every", self.check_every, "1 or more tucks", "Measure less often, or never."
            )
        check_word("wash", self.wash, WASHES)


@dataclass(frozen=True, slots=True)
class Opening:
    """A slit, pocket or neckline, from `start` to `end` of one direction of the pattern."""

    direction: str
    start: int
    end: int
    name: str = "opening"


@dataclass(frozen=True, slots=True)
class PieceSize:
    """A whole pattern piece, finished. A half on the fold is given whole, see `whole`.

    `allowance_*` are added to the pattern; `inside_*` are drawn in (inside the pattern's extent) and only
    tell where tucks are caught. `hems` names the edges whose allowance is a hem. `margin_at` says which end
    takes the sewing margin, `work_order` in what order its tucks are to be sewn (see `columns.Axis.order`).
    """

    across: int
    along: int
    allowance_left: int = 0
    allowance_right: int = 0
    allowance_top: int = 0
    allowance_bottom: int = 0
    inside_left: int = 0
    inside_right: int = 0
    inside_top: int = 0
    inside_bottom: int = 0
    hems: tuple[str, ...] = ()
    openings: tuple[Opening, ...] = ()
    whole_repeats: bool = False
    caught: str = "keep"
    margin_at: str = "both"
    work_order: str = ""

    def __post_init__(self) -> None:
        for name in ("across", "along"):
            check_length(name, getattr(self, name), MM, LONGEST_PIECE)
        for first, second in EDGES.values():
            for edge in (first, second):
                check_length(f"allowance_{edge}", getattr(self, f"allowance_{edge}"), 0, WIDEST_ALLOWANCE)
                check_length(f"inside_{edge}", getattr(self, f"inside_{edge}"), 0, WIDEST_ALLOWANCE)
        check_word("caught", self.caught, ("keep", "drop"))
        check_word("margin_at", self.margin_at, MARGIN_ENDS)
        check_word("work_order", self.work_order, ("", "centre", "alternate"))


def whole(extent: int, on_fold: bool) -> int:
    """The whole finished extent of a pattern: a half drawn on the fold counts twice."""
    return 2 * extent if on_fold else extent


def check_length(name: str, given: int, least: int, most: int) -> None:
    """Refuses a length outside `least` to `most` (nm)."""
    if not isinstance(given, int) or isinstance(given, bool):
        raise PanelError(name, given, "a length", "Give a length.")
    if not least <= given <= most:
        shown = millimetres(given) if given.bit_length() <= 64 else shorten(given)
        expected = f"{millimetres(least)} to {millimetres(most)}"
        raise PanelError(name, shown, expected, "Check the unit." if given > most else "Make it larger.")


def check_word(name: str, given: str, choices: tuple[str, ...]) -> None:
    if given not in choices:
        raise PanelError(name, given, f"one of {', '.join(choices)}", "Choose one of these.")


UNSAMPLED = take_up(())
"""e = 0 with its standard error, until a sample is measured."""


@dataclass(frozen=True, slots=True)
class TakeUps:
    """What samples say per direction and place in the order; a `_second` one is sewn through layers.

    A `_second` left out is taken to be the same as the first.
    """

    across: TakeUp = UNSAMPLED
    along: TakeUp = UNSAMPLED
    across_second: TakeUp | None = None
    along_second: TakeUp | None = None

    def of(self, direction: str, second: bool = False) -> TakeUp:
        """What samples say of "across" or "along", sewn first or second."""
        later = self.across_second if direction == "across" else self.along_second
        if second and later is not None:
            return later
        return self.across if direction == "across" else self.along


@dataclass(frozen=True, slots=True)
class DrawIns:
    """finished / flat of each extent along which the other direction's seams run; 1 until sampled."""

    across: Fraction = field(default=Fraction(1))
    along: Fraction = field(default=Fraction(1))

    def __post_init__(self) -> None:
        for name in ("across", "along"):
            if not Fraction(1, 2) < getattr(self, name) <= Fraction(11, 10):
                raise PanelError(name, f"{getattr(self, name)}", "a share from 1/2 to 1.1", "Measure again.")

    def of(self, direction: str) -> Fraction:
        """The share of "across" or "along"."""
        return self.across if direction == "across" else self.along
