"""From the cloth owned: three numbers give the fourth, and where nothing fits it says what would."""

from __future__ import annotations

import pytest
from hypothesis import assume, given

from projects.calc.axis import Tuck, place, repeat_flat, repeat_of, take_up_of
from projects.calc.backwards import UNKNOWNS, BackwardsError, recipe_from_cloth, scaled_to_cloth, solve
from tests.strategies import FIXED, MM, extras, lengths, tuck_rows

GRADUATED = tuple(Tuck(s * MM, d * MM) for s, d in ((18, 4), (12, 7), (12, 10), (12, 7)))
METRE = 1_000 * MM


def test_how_deep() -> None:
    found = solve(METRE, spacing=20 * MM, number=20, finished=500 * MM)
    assert (found.solved, found.depth, found.left) == ("depth", 12_500_000, 0)
    assert solve(METRE, spacing=20 * MM, number=20, finished=500 * MM, extra=MM).depth == 12_000_000


def test_how_far_apart() -> None:
    found = solve(METRE, depth=5 * MM, number=20, finished=500 * MM)
    assert (found.spacing, found.left, found.gap) == (25 * MM, 300 * MM, 20 * MM)


def test_how_many_by_cloth_and_by_room() -> None:
    assert solve(METRE, depth=20 * MM, spacing=20 * MM, finished=500 * MM).number == 12
    assert solve(METRE, depth=5 * MM, spacing=20 * MM, finished=500 * MM).number == 25


def test_how_large() -> None:
    assert solve(METRE, depth=5 * MM, spacing=20 * MM, number=20).finished == 800 * MM
    assert solve(METRE, depth=5 * MM, spacing=20 * MM, number=20, plain=60 * MM).finished == 740 * MM


@pytest.mark.parametrize(
    ("given_numbers", "field", "remedy"),
    [
        ({"depth": 50, "spacing": 60, "number": 20}, "finished", "6 tucks would fit"),
        ({"depth": 50, "finished": 900, "number": 20}, "spacing", "a depth of 2.5 mm would just fit"),
        ({"spacing": 50, "finished": 900, "number": 20}, "number", "sew 18 tucks"),
        ({"spacing": 10, "finished": 999, "number": 20}, "depth", "at most 2 tucks fit"),
        ({"depth": 60, "spacing": 100, "finished": 950}, "number", "880 mm finished would fit"),
        ({"depth": 60, "spacing": 100, "finished": 50}, "spacing", "Close the spacing to 50 mm"),
        ({"depth": 0, "spacing": 100, "finished": 50}, "depth", "Check the unit"),
        ({"depth": 5, "spacing": 100}, "number", "exactly one empty"),
        ({"depth": 5, "spacing": 100, "number": 2, "finished": 300}, "finished", "exactly one empty"),
    ],
)
def test_where_nothing_fits_it_says_what_would(
    given_numbers: dict[str, int], field: str, remedy: str
) -> None:
    arguments = {name: n if name == "number" else n * MM for name, n in given_numbers.items()}
    with pytest.raises(BackwardsError) as refused:
        solve(METRE, **arguments)
    assert refused.value.field == field
    assert remedy in refused.value.remedy


def test_cloth_smaller_than_its_allowances_is_refused() -> None:
    with pytest.raises(BackwardsError, match="more than the 60 mm"):
        solve(50 * MM, depth=MM, spacing=MM, number=1, plain=60 * MM)


@FIXED
@given(lengths(MM, 20 * MM), lengths(2 * MM, 40 * MM), lengths(1, 60), extras(), lengths(0, 100 * MM))
def test_each_number_is_found_again(depth: int, spacing: int, number: int, extra: int, spare: int) -> None:
    """Cloth made for four numbers gives each of them back when it is the one left out."""
    finished = number * spacing + min(spare, spacing - 1)
    flat = finished + number * take_up_of(depth, extra)
    numbers = {"depth": depth, "spacing": spacing, "number": number, "finished": finished}
    for name in UNKNOWNS:
        found = solve(flat, **{**numbers, name: None}, extra=extra)
        assert found.left == 0
        if name != "spacing":
            assert getattr(found, name) == numbers[name]
        else:
            assert spacing <= found.spacing <= spacing + spare


def test_a_recipe_from_the_cloth() -> None:
    found = recipe_from_cloth(GRADUATED, flat=330 * MM, phase=0)
    assert (found.axis.count, found.axis.length, found.repeats, found.left) == (12, 162 * MM, 3, 0)
    assert recipe_from_cloth(GRADUATED, flat=340 * MM, phase=0).left == 10 * MM
    with pytest.raises(BackwardsError, match="not one tuck"):
        recipe_from_cloth(GRADUATED, flat=20 * MM, phase=0)


@FIXED
@given(tuck_rows(), extras(), lengths(50 * MM, 900 * MM))
def test_a_recipe_uses_all_the_cloth(tucks: tuple[Tuck, ...], extra: int, flat: int) -> None:
    assume(flat > 2 * repeat_flat(tucks, extra))
    found = recipe_from_cloth(tucks, flat=flat, extra=extra)
    assert found.axis.flat == flat
    assert found.repeats * repeat_flat(tucks, extra) + found.left == flat


@FIXED
@given(tuck_rows(), extras(), lengths(1, 6), lengths(0, 200 * MM))
def test_every_depth_changes_alike_to_use_the_cloth(
    tucks: tuple[Tuck, ...], extra: int, repeats: int, more: int
) -> None:
    finished = repeats * repeat_of(tucks)
    flat = repeats * repeat_flat(tucks, extra) + more
    deeper = scaled_to_cloth(tucks, flat=flat, finished=finished, extra=extra)
    used = place(deeper, length=finished, extra=extra).flat
    assert 0 <= flat - used < 2 * repeats * len(tucks)
    assert len({d.depth - t.depth for d, t in zip(deeper, tucks, strict=True)}) == 1


def test_depths_never_vanish() -> None:
    with pytest.raises(BackwardsError, match="shallowest tuck would vanish"):
        scaled_to_cloth(GRADUATED, flat=60 * MM, finished=54 * MM)
    with pytest.raises(BackwardsError) as refused:
        scaled_to_cloth([Tuck(20 * MM, MM)], flat=60 * MM, finished=MM)
    assert refused.value.field == "finished"
