"""Minutes for a yard: what is typed reads back, and only what is counted in metres is changed."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from projects.calc.driver_units import in_system, kept, shown
from projects.calc.labour import DRIVERS
from projects.calc.lengths import System

SEWN = DRIVERS["metres_sewn"]


@given(st.decimals(Decimal(0), Decimal(9_000), places=3))
def test_minutes_typed_for_a_yard_read_back(typed: Decimal) -> None:
    assert shown(SEWN, kept(SEWN, typed, System.INCH), System.INCH) == typed
    assert kept(SEWN, typed, System.METRIC) == shown(SEWN, typed, System.METRIC) == typed


def test_a_yard_takes_less_than_a_metre_and_a_tuck_as_long_as_ever() -> None:
    assert kept(SEWN, Decimal("2.286"), System.INCH) == Decimal("2.5") == SEWN.minutes
    assert in_system(DRIVERS["tucks"], System.INCH) == DRIVERS["tucks"]
    assert all("metre" not in in_system(d, System.INCH).counts for d in DRIVERS.values())
    assert all(in_system(d, System.METRIC) == d for d in DRIVERS.values())
