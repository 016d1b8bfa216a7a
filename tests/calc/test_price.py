"""Price and money against figures worked by hand, and what must hold of any."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc import money
from projects.calc import price as p

MARGINS = st.decimals(min_value=0, max_value=Decimal("0.95"), places=4)
TAXES = st.decimals(min_value=0, max_value=1, places=4)
COSTS = st.integers(min_value=0, max_value=10**10)
CURRENCIES = st.sampled_from(["EUR", "GBP", "JPY", "KWD", "USD"])


def test_ten_hours_at_fifteen_and_thirty_six_of_materials_make_186() -> None:
    """A worked figure of a sewing text: 10 x 15 + 36 = 186, without margin and tax."""
    cost = p.cost(materials=3600, hours=Decimal(10), rate=1500)
    assert p.price(cost).total == 18600


def test_a_coat_reckoned_by_hand() -> None:
    """Cloth 64.40, notions 12.60, 21 h 30 min at 18.00 and 4.50 overhead: 77 + 483.75 = 560.75.
    A quarter margin: 560.75 / 0.75 = 747.666.. = 747.67; 20 % tax: 149.534 = 149.53."""
    cost = p.cost(materials=7700, hours=Decimal("21.5"), rate=1800, overhead=450)
    found = p.price(cost, Decimal("0.25"), Decimal("0.2"))
    assert (cost, found) == (Decimal("56075"), p.Price(56075, 74767, 14953))
    assert (found.margin, found.total) == (18692, 89720)
    assert p.deposit(found, Decimal("0.3")) == 26916
    assert p.deposit(p.Price(0, 100, 1), Decimal("0.5")) == 51


def test_what_an_hour_earns_falls_with_the_hours() -> None:
    """Net 700, materials 77, overhead 4.50: in 20 h (700 - 77 - 90) / 20 = 26.65; 25 h 20.42; 32 h 14.97."""
    found = p.earnings(70000, materials=7700, overhead=450, minutes=[1200, 1500, 1920])
    assert [e.an_hour for e in found] == [2665, 2042, 1497]
    assert p.earns(1000, materials=4000, overhead=0, minutes=60).an_hour == -3000
    assert p.earns(1000, materials=0, overhead=0, minutes=0).an_hour is None


def test_half_goes_up() -> None:
    assert p.price(50, tax=Decimal("0.05")).tax == 3
    assert p.net_of(89720, Decimal("0.2")) == 74767


@pytest.mark.parametrize("margin, tax", [("1", "0"), ("-0.1", "0"), ("0", "1.01"), ("0", "-0.2")])
def test_shares_out_of_reach_are_refused(margin: str, tax: str) -> None:
    with pytest.raises(p.PriceError, match="a share from 0 to"):
        p.price(100, Decimal(margin), Decimal(tax))


def test_a_negative_figure_is_refused_by_name() -> None:
    with pytest.raises(p.PriceError) as refused:
        p.cost(materials=0, hours=Decimal(1), rate=-5)
    assert refused.value.field == "rate"


@settings(derandomize=True)
@given(COSTS, MARGINS, TAXES)
def test_the_margin_is_a_share_of_the_net_price(cost: int, margin: Decimal, tax: Decimal) -> None:
    found = p.price(cost, margin, tax)
    assert found.net >= found.cost == cost
    assert abs(found.net * (1 - margin) - cost) <= Decimal("0.5")
    assert abs(found.tax - found.net * tax) <= Decimal("0.5")
    assert abs(p.net_of(found.total, tax) - found.net) <= 1


@settings(derandomize=True)
@given(COSTS, st.integers(min_value=1, max_value=10**6), st.integers(min_value=0, max_value=10**6))
def test_at_its_own_rate_work_earns_that_rate(materials: int, minutes: int, rate: int) -> None:
    """A price without margin pays exactly the rate it was reckoned with, but for the rounding."""
    net = p.price(p.cost(materials=materials, hours=Decimal(minutes) / 60, rate=rate)).net
    earned = p.earns(net, materials=materials, overhead=0, minutes=minutes).an_hour
    assert earned is not None and abs(earned - rate) <= Decimal(60) / minutes + 1


@settings(derandomize=True)
@given(st.integers(min_value=0, max_value=10**12 - 1), CURRENCIES)
def test_money_reads_back_as_it_was_written(amount: int, currency: str) -> None:
    assert money.parse_money(money.format_money(amount, currency), currency) == amount
    assert money.parse_money(money.plain_money(amount, currency), currency) == amount


@settings(derandomize=True)
@given(st.text(max_size=60), CURRENCIES)
def test_any_text_is_read_or_refused_plainly(text: str, currency: str) -> None:
    try:
        assert money.parse_money(text, currency) >= 0
    except money.MoneyError as refused:
        assert "was expected" in str(refused)


@pytest.mark.parametrize(
    "text, currency, minor",
    [
        ("12.50", "EUR", 1250), ("12,5", "EUR", 1250), ("1 250", "EUR", 125000), (".5", "GBP", 50),
        ("1,250.00", "USD", 125000), ("1.250,00", "EUR", 125000), ("£12", "GBP", 1200),
        ("$12.30", "CAD", 1230), ("¥1200", "JPY", 1200), ("1.250", "KWD", 1250), ("12 eur", "EUR", 1200),
    ],
)  # fmt: skip
def test_money_as_people_type_it(text: str, currency: str, minor: int) -> None:
    assert money.parse_money(text, currency) == minor


@pytest.mark.parametrize(
    "text, currency, says",
    [
        ("1,250", "EUR", "one way only"), ("1,250", "KWD", "one way only"), ("1.250", "EUR", "one way only"),
        ("12.345", "JPY", "one way only"), ("12.5", "JPY", "no smaller part"),
        ("-3", "EUR", "without the minus"),
        ("12 USD", "EUR", "studio's currency"), ("$5", "EUR", "studio's currency"), ("", "EUR", "12.50"),
        ("1e5", "EUR", "such as 12.50"), ("a lot", "EUR", "such as 12.50"), ("9" * 400, "EUR", "such as"),
        ("1.2345", "EUR", "at most 2 digits"), ("9" * 14, "EUR", "digit too many"),
    ],
)  # fmt: skip
def test_money_that_cant_be_read_says_what_would_be_right(text: str, currency: str, says: str) -> None:
    with pytest.raises(money.MoneyError, match=says):
        money.parse_money(text, currency)


def test_minor_units_follow_the_currency() -> None:
    assert [money.digits(c) for c in ("EUR", "USD", "JPY", "TND", "XYZ")] == [2, 2, 0, 3, 2]
    assert money.minor(Decimal("12.4567"), "EUR") == Decimal("1245.67")
