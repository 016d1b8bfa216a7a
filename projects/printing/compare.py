"""Recipes compared, as rows of words: one for the page and for paper. No number is computed here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.template.loader import render_to_string

from projects.calc.labour import format_minutes, total_minutes
from projects.calc.lengths import Rounding, System, rounded, rounded_up, thickness
from projects.calc.money import format_money
from projects.calc.sampling import ANOTHER_CLOTH, NO_SAMPLE, THIS_CLOTH
from projects.models import Workroom
from projects.planning.compare import Column, Comparison, Money

SQUARE_YARD = Decimal("0.83612736")
SAMPLED = {
    THIS_CLOTH: "on this cloth",
    ANOTHER_CLOTH: "on another cloth only",
    NO_SAMPLE: "not yet, starting values",
}
ANOTHER = "one is measured; a larger one would tell more surely"


def _padded(column: Column) -> str:
    """What its figures leave out, since nobody has chosen it."""
    *rest, last = column.lacking
    return f"{', '.join(rest)} and {last} not counted" if rest else f"{last} not counted"


@dataclass(frozen=True, slots=True)
class Cell:
    """What is said of one recipe: the figure, a line under it, and in words where it is the best of all."""

    text: str
    under: str = ""
    best: str = ""
    warning: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    title: str
    cells: tuple[Cell, ...]


def rows_of(found: Comparison, workroom: Workroom) -> list[Row]:
    """Every fact as a row with a cell a recipe; of one with a problem nothing but that is said."""
    system, currency = System(workroom.units), workroom.currency
    facts: list[tuple[str, Callable[[Column], Cell]]] = [
        ("Each panel (the flat cloth)", lambda c: _flat(c, system)),
        ("Length of cloth", lambda c: _length(c, system)),
        ("Flat to finished", _ratio),
        ("Hours, all of the piece; 8 times of 10 within", _hours),
        ("Cloth and hours cost, without thread and overhead", lambda c: _cost(c, currency)),
        ("At the thickest", lambda c: _layers(c, system)),
        ("Finished weight", _weight),
        ("Under the needle", lambda c: _needle(c, system)),
        ("Sampled", lambda c: Cell(SAMPLED[c.rests_on])),
        ("Sample to make first", lambda c: _sample(c, system)),
    ]
    return [
        Row(title, tuple(Cell("can't be planned") if c.problem else cell(c) for c in found.columns))
        for title, cell in facts
        if found.money or cell is not facts[4][1]
    ]


def _best(column: Column, name: str, words: str) -> str:
    return words if name in column.best else ""


def _area(square_metres: Decimal, system: System) -> str:
    metric = system is System.METRIC
    value = square_metres if metric else square_metres / SQUARE_YARD
    return f"{value.quantize(Decimal('0.01'))} {'m²' if metric else 'yd²'}"


def _flat(column: Column, system: System) -> Cell:
    panel = column.panel
    if panel is None or column.area is None:
        return Cell("unknown")
    size = [rounded(nm, Rounding.PANEL, system) for nm in (panel.cut_width, panel.cut_length)]
    many = f"{column.panels} panels, " if column.panels > 1 else ""
    return Cell(" × ".join(size), f"{many}{_area(column.area, system)}", _best(column, "area", "least cloth"))


def _length(column: Column, system: System) -> Cell:
    if column.cloth is None:
        return Cell("no cloth chosen")
    if column.length is None:
        return Cell("can't be laid", column.cloth.problem)
    wide = f"of cloth {rounded(column.cloth.width, Rounding.PANEL, system)} wide"
    if column.for_sample:
        wide += f", {rounded_up(column.for_sample, Rounding.CLOTH, system)} of it for {column.sampled_for}"
    for role, plan in column.under:
        more = rounded_up(plan.for_all_panels, Rounding.CLOTH, system)
        wide += f"; {role}: {plan.problem or more + ' of ' + plan.name}"
    text = rounded_up(column.length, Rounding.CLOTH, system)
    return Cell(text, wide, _best(column, "length", "shortest"))


def _ratio(column: Column) -> Cell:
    across, along = column.ratio("across"), column.ratio("along")
    if across is None or along is None:
        return Cell("unknown")
    return Cell(f"{across * along:.2f} to 1", f"{across:.2f} across, {along:.2f} along")


def _hours(column: Column) -> Cell:
    if column.minutes is None:
        return Cell("unknown")
    low, high = (format_minutes(int(minutes)) for minutes in (column.low, column.high))
    under = f"{low} to {high}" + ("; from starting values" if column.starting else "")
    return Cell(format_minutes(total_minutes([column.minutes])), under, _best(column, "minutes", "quickest"))


def _cost(column: Column, currency: str) -> Cell:
    money = column.money
    if money is None:
        return Cell("unknown")
    parts = [
        _cloth_money(money, currency),
        f"hours {_money(money.hours, currency, 'have no rate')}",
        *([_padded(column)] if column.padded else []),
    ]
    known = f"at least {format_money(money.at_least, currency)}" if money.at_least else "unknown"
    total = _money(money.total, currency, known)
    return Cell(total, ", ".join(parts), _best(column, "cost", "costs least"))


def _cloth_money(money: Money, currency: str) -> str:
    """What the cloth costs; where some of it isn't known, which, and what the rest does."""
    if money.cloth is not None:
        return f"cloth {format_money(money.cloth, currency)}"
    lacking = ", ".join(money.lacking)
    return f"cloth at least {format_money(money.known, currency)} ({lacking})" if money.known else lacking


def _money(amount: int | None, currency: str, unknown: str) -> str:
    return unknown if amount is None else format_money(amount, currency)


def _layers(column: Column, system: System) -> Cell:
    panel = column.panel
    about = "about " if panel is not None and panel.recipe is not None and panel.recipe.ratio else ""
    layers = f"{about}{column.layers} layer{'' if column.layers == 1 else 's'}"
    thick = (
        "thickness of the cloth unknown" if column.thickness is None else thickness(column.thickness, system)
    )
    thick += f"; {_padded(column)}" if column.padded else ""
    return Cell(layers, thick, _best(column, "thickness", "thinnest"))


def _weight(column: Column) -> Cell:
    if column.weight is None:
        return Cell("unknown")
    under = _padded(column) if column.padded else ""
    return Cell(f"{column.weight.quantize(Decimal(1))} g", under, _best(column, "weight", "lightest"))


def _needle(column: Column, system: System) -> Cell:
    stack = column.stack
    if stack is None:
        return Cell("unknown")
    thick = "" if stack.thickness is None else f", {thickness(stack.thickness, system)}"
    warning = "more than the machine lifts" if stack.over else ""
    return Cell(f"{stack.layers} layers{thick}", stack.where, warning=warning)


def _sample(column: Column, system: System) -> Cell:
    if column.sample is None:
        if column.rests_on != THIS_CLOTH:
            return Cell("one on the cloth, once it is chosen")
        return Cell("none needed", "" if column.enough else ANOTHER)
    advice = column.sample.advice
    size = [rounded(side.cut, Rounding.PANEL, system) for side in (advice.across, advice.along)]
    return Cell(
        " × ".join(size), f"about {format_minutes(total_minutes([advice.minutes]))}, in the hours above"
    )


def compare_html(
    found: Comparison, workroom: Workroom, *, title: str, today: date, styles: dict[str, str]
) -> str:
    """The whole page for paper; ``styles`` names its style sheets."""
    context = {
        "found": found, "rows": rows_of(found, workroom), "title": title, "printed_on": today,
        "studio": workroom.name, "workroom": workroom, **styles,
    }  # fmt: skip
    return render_to_string("printing/compare.html", context)
