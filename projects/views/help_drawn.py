"""The worked examples of the help pages, reckoned and drawn as the studio's own work is."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from django.utils.safestring import SafeString

from projects.calc.axis import place
from projects.calc.folds import Tuck
from projects.calc.lengths import Rounding, System, about, rounded, thickness
from projects.calc.panels import PieceSize, Sizing
from projects.calc.panels import panel as plan_panel
from projects.calc.recipe import Direction, Recipe
from projects.calc.sampling import Reading, TakeUp, take_up
from projects.drawings import key
from projects.drawings.panel import panel
from projects.drawings.strip import strip

MM, INCH = 1_000_000, 25_400_000
REPEATS = 3
GRADUATED = {
    System.METRIC: tuple((space * MM, depth * MM) for space, depth in ((18, 4), (12, 7), (12, 10), (12, 7))),
    System.INCH: tuple((s * INCH // 16, d * INCH // 16) for s, d in ((12, 3), (8, 4), (8, 6), (8, 4))),
}
"""Spaces and depths of the example's repeat, round in either system (nm)."""
ADDED = {System.METRIC: 1_500_000, System.INCH: INCH // 16}
"""What the cloth of the example adds over all its tucks (nm)."""
PIECE = {System.METRIC: (200 * MM, 260 * MM), System.INCH: (8 * INCH, 10 * INCH)}
ALLOWANCE = {System.METRIC: 15 * MM, System.INCH: INCH * 5 // 8}


@dataclass(frozen=True, slots=True)
class SampleExample:
    """A sample measured, as text: flat - finished - twice the depths = added, and what that is each.

    ``low`` is what a tuck may lose and ``high`` what it may take at the ends of the range of one sample.
    """

    tucks: int
    flat: str
    finished: str
    doubled: str
    added: str
    each: str
    low: str
    high: str
    ratio: str
    wide: SafeString
    phone: SafeString


def _direction(system: System) -> Direction:
    repeat = zip(GRADUATED[system], "ABCB", strict=True)
    tucks = tuple(Tuck(space=space, depth=depth, mark=letter) for (space, depth), letter in repeat)
    return Direction(technique="tucks", tucks=tucks)


def _known(system: System) -> tuple[Reading, TakeUp]:
    repeat = sum(space for space, _ in GRADUATED[system])
    doubled = 2 * REPEATS * sum(depth for _, depth in GRADUATED[system])
    tucks, finished = REPEATS * len(GRADUATED[system]), REPEATS * repeat
    reading = Reading(finished + doubled + ADDED[system], finished, tucks, doubled)
    return reading, take_up((reading,))


def _drawn(system: System, repeats: int, width: int, kind: str) -> SafeString:
    """The sample as a strip, so many repeats of it."""
    direction = _direction(system)
    repeat = sum(tuck.space for tuck in direction.tucks)
    axis = place(direction.tucks, length=repeats * repeat, extra=_known(system)[1].extra)
    title = (
        f"A strip of the sample: {about(axis.flat, system)} flat above, {about(axis.length, system)} "
        "once sewn and pressed below, each tuck closing to its seam"
    )
    return strip(axis, system=system, title=title, width=width, kind=f"strip {kind}")


@lru_cache(maxsize=2)
def sample_example(system: System) -> SampleExample:
    reading, known = _known(system)

    def say(nm: int) -> str:
        return rounded(nm, Rounding.MARK, system)

    return SampleExample(
        tucks=reading.tucks,
        flat=say(reading.flat),
        finished=say(reading.finished),
        doubled=say(reading.depths_sum),
        added=say(reading.added),
        each=thickness(known.extra, system),
        low=thickness(-known.low, system),
        high=thickness(known.high, system),
        ratio=f"{reading.flat / reading.finished:.2f}",
        wide=_drawn(system, REPEATS, 740, "only-wide"),
        phone=_drawn(system, 1, 312, "only-phone"),
    )


@dataclass(frozen=True, slots=True)
class SheetExample:
    """A small panel as the sheet draws it, what its letters stand for, and one line of its table."""

    wide: SafeString
    corner: SafeString
    marks: tuple[tuple[str, SafeString, str], ...]
    line: str
    stitch: str
    fold: str
    other: str
    letter: str


@lru_cache(maxsize=2)
def sheet_example(system: System) -> SheetExample:
    direction, allowance = _direction(system), ALLOWANCE[system]
    size = PieceSize(*PIECE[system], allowance, allowance, allowance, allowance)
    plan = plan_panel(Recipe(across=direction), size, Sizing())
    mark = next(iter(plan.across.marks()))
    places = (mark.stitch_before, mark.fold, mark.stitch_after)
    stitch, fold, other = (rounded(nm, Rounding.MARK, system) for nm in places)
    depths = {tuck.mark: tuck.depth for tuck in direction.tucks}
    title = "A small panel as the sheet draws it: its tucks numbered and lettered from the first edge"
    return SheetExample(
        wide=panel(
            plan, system=system, title=title, width=640, most_high=420, trimmed=True, kind="only-wide"
        ),
        corner=panel(
            plan, system=system, title=f"{title}, its first corner", width=312,
            corner=(PIECE[system][0] * 9 // 10, PIECE[system][1] // 2), kind="only-phone",
        ),
        marks=tuple((letter, key.sample(letter, width=70), about(d, system)) for letter, d in depths.items()),
        line=f"{mark.number}{mark.letter}",
        stitch=stitch,
        fold=fold,
        other=other,
        letter=mark.letter,
    )  # fmt: skip


EXAMPLES: dict[str, Callable[[System], object]] = {
    "sample": sample_example,
    "numbers": sample_example,
    "sheet": sheet_example,
}
