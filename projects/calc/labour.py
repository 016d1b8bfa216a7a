"""How long the work takes: stages in working order, what their time comes from, estimates and their range.

Minutes are Decimals, lengths whole nanometres. Every starting rate is a starting value: it has no source, and
says so until the maker's own logs replace it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from projects.calc.minutes import TimeError, format_minutes, parse_minutes
from projects.calc.ranges import Range80, range80
from projects.calc.units import NM_PER_INCH

__all__ = [
    "DRIVERS",
    "SETUP",
    "STAGES",
    "STARTING_RATES",
    "STARTING_SETUP",
    "Budget",
    "Driver",
    "Line",
    "Range80",
    "TimeError",
    "budget",
    "estimate",
    "format_minutes",
    "learning",
    "lines",
    "machine_minutes",
    "metres",
    "pace",
    "parse_minutes",
    "range80",
    "total_minutes",
]

Number = int | Decimal

STAGES: Final[tuple[tuple[str, str], ...]] = (
    ("sample", "Make the sample"),
    ("prepare", "Wash and press the cloth"),
    ("cut", "Cut the panels"),
    ("mark", "Mark the panels"),
    ("texture", "Sew the texture"),
    ("press", "Press the texture"),
    ("trim", "Check and trim to the piece"),
    ("make_up", "Make up"),
    ("finish", "Finish"),
)


@dataclass(frozen=True, slots=True)
class Driver:
    """Something the plan counts and time hangs on: its stage, what it counts, and minutes for one of it."""

    key: str
    stage: str
    counts: str
    one: str
    minutes: Decimal


def _driver(key: str, stage: str, counts: str, one: str, minutes: str) -> Driver:
    return Driver(key, stage, counts, one, Decimal(minutes))


DRIVERS: Final[dict[str, Driver]] = {
    driver.key: driver
    for driver in (
        _driver("samples", "sample", "samples measured", "sample", "20"),
        _driver("sample_tucks", "sample", "tucks in samples, marked, sewn and pressed", "tuck", "4"),
        _driver("sample_dots", "sample", "dots in samples, marked and worked", "dot", "0.35"),
        _driver("sample_lines", "sample", "lines in samples, marked and sewn", "line", "2"),
        _driver("cloth_metres", "prepare", "metres of cloth washed and pressed", "metre", "6"),
        _driver("panels", "cut", "panels cut", "panel", "8"),
        _driver("width_joins", "cut", "widths joined", "join", "15"),
        _driver("marks", "mark", "marks drawn", "mark", "1"),
        _driver("dots", "mark", "dots marked", "dot", "0.05"),
        _driver("runs", "texture", "runs set up and tried on a scrap", "run", "10"),
        _driver("metres_sewn", "texture", "metres of texture sewn", "metre", "2.5"),
        _driver("tucks", "texture", "tucks folded and fastened off", "tuck", "1.5"),
        _driver("pleats", "texture", "pleats folded and basted", "pleat", "2"),
        _driver("cords", "texture", "cords laid in", "cord", "2"),
        _driver("checks", "texture", "check measures", "check", "1.5"),
        _driver("dots_picked", "texture", "dots picked up and pleated", "dot", "0.06"),
        _driver("gather_metres", "texture", "metres of gathering sewn and drawn up", "metre", "4"),
        _driver("shirring_metres", "texture", "metres of elastic sewn", "metre", "3"),
        _driver("smocking_stitches", "texture", "smocking stitches", "stitch", "0.2"),
        _driver("lattice_stitches", "texture", "lattice stitches", "stitch", "0.6"),
        _driver("quilting_metres", "texture", "metres of quilting sewn", "metre", "2.5"),
        _driver("texture_hand_metres", "texture", "metres of texture sewn by hand", "metre", "20"),
        _driver("metres_pressed", "press", "metres of tuck or pleat pressed", "metre", "1"),
        _driver("panels_steamed", "press", "panels steamed to their size", "panel", "10"),
        _driver("panels_trimmed", "trim", "panels checked and trimmed to the piece", "panel", "12"),
        _driver("pieces_joined", "make_up", "pieces joined", "piece", "30"),
        _driver("edge_metres", "make_up", "metres of edge bound, faced or hemmed", "metre", "6"),
        _driver("hand_metres", "finish", "metres sewn by hand", "metre", "25"),
        _driver("pieces_finished", "finish", "pieces hemmed, threaded off and pressed", "piece", "20"),
    )
}
STARTING_RATES: Final[dict[str, Decimal]] = {key: driver.minutes for key, driver in DRIVERS.items()}
SETUP: Final = "setup."
"""A studio's own set-up minutes of a stage stand among its rates under this and the stage's key."""

STARTING_SETUP: Final[dict[str, Decimal]] = {
    stage: Decimal(minutes)
    for stage, minutes in {
        "sample": "15",
        "prepare": "15",
        "cut": "15",
        "mark": "10",
        "texture": "15",
        "press": "10",
        "trim": "10",
        "make_up": "20",
        "finish": "15",
    }.items()
}


@dataclass(frozen=True, slots=True)
class Line:
    """One part of a stage's time: what it comes from, how much of it, minutes each and in all.

    `starting` says that the rate is still a starting value. Set-up lines have the key "setup".
    """

    key: str
    stage: str
    quantity: Decimal
    rate: Decimal
    minutes: Decimal
    starting: bool


@dataclass(frozen=True, slots=True)
class Budget:
    """Planned minutes by line, in working order, with the 80 % range of the whole."""

    lines: tuple[Line, ...]
    minutes: Decimal
    low: Decimal
    high: Decimal
    starting: bool

    def by_stage(self) -> dict[str, Decimal]:
        """Minutes of each stage that has any, in working order."""
        totals: dict[str, Decimal] = {}
        for line in self.lines:
            totals[line.stage] = totals.get(line.stage, Decimal(0)) + line.minutes
        return totals


def metres(nm: int) -> Decimal:
    """A length as a Decimal of metres, for quantities counted in metres."""
    return Decimal(nm) / 1_000_000_000


def lines(
    quantities: Mapping[str, Number],
    rates: Mapping[str, Decimal] | None = None,
    setup: Mapping[str, Decimal] | None = None,
) -> tuple[Line, ...]:
    """The time budget line by line, in working order.

    `quantities` counts by driver key. `rates` (driver key to minutes) and `setup` (stage key to minutes) are
    the maker's own and may be partial; what they leave out is a starting value. Among `rates` a key such as
    "setup.mark" is the set-up of that stage. A stage that has any quantity is set up once. Raises ValueError
    for an unknown key or a negative figure.
    """
    own, ready = _parted(rates or {}, setup or {})
    _check(quantities, own, ready)
    found: list[Line] = []
    for stage, _title in STAGES:
        work = [
            _line(driver, quantities[key], own)
            for key, driver in DRIVERS.items()
            if driver.stage == stage and quantities.get(key)
        ]
        if work:
            found += [_setup_line(stage, ready), *work]
    return tuple(found)


def _parted(
    rates: Mapping[str, Decimal], setup: Mapping[str, Decimal]
) -> tuple[dict[str, Decimal], dict[str, Decimal]]:
    """Minutes by driver, and to set stages up, whether these came by themselves or among the rates."""
    own = {key: minutes for key, minutes in rates.items() if not key.startswith(SETUP)}
    among = {key[len(SETUP) :]: minutes for key, minutes in rates.items() if key.startswith(SETUP)}
    return own, {**among, **setup}


def _line(driver: Driver, quantity: Number, rates: Mapping[str, Decimal]) -> Line:
    rate = rates.get(driver.key, driver.minutes)
    count = Decimal(quantity)
    return Line(driver.key, driver.stage, count, rate, count * rate, driver.key not in rates)


def _setup_line(stage: str, setup: Mapping[str, Decimal]) -> Line:
    minutes = setup.get(stage, STARTING_SETUP[stage])
    return Line("setup", stage, Decimal(1), minutes, minutes, stage not in setup)


def _check(
    quantities: Mapping[str, Number], rates: Mapping[str, Decimal], setup: Mapping[str, Decimal]
) -> None:
    for what, figures, known in (
        ("quantity", quantities, DRIVERS.keys()),
        ("rate", rates, DRIVERS.keys()),
        ("set-up", setup, STARTING_SETUP.keys()),
    ):
        for key, figure in figures.items():
            if key not in known:
                raise ValueError(f"“{key}” is no known {what}; expected one of {', '.join(known)}.")
            if figure < 0:
                raise ValueError(f"The {what} “{key}” is {figure}; expected 0 or more.")


def estimate(
    quantities: Mapping[str, Number],
    rates: Mapping[str, Decimal] | None = None,
    setup: Mapping[str, Decimal] | None = None,
) -> Decimal:
    """Planned minutes in all; see `lines`."""
    return sum((line.minutes for line in lines(quantities, rates, setup)), Decimal(0))


def budget(
    quantities: Mapping[str, Number],
    rates: Mapping[str, Decimal] | None = None,
    setup: Mapping[str, Decimal] | None = None,
) -> Budget:
    """The time budget with its 80 % range: each stage is one step of the simulation, see `ranges.range80`."""
    found = lines(quantities, rates, setup)
    total = sum((line.minutes for line in found), Decimal(0))
    bare = Budget(found, total, Decimal(0), Decimal(0), any(line.starting for line in found))
    reach = range80(bare.by_stage().values())
    return Budget(found, total, reach.low, reach.high, bare.starting)


def machine_minutes(length: int, stitches_per_inch: Number | Fraction, rpm: Number | Fraction) -> Fraction:
    """Minutes the needle runs: stitches per inch x inches / stitches a minute. `length` in nm.

    Source: industrial engineering texts. Handling comes on top and is most of the time.
    """
    if length < 0 or stitches_per_inch <= 0 or rpm <= 0:
        raise ValueError("Machine time needs a length of 0 or more, and stitches and speed above 0.")
    return Fraction(length, NM_PER_INCH) * Fraction(stitches_per_inch) / Fraction(rpm)


def learning(first: Decimal, rate: Decimal, n: int) -> Decimal:
    """Time of the n-th repeat of a step: T(n) = T(1) n^log2(rate), to six decimals.

    `rate` is what is left of the time at each doubling; 1 (no learning) until logs show otherwise. Source:
    the unit model of the learning curve.

    >>> learning(Decimal(10), Decimal("0.8"), 4)
    Decimal('6.400000')
    """
    if n < 1 or not 0 < rate <= 1:
        raise ValueError(
            f"Learning needs n of 1 or more and a rate above 0 up to 1; {n} and {rate} were given."
        )
    doublings = Decimal(n).ln() / Decimal(2).ln()
    return (first * (doublings * rate.ln()).exp()).quantize(Decimal("0.000001"))


def pace(spent: Number, planned_for_done: Number) -> Decimal:
    """How the work goes against plan: (60 + minutes spent) / (60 + minutes planned for what is done).

    Above 1 is slower. The hour on both sides keeps a first short step from shouting.
    """
    return (60 + Decimal(spent)) / (60 + Decimal(planned_for_done))


def total_minutes(figures: Iterable[Decimal]) -> int:
    """Minutes to show: the sum, half up to a whole minute."""
    total = sum(figures, Decimal(0))
    return int((total + Decimal("0.5")) // 1)
