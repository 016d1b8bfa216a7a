"""What a panel worked by ratio is kept with: its ratios, its counts and where its marks lie, as JSON."""

from collections.abc import Mapping
from dataclasses import fields
from decimal import Decimal
from fractions import Fraction
from typing import Any

from projects.calc.ratio import RATIO_TECHNIQUES
from projects.calc.ratio_samples import RatioUp
from projects.calc.ratio_work import Marks, RatioWork

SPREADS = ("se", "low", "high")
RESTS_ON = ("basis", "samples", "units")
LENGTHS = ("width", "length", "border", "finished_across", "finished_along", "metres")
GRIDS = ("grid_across", "grid_along")
MOST_DIGITS, MOST_RATIO, MOST_MARKS = 60, 100, 500_000
PLAIN = tuple(f.name for f in fields(RatioWork) if f.name not in (*LENGTHS, *GRIDS))


def ratio_json(up: RatioUp) -> dict[str, Any]:
    """The ratio as a fraction, its spreads as decimals in text."""
    spreads = {name: str(getattr(up, name)) for name in SPREADS}
    return {"ratio": str(up.ratio), **spreads, **{name: getattr(up, name) for name in RESTS_ON}}


def read_ratio_up(given: Mapping[str, Any]) -> RatioUp:
    """Raises ValueError for what can't have been written here."""
    spreads = {name: _decimal(given[name]) for name in SPREADS}
    ratio = read_fraction(given["ratio"])
    if not 0 < ratio <= MOST_RATIO:
        raise ValueError("A ratio out of reach.")
    return RatioUp(ratio, **spreads, **{name: given[name] for name in RESTS_ON})


def read_fraction(text: str) -> Fraction:
    """"44/10" or "4", and nothing else that could be read as a number."""
    digits = text.replace("/", "", 1)
    if len(text) > MOST_DIGITS or not (digits.isascii() and digits.isdigit()):
        raise ValueError("A fraction is two whole numbers.")
    return Fraction(text)


def _decimal(text: str) -> Decimal:
    value = Decimal(text) if len(text) <= MOST_DIGITS else Decimal("NaN")
    if not value.is_finite() or not 0 <= value <= 10 * MOST_RATIO:
        raise ValueError("A spread is a decimal of a few digits.")
    return value


def work_json(work: RatioWork) -> dict[str, Any]:
    """Lengths under keys ending in ``_nm``."""
    written = {name: getattr(work, name) for name in PLAIN}
    lengths = {f"{name}_nm": getattr(work, name) for name in LENGTHS}
    return {**written, **lengths, **{name: _marks_json(getattr(work, name)) for name in GRIDS}}


def read_work(given: Mapping[str, Any]) -> RatioWork:
    """Raises ValueError for a technique, or so many marks, as no panel has."""
    if given["technique"] not in RATIO_TECHNIQUES:
        raise ValueError("An unknown technique.")
    lengths = {name: given[f"{name}_nm"] for name in LENGTHS}
    return RatioWork(
        **{name: given[name] for name in PLAIN}, **lengths, **{name: _marks(given[name]) for name in GRIDS}
    )


def _marks_json(marks: Marks | None) -> dict[str, int] | None:
    return None if marks is None else {"first_nm": marks.first, "step_nm": marks.step, "count": marks.count}


def _marks(given: Mapping[str, int] | None) -> Marks | None:
    if given is None:
        return None
    if not 0 <= given["count"] <= MOST_MARKS:
        raise ValueError("More marks than a panel holds.")
    return Marks(given["first_nm"], given["step_nm"], given["count"])
