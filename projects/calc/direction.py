"""One direction of a recipe: a technique with its numbers, checked when it is made.

Lengths are whole nanometres. What a technique does not use may stand at its default and is ignored.
"""

from __future__ import annotations

from dataclasses import dataclass

from projects.calc.errors import CalcError, millimetres, shorten
from projects.calc.folds import Pressing, Tuck

TUCK_TECHNIQUES = ("tucks", "corded", "twin_needle")
PLEAT_TECHNIQUES = ("knife", "box", "inverted")
TECHNIQUE_NAMES = TUCK_TECHNIQUES + PLEAT_TECHNIQUES
CENTRINGS = ("", "tuck", "space")

MM = 1_000_000
SHALLOWEST = MM // 5
DEEPEST_TUCK = 200 * MM
DEEPEST_PLEAT = 500 * MM
WIDEST_SPACE = 2_000 * MM
THICKEST_CORD = 50 * MM
LONGEST_SEWN = 20_000 * MM
MOST_TUCKS = 200
LONGEST_WAY = 200


class RecipeError(CalcError):
    """A recipe that cannot be sewn; `field` says where, counted from 0 ("across.tucks.2.depth")."""

    def within(self, place: str) -> RecipeError:
        """The same refusal seen from one level up."""
        field = f"{place}.{self.field}" if self.field else place
        return RecipeError(field, self.given, self.expected, self.remedy)


@dataclass(frozen=True, slots=True)
class Direction:
    """Tucks or pleats that follow one another in one direction.

    Tuck techniques use `tucks` (a repeat), pleats `width` (wished visible width) and `depth` (underlay).
    Corded and twin-needle tucks use `tucks` for their spaces only: their depth is set by `cord`.
    `sewn` None: over the whole length; 0: not sewn; else tucks released (pleats sewn) at that length.
    `centre_on` names the tuck (or the space after it), counted from 1, that `centring` is about; 0: none
    named. `way` is how it is worked ("by gauge"), which samples are pooled by. `mark` is the pleats' letter.
    """

    technique: str = "tucks"
    tucks: tuple[Tuck, ...] = ()
    width: int = 0
    depth: int = 0
    pressing: Pressing = Pressing.ON
    turns_at_centre: bool = False
    cord: int = 0
    sewn: int | None = None
    whole_repeats: bool = False
    centring: str = ""
    centre_on: int = 0
    way: str = ""
    mark: str = ""

    def __post_init__(self) -> None:
        check_choice("technique", self.technique, TECHNIQUE_NAMES)
        if self.is_pleats:
            _check_pleats(self)
        else:
            _check_tucks(self)
        _check_working(self)

    def __hash__(self) -> int:
        """Cheap, because what a direction alone decides is remembered by it; equal ones hash alike."""
        return hash((self.technique, len(self.tucks), self.width, self.depth, self.cord))

    @property
    def is_pleats(self) -> bool:
        """Whether the technique is one of the pleats."""
        return self.technique in PLEAT_TECHNIQUES

    @property
    def depths(self) -> tuple[int, ...]:
        """The depth of each tuck of a repeat, or of every pleat, nm."""
        return (self.depth,) if self.is_pleats else tuple(t.depth for t in self.tucks)

    @property
    def stands_up(self) -> bool:
        """Corded and twin-needle tucks are never pressed over."""
        return self.technique in ("corded", "twin_needle")

    @property
    def laid(self) -> Pressing:
        """How a tuck of this direction really lies, before any turning at the centre."""
        return Pressing.CORDED if self.stands_up else self.pressing


def check_choice(field: str, given: object, choices: tuple[str, ...]) -> None:
    if not isinstance(given, str) or given not in choices:
        words = ", ".join(choice or "nothing" for choice in choices)
        raise RecipeError(field, given, f"one of {words}", "Choose one of these.")


def check_whole(field: str, given: object, least: int, most: int, what: str = "a length") -> None:
    """Refuses anything but a whole number of nanometres from `least` to `most`; a bool is no number."""
    expected = f"{what} from {millimetres(least)} to {millimetres(most)}"
    if not isinstance(given, int) or isinstance(given, bool):
        raise RecipeError(field, given, expected, "Give a length.")
    if not least <= given <= most:
        shown = millimetres(given) if given.bit_length() <= 64 else shorten(given)
        remedy = f"Make it {millimetres(least)} or more." if given < least else "Make it smaller."
        raise RecipeError(field, shown, expected, remedy)


def check_flag(field: str, given: object) -> None:
    if not isinstance(given, bool):
        raise RecipeError(field, given, "yes or no", "Choose yes or no.")


def _check_tucks(direction: Direction) -> None:
    tucks = direction.tucks
    if not isinstance(tucks, tuple) or not tucks:
        raise RecipeError("tucks", "No tuck", "at least one tuck", "Add a tuck with its depth and space.")
    if len(tucks) > MOST_TUCKS:
        raise RecipeError(
            "tucks", f"{len(tucks)} tucks", f"at most {MOST_TUCKS} in a repeat", "Shorten the repeat."
        )
    shallowest = 0 if direction.stands_up else SHALLOWEST
    for number, tuck in enumerate(tucks):
        if not isinstance(tuck, Tuck):
            raise RecipeError(f"tucks.{number}", tuck, "a tuck with depth and space", "Give both.")
        check_whole(f"tucks.{number}.depth", tuck.depth, shallowest, DEEPEST_TUCK, "a depth")
        check_whole(f"tucks.{number}.space", tuck.space, 1, WIDEST_SPACE, "a space")
        check_mark(f"tucks.{number}.mark", tuck.mark)


def check_mark(field: str, given: object) -> None:
    letters = isinstance(given, str) and len(given) <= 3 and (not given or given.isascii())
    if not letters or (given and not (str(given).isalpha() and str(given).isupper())):
        raise RecipeError(field, given, "a mark of one to three capital letters", "Leave it empty.")


def _check_pleats(direction: Direction) -> None:
    if not isinstance(direction.tucks, tuple) or direction.tucks:
        raise RecipeError(
            "tucks",
            direction.tucks,
            "pleats with a width and a depth",
            "Take the tucks out or choose tucks as the technique.",
        )


def _check_working(direction: Direction) -> None:
    least = SHALLOWEST if direction.is_pleats else 0
    check_whole("width", direction.width, least, WIDEST_SPACE, "a visible width")
    check_whole("depth", direction.depth, least, DEEPEST_PLEAT, "a depth")
    check_mark("mark", direction.mark)
    _check_pressing(direction)
    check_flag("turns_at_centre", direction.turns_at_centre)
    check_flag("whole_repeats", direction.whole_repeats)
    check_whole("cord", direction.cord, 1 if direction.technique == "corded" else 0, THICKEST_CORD, "a cord")
    if direction.sewn is not None:
        check_whole("sewn", direction.sewn, 0, LONGEST_SEWN, "a sewn length")
    check_choice("centring", direction.centring, CENTRINGS)
    _check_centre_on(direction)
    check_way(direction.way)


def _check_pressing(direction: Direction) -> None:
    given = direction.pressing
    if not isinstance(given, Pressing) or (given is Pressing.CORDED and not direction.stands_up):
        raise RecipeError("pressing", given, "on, back or opened", "Choose which way the tucks are pressed.")
    if direction.technique == "knife" and given is Pressing.OPENED:
        raise RecipeError("pressing", given, "on or back for knife pleats", "Choose box pleats instead.")


def _check_centre_on(direction: Direction) -> None:
    given, most = direction.centre_on, len(direction.tucks)
    if not isinstance(given, int) or isinstance(given, bool) or not 0 <= given <= most:
        raise RecipeError(
            "centre_on", given, f"a tuck from 1 to {most}, or 0", "Name a tuck of this recipe, or none."
        )


def check_way(given: object) -> None:
    """Refuses anything but one printable line."""
    if not isinstance(given, str) or len(given) > LONGEST_WAY or not given.isprintable():
        raise RecipeError(
            "way", given, f"one line of at most {LONGEST_WAY} characters", "Say it in fewer words."
        )
