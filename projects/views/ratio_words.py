"""What the recipe page says of a texture by ratio: its facts, how it is worked, what its ratios rest on."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from projects.calc.lengths import System, thickness
from projects.calc.panels import PanelPlan
from projects.calc.ratio import STARTING_RATIOS, ByRatio
from projects.calc.ratio_samples import RatioUp
from projects.calc.recipe import Recipe
from projects.calc.units import grouped
from projects.planning.ratio_from_cloth import RatioAnswer
from projects.planning.recipe_ratio import RatioFacts

from .recipe_words import SQUARE_YARD, Fact, behind, hours, size

NAMES = ("across", "along")
UNITS = {
    "gathers": "row",
    "shirring": "row",
    "english": "dot",
    "honeycomb": "dot",
    "lattice": "square",
    "quilting": "line",
    "trapunto": "line",
}
ALONG = {"dot": "rows", "square": "squares", "line": "lines", "row": "rows"}
SAMPLE_UNITS = {name: {"across": f"{unit}s", "along": ALONG[unit]} for name, unit in UNITS.items()}
"""What is counted across and along a sample."""


def two(value: Fraction | Decimal) -> str:
    """Two decimals, half up."""
    exact = Fraction(value)
    hundredths = (200 * exact.numerator + exact.denominator) // (2 * exact.denominator)
    return f"{hundredths // 100}.{hundredths % 100:02d}"


def facts(found: RatioFacts, system: System) -> list[Fact]:
    """The five figures under the title."""
    metre, square = ("m", "m²") if system is System.METRIC else ("yd", "yd²")
    across, along = (two(found.ups[name].ratio) for name in NAMES)
    minutes = found.minutes if system is System.METRIC else found.minutes * SQUARE_YARD
    note = behind(found.starting, found.learnt)
    said = f"{across} {metre} makes 1 {metre}; along: {along} {metre}"
    return [
        Fact(across, f"flat to finished, across: {said}"),
        Fact(f"{two(found.area)} {square}", f"flat cloth per finished {square}"),
        _count(found, system, square),
        _layers(found, system),
        Fact(hours(minutes), f"per finished {square}, without setting up{note}"),
    ]


def _count(found: RatioFacts, system: System, square: str) -> Fact:
    """What is counted on a finished square: dots, squares, or the length that is sewn."""
    work, share = found.square.work, Decimal(1) if system is System.METRIC else SQUARE_YARD
    if work is None:
        return Fact("–", "not worked")
    squares = work.squares_across * work.squares_down
    if squares:
        return Fact(f"{grouped(round(squares * share))}", f"squares to mark per finished {square}")
    if work.dots:
        return Fact(f"{grouped(round(work.dots * share))}", f"dots to mark per finished {square}")
    sewn = Decimal(work.metres) / 10**9 * share
    figure = f"{sewn:.0f} m" if system is System.METRIC else f"{sewn / Decimal('0.9144'):.0f} yd"
    return Fact(figure, f"of stitching per finished {square}")


def _layers(found: RatioFacts, system: System) -> Fact:
    thick = (
        "this cloth's thickness is not known"
        if found.thickness is None
        else f"about {thickness(found.thickness, system)} thick"
    )
    return Fact(f"about {found.layers}" if found.layers > 1 else "1 layer", f"layers on the whole, {thick}")


def basis(content: ByRatio, name: str, up: RatioUp | None) -> str:
    """What stands under a typed ratio: a starting value until a sample replaces it."""
    if up is None or up.basis == "none":
        typed = content.across if name == "across" else content.along
        start = dict(zip(NAMES, STARTING_RATIOS[content.technique], strict=True))[name]
        return "Starting value." if typed == start else "As typed, no sample yet."
    return f"Planned with {two(up.ratio)}: {_samples(up)}."


def _samples(up: RatioUp) -> str:
    return f"{'1 sample' if up.samples == 1 else f'{up.samples} samples'} of {up.basis}"


def rests(found: RatioFacts) -> list[str]:
    """What each direction's ratio rests on, with its 80 % range; what draws nothing up is left out."""
    return [
        _rests(found.content, name, found.ups[name])
        for name in NAMES
        if found.content.draws(name) or found.ups[name].samples
    ]


def _rests(content: ByRatio, name: str, up: RatioUp) -> str:
    span = f"eight times in ten between {two(up.low)} and {two(up.high)}"
    if up.basis == "none":
        kind = "starting value" if _starts(content, name) else "no sample yet"
        return f"{name.capitalize()}: {two(up.ratio)} to 1 ({kind}), {span} until a sample is measured."
    unit = UNITS[content.technique]
    units = f", {up.units} {unit}{'' if up.units == 1 else 's'}" if up.units > up.samples else ""
    return f"{name.capitalize()}: planned with {two(up.ratio)} to 1, {span}. Rests on {_samples(up)}{units}."


def _starts(content: ByRatio, name: str) -> bool:
    return content.set_by_diagonal or basis(content, name, None).startswith("Starting")


def answer(found: RatioFacts) -> str:
    """The answer to the form, said under it."""
    across, along = (two(found.ups[name].ratio) for name in NAMES)
    if found.content.set_by_diagonal:
        own = [two(found.content.ratio_of(name)) for name in NAMES]
        return f"By the diagonal, flat to finished: {own[0]} to 1 across, {own[1]} to 1 along."
    return f"Flat to finished: {across} to 1 across, {along} to 1 along, {two(found.area)} in area."


def sums(panel: PanelPlan, system: System) -> list[tuple[str, str, str]]:
    """From the finished size to the flat cloth, line by line; a line that adds nothing is left out."""
    both = (panel.across, panel.along)
    lines = [
        ("finished size", *(s.pattern for s in both)),
        ("seam allowances", *(s.parts.allowance_start + s.parts.allowance_end for s in both)),
        ("squaring up, both sides", *(2 * s.parts.squaring for s in both)),
        ("sewing margin", *(s.parts.margin for s in both)),
        ("to whole squares or repeats", *(s.parts.repeat_start + s.parts.repeat_end for s in both)),
        (_takes_up(panel), *(s.flat - 2 * s.border - s.need for s in both)),
    ]
    return [(label, size(a, system), size(b, system)) for label, a, b in lines if a or b]


def _takes_up(panel: PanelPlan) -> str:
    content = panel.recipe.ratio if panel.recipe else None
    return f"{content.name} take{'' if content.technique == 'gathers' else 's'} up" if content else "taken up"


def counted(panel: PanelPlan, system: System) -> str:
    """For instance "84 dots across in 71 rows, 5,964 in all." and, of squares, the size they give."""
    work = panel.work
    if work is None:
        return ""
    if work.squares_across:
        gives = f"{size(work.finished_across, system)} × {size(work.finished_along, system)}"
        return f"{work.squares_across} squares across, {work.squares_down} down; they finish {gives}."
    if work.dots:
        columns, rows, dots = map(grouped, (work.columns, work.rows, work.dots))
        return f"{columns} dots across in {rows} rows, {dots} in all."
    lines, unit = work.lines, UNITS[work.technique]
    sewn = Decimal(work.metres) / 10**9
    long = f"{sewn:.1f} m" if system is System.METRIC else f"{sewn / Decimal('0.9144'):.1f} yd"
    return f"{grouped(lines)} {unit}{'' if lines == 1 else 's'}, {long} of stitching."


def from_cloth(found: RatioAnswer, recipe: Recipe, name: str, system: System) -> Fact:
    """What the cloth owned gives one way: the figure asked for, then the rest."""
    left = f" {size(found.left, system)} of flat cloth is left over." if found.left >= 1_000_000 else ""
    unit = recipe.ratio.counts(name) if recipe.ratio else ""
    count = f"{grouped(found.count)} {unit}{'' if found.count == 1 else 's'}" if unit and found.count else ""
    with_units = f", with {count}" if count else ""
    if found.find == "finished":
        return Fact(size(found.finished, system), f"{name}, finished{with_units}.{left}")
    within = f"{name}, {size(found.finished, system)} finished"
    if found.find == "ratio":
        return Fact(f"{two(found.ratio)} to 1", f"flat to finished, {within}{with_units}.{left}")
    of = f", of the {grouped(found.of)} it would hold: leave the rest plain" if found.of else ""
    return Fact(count, f"{within}{of}.{left}")
