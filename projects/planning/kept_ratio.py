"""What a panel worked by ratio is kept with: its ratios, its counts and where its marks lie, as JSON."""

from collections.abc import Mapping
from dataclasses import fields
from decimal import Decimal
from fractions import Fraction
from typing import Any

from projects.calc.ratio_samples import RatioUp
from projects.calc.ratio_work import Marks, RatioWork

SPREADS = ("se", "low", "high")
RESTS_ON = ("basis", "samples", "units")
LENGTHS = ("width", "length", "border", "finished_across", "finished_along", "metres")
GRIDS = ("grid_across", "grid_along")
PLAIN = tuple(f.name for f in fields(RatioWork) if f.name not in (*LENGTHS, *GRIDS))


def ratio_json(up: RatioUp) -> dict[str, Any]:
    """The ratio as a fraction, its spreads as decimals in text."""
    spreads = {name: str(getattr(up, name)) for name in SPREADS}
    return {"ratio": str(up.ratio), **spreads, **{name: getattr(up, name) for name in RESTS_ON}}


def read_ratio_up(given: Mapping[str, Any]) -> RatioUp:
    spreads = {name: Decimal(given[name]) for name in SPREADS}
    return RatioUp(Fraction(given["ratio"]), **spreads, **{name: given[name] for name in RESTS_ON})


def work_json(work: RatioWork) -> dict[str, Any]:
    """Lengths under keys ending in ``_nm``."""
    written = {name: getattr(work, name) for name in PLAIN}
    lengths = {f"{name}_nm": getattr(work, name) for name in LENGTHS}
    return {**written, **lengths, **{name: _marks_json(getattr(work, name)) for name in GRIDS}}


def read_work(given: Mapping[str, Any]) -> RatioWork:
    lengths = {name: given[f"{name}_nm"] for name in LENGTHS}
    return RatioWork(
        **{name: given[name] for name in PLAIN}, **lengths, **{name: _marks(given[name]) for name in GRIDS}
    )


def _marks_json(marks: Marks | None) -> dict[str, int] | None:
    return None if marks is None else {"first_nm": marks.first, "step_nm": marks.step, "count": marks.count}


def _marks(given: Mapping[str, int] | None) -> Marks | None:
    return None if given is None else Marks(given["first_nm"], given["step_nm"], given["count"])
