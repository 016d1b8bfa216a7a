"""What work costs and what to ask for it. Money is whole minor units in, exact decimals between, whole out.

Source of the formulas: cost accounting's full cost and margin on the selling price. Nothing here knows a
currency: the minor unit is the smallest there is, and amounts round to it half up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from typing import Final

from projects.calc.errors import CalcError
from projects.calc.money import half_up_minor

Amount = int | Decimal
MOST_MARGIN: Final = Decimal("0.95")
SIXTY: Final = Decimal(60)


class PriceError(CalcError):
    """A figure that can't be reckoned with. `field` names it."""


@dataclass(frozen=True, slots=True)
class Price:
    """What to ask: `cost` as reckoned, `net` with the margin on it, `tax` on that. All whole minor units."""

    cost: int
    net: int
    tax: int

    @property
    def margin(self) -> int:
        """What the margin adds to the cost."""
        return self.net - self.cost

    @property
    def total(self) -> int:
        """Net and tax: what the client pays."""
        return self.net + self.tax


@dataclass(frozen=True, slots=True)
class Earning:
    """What an hour earns when the work takes so many `minutes`: minor units, None where it takes none."""

    minutes: Decimal
    an_hour: int | None


def cost(*, materials: Amount, hours: Decimal, rate: Amount, overhead: Amount = 0) -> Decimal:
    """Exact cost in minor units: materials + hours x (rate + overhead), rate and overhead an hour.

    `materials` is cloth, cloth spoiled, notions, thread and other costs together. Raises PriceError below 0.

    >>> cost(materials=3600, hours=Decimal(10), rate=1500)
    Decimal('18600')
    """
    figures = {"materials": materials, "hours": hours, "rate": rate, "overhead": overhead}
    for name, figure in figures.items():
        if figure < 0:
            raise PriceError(name, figure, "0 or more", "Look where the figure comes from.")
    return Decimal(materials) + hours * (Decimal(rate) + Decimal(overhead))


def worked(minutes: Amount, an_hour: Amount) -> Decimal:
    """Exact minor units for `minutes` at `an_hour` minor units an hour."""
    return Decimal(minutes) * Decimal(an_hour) / SIXTY


def price(cost: Amount, margin: Decimal = Decimal(0), tax: Decimal = Decimal(0)) -> Price:
    """Net = cost / (1 - margin), tax = net x rate, each half up to the minor unit.

    `margin` is a share of the net price (0 to 0.95), `tax` a share added to it (0 to 1). Raises PriceError.

    >>> price(15_000, Decimal("0.25"), Decimal("0.2"))
    Price(cost=15000, net=20000, tax=4000)
    """
    _check("cost", Decimal(cost), None)
    _check("margin", margin, MOST_MARGIN)
    _check("tax", tax, Decimal(1))
    net = half_up_minor(Decimal(cost) / (1 - margin))
    return Price(half_up_minor(Decimal(cost)), net, half_up_minor(net * tax))


def net_of(total: int, tax: Decimal) -> int:
    """What is left of a price with its tax in it: total / (1 + tax), half up to the minor unit."""
    _check("total", Decimal(total), None)
    _check("tax", tax, Decimal(1))
    return half_up_minor(Decimal(total) / (1 + tax))


def deposit(price: Price, share: Decimal) -> int:
    """A share of net + tax (0 to 1), rounded up to the minor unit. Raises PriceError.

    >>> deposit(Price(15_000, 20_000, 4_001), Decimal("0.5"))
    12001
    """
    _check("share", share, Decimal(1))
    return int((price.total * share).to_integral_value(ROUND_CEILING))


def earns(net: int, *, materials: Amount, overhead: Amount, minutes: Amount) -> Earning:
    """What an hour earns: (net - materials - overhead) / hours, half up, negative where the work loses money.

    `overhead` is minor units an hour of work, so that it grows with the hours.
    """
    spent = Decimal(minutes)
    if spent <= 0:
        return Earning(spent, None)
    left = Decimal(net) - Decimal(materials) - worked(spent, overhead)
    return Earning(spent, half_up_minor(left * SIXTY / spent))


def earnings(
    net: int, *, materials: Amount, overhead: Amount, minutes: Sequence[Amount]
) -> tuple[Earning, ...]:
    """What an hour earns for each of several numbers of minutes (the 10th, 50th, 90th percentile)."""
    return tuple(earns(net, materials=materials, overhead=overhead, minutes=each) for each in minutes)


def _check(field: str, figure: Decimal, most: Decimal | None) -> None:
    if figure < 0 or (most is not None and figure > most):
        reach = "0 or more" if most is None else f"a share from 0 to {most}"
        raise PriceError(field, figure, reach, "A share of 0.25 is 25 %.")
