"""What the plan counts in metres, for a studio that works in yards: its words, and minutes for one."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Final

from projects.calc.labour import Driver
from projects.calc.lengths import System

METRES_A_YARD: Final = Decimal("0.9144")
PLACES: Final = Decimal("0.001")
"""Minutes are kept and typed to three places; a figure typed for a yard reads back the same."""


def in_system(driver: Driver, system: System) -> Driver:
    """The driver as a studio of ``system`` counts it: its words, and its starting minutes for one of it.

    >>> from projects.calc.labour import DRIVERS
    >>> yard = in_system(DRIVERS["metres_sewn"], System.INCH)
    >>> yard.counts, yard.one, str(yard.minutes)
    ('yards of texture sewn', 'yard', '2.286')
    """
    if not _by_the_yard(driver, system):
        return driver
    words = {name: getattr(driver, name).replace("metre", "yard") for name in ("counts", "one")}
    return replace(driver, **words, minutes=shown(driver, driver.minutes, system))


def shown(driver: Driver, minutes: Decimal, system: System) -> Decimal:
    """Minutes for one as the studio counts it, to thousandths, from minutes as they are kept."""
    return (minutes * METRES_A_YARD).quantize(PLACES) if _by_the_yard(driver, system) else minutes


def kept(driver: Driver, minutes: Decimal, system: System) -> Decimal:
    """Minutes to keep, for a metre, from minutes as they were typed; ``shown`` gives the same again."""
    return (minutes / METRES_A_YARD).quantize(PLACES) if _by_the_yard(driver, system) else minutes


def _by_the_yard(driver: Driver, system: System) -> bool:
    return system is System.INCH and driver.one in ("metre", "yard")
