"""Lengths: what people type, written exactly and written for reading."""

from __future__ import annotations

import doctest
import random

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from projects.calc import lengths, units
from projects.calc.lengths import (
    NM_PER_MM,
    UNITS,
    LengthError,
    Rounding,
    System,
    about,
    buy_up,
    exact,
    field_unit,
    parse,
    rounded,
    rounded_number,
    rounded_unit,
    rounded_value,
    share_out,
)

MM = NM_PER_MM
INCH = UNITS["in"]
YARD = UNITS["yd"]
HUNDRED_METRES = 100 * UNITS["m"]
seeded = settings(derandomize=True, max_examples=1_000, deadline=None)
up_to_100_m = st.integers(min_value=0, max_value=HUNDRED_METRES)
written_units = st.sampled_from(sorted(UNITS))


def test_examples_in_the_docstrings() -> None:
    for module in (lengths, units):
        result = doctest.testmod(module)
        assert result.attempted and not result.failed


@pytest.mark.parametrize(
    ("text", "field", "nm", "unit"),
    [
        ("12", "mm", 12 * MM, "mm"),
        ("12", "in", 12 * INCH, "in"),
        ("12 mm", "in", 12 * MM, "mm"),
        ("1.2cm", "mm", 12 * MM, "cm"),
        ("1,5", "mm", 1_500_000, "mm"),
        ("1,50", "cm", 15 * MM, "cm"),
        ('5/16"', "mm", 7_937_500, "in"),
        ("1 7/16 in", "mm", 36_512_500, "in"),
        ("1-7/16 in", "mm", 36_512_500, "in"),
        ("2 1/4 yd", "m", YARD * 9 // 4, "yd"),
        ("2 ¼ yards", "m", YARD * 9 // 4, "yd"),
        ("½", "in", INCH // 2, "in"),
        ("1½″", "mm", INCH * 3 // 2, "in"),
        ("1-½ in.", "mm", INCH * 3 // 2, "in"),
        ("⁵⁄₁₆ in", "mm", 7_937_500, "in"),
        ("1 ⁵⁄₁₆", "in", INCH * 21 // 16, "in"),
        ("1⁵⁄₁₆", "in", INCH * 21 // 16, "in"),
        ("⅟8 in", "mm", INCH // 8, "in"),
        ("5′ 3″", "cm", 63 * INCH, "in"),
        ("5'3\"", "cm", 63 * INCH, "in"),
        ("5’ 3”", "cm", 63 * INCH, "in"),
        ("3''", "cm", 3 * INCH, "in"),
        ("5 ft 3 1/2 in", "cm", 63 * INCH + INCH // 2, "in"),
        ("1 m 20 cm", "m", 1_200 * MM, "cm"),
        ("  4  ", "mm", 4 * MM, "mm"),
        ("\u00a04\u2009mm", "in", 4 * MM, "mm"),
        (".5", "mm", MM // 2, "mm"),
        (",5", "mm", MM // 2, "mm"),
        ("3.", "mm", 3 * MM, "mm"),
        ("１２ｍｍ", "in", 12 * MM, "mm"),
        ("12 MM", "in", 12 * MM, "mm"),
        ("2 metres", "cm", 2_000 * MM, "m"),
        ("1.500", "m", 1_500 * MM, "m"),
        ("1/3", "in", 8_466_667, "in"),
        ("0", "mm", 0, "mm"),
        ("0.000001", "mm", 1, "mm"),
        ("0.0000005", "mm", 1, "mm"),
        ("0.00000049", "mm", 0, "mm"),
    ],
)
def test_reads_what_people_type(text: str, field: str, nm: int, unit: str) -> None:
    typed = parse(text, field)
    assert (typed.nm, typed.unit) == (nm, unit)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "No length was typed"),
        ("   \u00a0", "No length was typed"),
        ("abc", "“abc” can't be read as a length"),
        ("wide", "“wide” can't be read"),
        ("12 parsecs", "“parsecs” in “12 parsecs” is not a unit"),
        ("1e9", "“1e9”"),
        ("nan", "“nan”"),
        ("inf", "“inf”"),
        ("1,500", "“1,500” is unclear"),
        ("12,345 mm", "Type 12.345 or 12345"),
        ("0,125", "Type 0.125."),
        ("1,234,567", "is unclear"),
        ("1.234,567", "is unclear"),
        ("-3", "“-3” is less than nothing"),
        ("−3 mm", "less than nothing"),
        ("1/0", "divides by nothing"),
        ("1 16/5 in", "must be below 1"),
        ("1.5 1/2", "can't be read"),
        ("12 34", "can't be read"),
        ("5 ft 3", "can't be read"),
        ("3 in 5 ft", "can't be read"),
        ("1 m 3 in", "can't be read"),
        ("5² mm", "can't be read"),
        ("1--2", "can't be read"),
        ("--1", "less than nothing"),
        ("1.2.3", "can't be read"),
        ("mm", "“mm” can't be read"),
        ("<script>", "“<script>” can't be read"),
        ("9" * 70, "longer than any cloth"),
        ("12\x00", "can't be read"),
        ("🪡", "can't be read"),
    ],
)
def test_says_what_is_wrong(text: str, says: str) -> None:
    with pytest.raises(LengthError) as raised:
        parse(text, "cm")
    error = raised.value
    assert says in str(error)
    assert error.remedy and error.remedy in str(error)
    assert error.expected


def test_ten_thousand_characters_are_refused_and_shortened() -> None:
    with pytest.raises(LengthError) as raised:
        parse("1" * 10_000, "mm")
    assert "10000 characters" in str(raised.value)
    assert len(raised.value.given) <= 40
    assert len(str(raised.value)) < 200


def test_a_negative_only_where_it_is_allowed() -> None:
    assert parse("-0.5", "mm", allow_negative=True).nm == -500_000
    assert parse("−1/2 in", "mm", allow_negative=True).nm == -INCH // 2
    assert exact(-500_000, "mm") == "-0.5"


def test_bounds_show_both_numbers_in_the_unit_of_the_field() -> None:
    with pytest.raises(LengthError, match=r"^40 m \(4000 cm\) is longer than the 300 cm allowed here"):
        parse("40 m", "cm", most=3_000 * MM)
    with pytest.raises(LengthError, match=r"^4000 cm is longer than the 300 cm allowed here"):
        parse("4000", "cm", most=3_000 * MM)
    with pytest.raises(LengthError, match=r"^0\.1 mm \(0 in\) is shorter than the 0\.01 in needed here"):
        parse("0.1 mm", "in", least=200_000)
    with pytest.raises(LengthError, match=r"^0 mm is not enough here\. Type more than 0\.$"):
        parse("0", "mm", least=1)
    assert parse("300", "cm", least=1, most=3_000 * MM).nm == 3_000 * MM
    assert parse("0.2", "mm", least=200_000).nm == 200_000


def test_a_bound_is_never_shown_looser_than_it_is() -> None:
    with pytest.raises(LengthError, match=r"the 118\.11 in allowed"):
        parse("120", "in", most=3_000 * MM)
    with pytest.raises(LengthError) as raised:
        parse("1", "mm", least=254_001 * 10)
    assert parse(str(raised.value.remedy).split()[-2], "mm").nm >= 2_540_010


@pytest.mark.parametrize(
    ("nm", "unit", "field", "text"),
    [
        (4 * MM, "mm", "in", "4 mm"),
        (4 * MM, "mm", "mm", "4"),
        (7_937_500, "in", "in", "5/16"),
        (7_937_500, "in", "mm", "5/16 in"),
        (36_512_500, "in", "in", "1 7/16"),
        (INCH // 64, "in", "in", "1/64"),
        (INCH * 3 // 10, "in", "in", "0.3"),
        (8_466_667, "in", "in", "1/3"),
        (1, "in", "in", "0.000001 mm"),
        (1, "in", "mm", "0.000001"),
        (YARD * 9 // 4, "yd", "yd", "2 1/4"),
        (YARD // 3, "yd", "yd", "1/3"),
        (12_000_000, "cm", "cm", "1.2"),
        (2_340 * MM, "m", "m", "2.34"),
        (63 * INCH, "ft", "ft", "5 1/4"),
        (0, "in", "in", "0"),
    ],
)
def test_exact_is_short_and_keeps_the_unit_typed(nm: int, unit: str, field: str, text: str) -> None:
    assert exact(nm, unit, field) == text
    assert parse(text, field).nm == nm


@given(nm=up_to_100_m, unit=written_units, field=written_units)
@settings(seeded, max_examples=3_000)
@example(nm=HUNDRED_METRES, unit="in", field="in")
@example(nm=HUNDRED_METRES - 1, unit="yd", field="in")
@example(nm=1, unit="ft", field="yd")
def test_exact_text_reads_back_to_the_same_nanometre(nm: int, unit: str, field: str) -> None:
    assert parse(exact(nm, unit, field), field).nm == nm


@given(
    count=st.integers(min_value=0, max_value=4_000 * 64),
    parts=st.sampled_from([2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 16, 32, 36, 64, 100, 127]),
    off=st.integers(min_value=-2, max_value=2),
    unit=st.sampled_from(["in", "ft", "yd"]),
)
@settings(seeded, max_examples=3_000)
def test_exact_text_reads_back_near_every_fraction(count: int, parts: int, off: int, unit: str) -> None:
    nm = min(max(0, count * UNITS[unit] // parts + off), HUNDRED_METRES)
    assert parse(exact(nm, unit), unit).nm == nm


def test_exact_text_reads_back_for_runs_of_neighbouring_nanometres() -> None:
    rng = random.Random(20_250)
    starts = [0, HUNDRED_METRES - 1_000, *(rng.randrange(HUNDRED_METRES) for _ in range(20))]
    for start in starts:
        for unit in ("mm", "in", "yd"):
            assert all(parse(exact(nm, unit), unit).nm == nm for nm in range(start, start + 300))


@given(nm=up_to_100_m, kind=st.sampled_from(Rounding), system=st.sampled_from(System))
@seeded
def test_rounded_text_is_off_by_at_most_half_its_step(nm: int, kind: Rounding, system: System) -> None:
    steps = {
        (Rounding.MARK, System.METRIC): MM // 2,
        (Rounding.PANEL, System.METRIC): MM,
        (Rounding.CLOTH, System.METRIC): 10 * MM,
        (Rounding.MARK, System.INCH): INCH // 32,
        (Rounding.PANEL, System.INCH): INCH // 16,
        (Rounding.CLOTH, System.INCH): YARD // 8,
    }
    step = steps[kind, system]
    shown = parse(rounded(nm, kind, system), "mm").nm
    assert shown == rounded_value(nm, kind, system)
    assert shown % step == 0
    assert abs(shown - nm) * 2 <= step
    assert rounded(nm, kind, system) == f"{rounded_number(nm, kind, system)} {rounded_unit(kind, system)}"


@pytest.mark.parametrize(
    ("nm", "kind", "system", "text"),
    [
        (483_400_000, Rounding.PANEL, System.METRIC, "48.3 cm"),
        (483_500_000, Rounding.PANEL, System.METRIC, "48.4 cm"),
        (480 * MM, Rounding.PANEL, System.METRIC, "48.0 cm"),
        (12_250_000, Rounding.MARK, System.METRIC, "12.5 mm"),
        (2_344 * MM, Rounding.CLOTH, System.METRIC, "2.34 m"),
        (33_337_500, Rounding.PANEL, System.INCH, "1 ⁵⁄₁₆ in"),
        (INCH // 64, Rounding.MARK, System.INCH, "¹⁄₃₂ in"),
        (YARD * 19 // 8, Rounding.CLOTH, System.INCH, "2 ³⁄₈ yd"),
        (2 * YARD, Rounding.CLOTH, System.INCH, "2 yd"),
        (0, Rounding.PANEL, System.INCH, "0 in"),
        (-1_500_000, Rounding.MARK, System.METRIC, "−1.5 mm"),
    ],
)
def test_rounded_text(nm: int, kind: Rounding, system: System, text: str) -> None:
    assert rounded(nm, kind, system) == text


@pytest.mark.parametrize(
    ("nm", "system", "text"),
    [
        (7_937_500, System.METRIC, "about 7.9 mm"),
        (12_700_000, System.METRIC, "12.7 mm"),
        (25_400_000, System.METRIC, "25.4 mm"),
        (4 * MM, System.INCH, "about ⁵⁄₃₂ in"),
        (12_700_000, System.INCH, "¹⁄₂ in"),
        (30_000, System.METRIC, "less than 0.1 mm"),
        (3 * MM, System.METRIC, "3 mm"),
    ],
)
def test_a_depth_in_the_other_unit_says_about(nm: int, system: System, text: str) -> None:
    assert about(nm, system) == text


def test_five_sixteenths_eight_thousand_times_are_2500_inches() -> None:
    assert sum(parse("5/16 in", "mm").nm for _ in range(8_000)) == parse("2500", "in").nm


def test_to_buy_goes_up_to_the_step() -> None:
    assert buy_up(2_300 * MM, 100 * MM) == 2_300 * MM
    assert buy_up(2_300 * MM + 1, 100 * MM) == 2_400 * MM
    assert buy_up(YARD + 1, YARD // 8) == YARD * 9 // 8


@given(total=st.integers(min_value=0, max_value=10**13), n=st.integers(min_value=1, max_value=60))
@seeded
def test_parts_sum_to_the_whole(total: int, n: int) -> None:
    parts = share_out(total, n)
    assert len(parts) == n and sum(parts) == total
    assert max(parts) - min(parts) <= 1


def test_fields_have_a_unit_in_both_systems() -> None:
    assert [field_unit(k, System.METRIC) for k in ("fine", "piece", "cloth")] == ["mm", "cm", "m"]
    assert [field_unit(k, System.INCH) for k in ("fine", "piece", "cloth")] == ["in", "in", "yd"]


@given(text=st.text(max_size=60) | st.text("0123456789.,/- '\"½⁵⁄₁₆′″mincftyd", max_size=20))
@seeded
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    try:
        typed = parse(text, "mm")
    except LengthError as error:
        assert error.remedy in str(error)
    else:
        assert typed.nm >= 0 and typed.unit in UNITS


@pytest.mark.parametrize(
    ("nm", "metric", "inch"),
    [
        (160_000, "0.16 mm", "about 0.006 in"),
        (9 * 160_000, "1.44 mm", "about 0.057 in"),
        (396_875, "about 0.4 mm", "¹⁄₆₄ in"),
        (152_400, "about 0.15 mm", "0.006 in"),
        (2_000_000, "2 mm", "about 0.079 in"),
        (10_000, "0.01 mm", "less than 0.001 in"),
    ],
)
def test_thickness_is_as_it_was_measured(nm: int, metric: str, inch: str) -> None:
    assert lengths.thickness(nm, lengths.System.METRIC) == metric
    assert lengths.thickness(nm, lengths.System.INCH) == inch


STEPS = {
    (Rounding.MARK, System.METRIC): MM // 2,
    (Rounding.MARK, System.INCH): INCH // 32,
    (Rounding.PANEL, System.METRIC): MM,
    (Rounding.PANEL, System.INCH): INCH // 16,
    (Rounding.CLOTH, System.METRIC): 10 * MM,
    (Rounding.CLOTH, System.INCH): YARD // 8,
}


@seeded
@given(st.integers(0, HUNDRED_METRES), st.sampled_from(list(STEPS)))
def test_what_is_needed_is_never_shown_as_less(nm: int, how: tuple[Rounding, System]) -> None:
    """The next step up and no further, however it is read back."""
    read = parse(lengths.rounded_up(nm, *how), rounded_unit(*how)).nm
    assert nm <= read < nm + STEPS[how]
    assert read % STEPS[how] == 0
