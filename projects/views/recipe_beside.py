"""What hangs on a recipe: where it was tried, what it is used on."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from django.http import HttpRequest

from projects.calc.lengths import System
from projects.calc.ratio import RATIO_TECHNIQUES
from projects.calc.recipe import Recipe as Content
from projects.models import Piece, Sample
from projects.planning.samples import DIRECTIONS

from .ratio_words import two
from .recipe_words import signed

TIMES = ("not", "once", "twice", "three times", "four times", "five times", "six times")


@dataclass(frozen=True, slots=True)
class SampleLine:
    """A sample with what its cloth was found to add to each tuck, per direction measured."""

    sample: Sample
    found: tuple[tuple[str, str], ...]


def beside(request: HttpRequest, samples: list[Sample], pieces: list[Piece], shown: int) -> dict[str, Any]:
    """`shown` is the number of the version on the page."""
    system = System(request.workroom.units)
    return {
        "samples": [SampleLine(sample, found_on(sample, system)) for sample in samples],
        "tried": tried(samples, shown),
        "used": f"used on {len(pieces)} piece{'' if len(pieces) == 1 else 's'}" if pieces else "not used yet",
        "pieces": pieces,
    }


def tried(samples: list[Sample], shown: int) -> str:
    """For instance "tried twice on linen voile, 92 g/m², and once as version 2"."""
    if not samples:
        return "not tried yet"
    own = [s for s in samples if s.version.number == shown]
    others = {s.version.number for s in samples} - {shown}
    which = f"version {min(others)}" if len(others) == 1 else "other versions"
    as_other = f"{_times(len(samples) - len(own))} as {which}"
    if not own:
        return f"tried {as_other}"
    said = f"tried {_times(len(own))} on {_cloths(own)}"
    return f"{said}, and {as_other}" if others else said


def _times(count: int) -> str:
    return TIMES[count] if count < len(TIMES) else f"{count} times"


def _cloths(samples: list[Sample]) -> str:
    fabrics = list(dict.fromkeys(s.fabric for s in samples))
    if len(fabrics) > 1:
        return f"{len(fabrics)} cloths"
    weight = f", {fabrics[0].grams.normalize():f} g/m²" if fabrics[0].grams else ""
    return f"{fabrics[0].name}{weight}"


def found_on(sample: Sample, system: System) -> tuple[tuple[str, str], ...]:
    """(direction, what was found) of each direction measured."""
    lines = ((name, found_in(sample, name, system)) for name in DIRECTIONS)
    return tuple((name, text) for name, text in lines if text)


def _than_planned(sample: Sample, name: str, flat: int, finished: int) -> str:
    """How the reading compares with the ratio of what was sewn: ", 4 % more than the recipe’s 2.00"."""
    content = Content.from_json(sample.content).ratio
    if content is None:
        return ""
    planned = content.ratio_of(name)
    percent = round(100 * (Fraction(flat, finished) / planned - 1))
    more = "more" if percent > 0 else "less"
    how = f"{abs(percent)}\N{NO-BREAK SPACE}% {more} than" if percent else "the same as"
    return f", {how} the recipe’s {two(planned)}"


def found_in(sample: Sample, name: str, system: System) -> str:
    flat, finished = getattr(sample, f"{name}_flat"), getattr(sample, f"{name}_finished")
    if flat is None or finished is None:
        return ""
    tucks = getattr(sample, f"{name}_tucks")
    ratio = f"{flat / finished:.2f} to 1"
    if getattr(sample, f"{name}_technique") in RATIO_TECHNIQUES:
        return f"{ratio}{_than_planned(sample, name, flat, finished)}"
    if not tucks:
        return f"{ratio}, no tucks"
    added = flat - finished - getattr(sample, f"{name}_depths")
    return f"{ratio}, the cloth adds {signed(round(added / tucks), system)} to each of {tucks} tucks"
