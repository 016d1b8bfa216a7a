"""Cloth of a lay in words: what it takes is never said to be less, what is there never to be more."""

from hypothesis import given
from hypothesis import strategies as st

from projects.calc.lengths import (
    NM_PER_INCH,
    UNITS,
    Rounding,
    System,
    of_lay,
    of_shelf,
    parse,
    rounded,
    rounded_down,
    rounded_up,
)

NM = st.integers(0, 20_000_000_000)


def back(text: str) -> int:
    return parse(text.translate(str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉⁄", "01234567890123456789/")), "mm").nm


@given(NM, st.sampled_from(System), st.sampled_from(Rounding))
def test_up_is_no_less_and_down_is_no_more(nm: int, system: System, kind: Rounding) -> None:
    assert back(rounded_down(nm, kind, system)) <= nm <= back(rounded_up(nm, kind, system))


@given(st.integers(NM_PER_INCH, 20_000_000_000))
def test_inches_of_a_lay_are_within_a_sixteenth(nm: int) -> None:
    kind = of_lay(System.INCH)
    assert back(rounded_up(nm, kind, System.INCH)) - nm < NM_PER_INCH // 16
    assert nm - back(rounded_down(nm, kind, System.INCH)) < NM_PER_INCH // 16


def test_worked_example() -> None:
    assert rounded_down(565_000_000, Rounding.CLOTH, System.METRIC) == "0.56 m"
    assert rounded_down(2_500_000_000, of_lay(System.INCH), System.INCH) == "98 ³⁄₈ in"
    assert rounded_up(100_000_000, of_lay(System.INCH), System.INCH) == "3 ¹⁵⁄₁₆ in", "not 0 yd"


@given(st.integers(0, 200), st.integers(0, 500))
def test_a_length_on_the_shelf_and_what_a_cut_takes_of_it_come_out(eighths: int, sixteenths: int) -> None:
    """What is read of both sums to what is read of the whole, and a lay says the same of what it takes."""
    cut = sixteenths * NM_PER_INCH // 16
    whole = eighths * UNITS["yd"] // 8 + cut
    said = [back(rounded(nm, of_shelf(nm, System.INCH), System.INCH)) for nm in (whole, cut, whole - cut)]
    # 1/16 in is no whole number of nm: what is read is within one.
    assert abs(said[0] - said[1] - said[2]) <= 2
    assert abs(said[1] - back(rounded(cut, of_lay(System.INCH), System.INCH))) <= 1


def test_whole_eighths_of_a_yard_stay_yards() -> None:
    whole = UNITS["yd"] * 19 // 8
    assert rounded(whole, of_shelf(whole, System.INCH), System.INCH) == "2 ³⁄₈ yd"
    assert rounded(2_000_000_000, of_shelf(2_000_000_000, System.INCH), System.INCH) == "78 ³⁄₄ in"
    assert rounded(2_005_000_000, of_shelf(2_005_000_000, System.METRIC), System.METRIC) == "2.01 m"
