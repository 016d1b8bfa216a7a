"""Each technique against the trade's worked examples and its own definition."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given

from projects.calc.axis import AxisError, Pressing, Tuck
from projects.calc.direction import TECHNIQUE_NAMES, Direction
from projects.calc.techniques import (
    TECHNIQUES,
    box_pleats,
    graduated,
    inverted_pleats,
    knife_pleats,
    pleat_strips,
)
from projects.calc.techniques.corded import round_the_cord, thickness_note
from projects.calc.techniques.released import extents, sewn_length
from tests.strategies import FIXED, MM, directions, lengths

CM = 10 * MM


@pytest.mark.parametrize(
    ("section", "depth", "width", "n", "pattern"),
    [
        (920 * MM, 4 * CM, 5 * CM, 18, 2360 * MM),  # NIMI p203
        (1722 * MM, 42 * MM, 4 * CM, 43, 5334 * MM),  # NIMI p205
        (1440 * MM, 35 * MM, 3 * CM, 48, 4800 * MM),  # NIMI p205
    ],
)
def test_knife_pleats(section: int, depth: int, width: int, n: int, pattern: int) -> None:
    pleats = knife_pleats(section, depth, width)
    assert (pleats.n, pleats.pattern) == (n, pattern)
    assert pleats.width == Fraction(section, n)
    assert pleats.folds[0] == 0 and pleats.folds[-1] == section


def test_knife_pleat_width_is_never_rounded_before_it_is_multiplied() -> None:
    """NIMI p203: 92 cm in 18 pleats show 5.111.. cm each."""
    pleats = knife_pleats(920 * MM, 4 * CM, 5 * CM)
    assert float(pleats.width) / CM == pytest.approx(5.111111111111111)
    assert pleats.folds[9] == 460 * MM
    assert pleats.folds[1] == 51_111_111 and pleats.folds[2] == 102_222_222


def test_one_box_pleat() -> None:
    """NIMI p204: section 60 cm, depth 12 cm, one pleat: pattern 108 cm."""
    pleats = box_pleats(60 * CM, 12 * CM, 60 * CM)
    assert (pleats.n, pleats.pattern) == (1, 108 * CM)
    assert inverted_pleats(60 * CM, 12 * CM, 60 * CM).pattern == 108 * CM


@pytest.mark.parametrize(
    ("pattern", "cloth", "allowance", "length", "n", "strips", "cloth_length"),
    [
        (236 * CM, 90 * CM, 2 * CM, 15 * CM, 18, 3, 45 * CM),  # NIMI p203
        (5334 * MM, 148 * CM, 25 * MM, 48 * CM, 43, 4, 192 * CM),  # NIMI p205
    ],
)
def test_pleat_strips(
    pattern: int, cloth: int, allowance: int, length: int, n: int, strips: int, cloth_length: int
) -> None:
    assert pleat_strips(pattern, cloth, allowance, length).strips == strips
    whole = pleat_strips(pattern, cloth, allowance, length, n)
    assert (whole.strips, whole.cloth_length) == (strips, cloth_length)
    assert sum(whole.pleats) == n and len(whole.pleats) == strips


def test_a_cloth_too_narrow_for_one_pleat_is_refused() -> None:
    with pytest.raises(AxisError, match="one whole pleat"):
        pleat_strips(1000 * MM, 100 * MM, 20 * MM, 500 * MM, 5)
    with pytest.raises(AxisError, match="wider cloth"):
        pleat_strips(1000 * MM, 20 * MM, 20 * MM, 500 * MM)


def test_a_narrow_section_still_has_one_pleat() -> None:
    assert knife_pleats(10 * MM, 4 * MM, 50 * MM).n == 1
    assert knife_pleats(25 * MM, 4 * MM, 10 * MM).n == 3  # half up
    with pytest.raises(AxisError, match="above 0"):
        knife_pleats(0, 4 * MM, 50 * MM)


def test_graduated_depths() -> None:
    """2 (n d + s n (n - 1) / 2) = 144 mm."""
    assert 2 * sum(graduated(4 * MM, MM, 9)) == 144 * MM


def lay(technique: str, length: int = 600 * MM, **more: object):  # type: ignore[no-untyped-def]
    direction = Direction(technique, width=60 * MM, depth=20 * MM, **more)  # type: ignore[arg-type]
    return TECHNIQUES[technique].place(direction, length, 0, None, lead=50 * MM, section=300 * MM)


def test_knife_pleats_lie_over_the_section_and_nowhere_else() -> None:
    on = lay("knife")
    assert on.covers() == tuple((50 * MM + (60 * i + 40) * MM, 50 * MM + 60 * (i + 1) * MM) for i in range(5))
    back = lay("knife", pressing=Pressing.BACK)
    assert back.covers() == tuple((50 * MM + 60 * i * MM, 50 * MM + (60 * i + 20) * MM) for i in range(5))
    assert on.flat == 600 * MM + 5 * 40 * MM


def test_knife_pleats_turn_at_the_centre() -> None:
    turned = lay("knife", turns_at_centre=True)
    on, back = Pressing.ON, Pressing.BACK
    assert turned.pressings == (on, on, Pressing.OPENED, back, back)
    assert turned.mirrored().covers() == tuple(
        (600 * MM - end, 600 * MM - start) for start, end in reversed(turned.covers())
    )


def test_pleats_deeper_than_wide_overlap_inside_the_section() -> None:
    """NIMI p205: 43 pleats 4 cm wide, 4.2 cm deep."""
    direction = Direction("knife", width=40 * MM, depth=42 * MM)
    axis = TECHNIQUES["knife"].place(direction, 1722 * MM, 0, None)
    assert axis.flat == 5334 * MM
    assert axis.seams[0] == 0
    assert max(axis.gaps()) < 0 and axis.layers_max == 5


def test_box_pleats_turn_apart_at_one_seam() -> None:
    box = lay("box")
    assert box.count == 10 and box.take_up == 10 * 40 * MM
    assert box.seams[:2] == (80 * MM, 80 * MM)
    assert box.covers()[:2] == ((60 * MM, 80 * MM), (80 * MM, 100 * MM))


def test_inverted_pleats_meet_in_the_middle() -> None:
    inverted = lay("inverted")
    assert inverted.seams[1] - inverted.seams[0] == 2 * 20 * MM
    assert inverted.covers()[:2] == ((60 * MM, 80 * MM), (80 * MM, 100 * MM))
    assert inverted.gaps()[0] == 0
    with pytest.raises(AxisError, match="half of what"):
        TECHNIQUES["inverted"].place(Direction("inverted", width=60 * MM, depth=31 * MM), 600 * MM, 0, None)


def test_corded_tucks_take_up_the_way_round_the_cord() -> None:
    """pi (cord + t) = pi x 2.2 mm = 6.911504 mm, even; covers (cord + 2 t) / 2 = 1.2 mm each side."""
    direction = Direction("corded", tucks=(Tuck(15 * MM, 0),), cord=2 * MM)
    axis = TECHNIQUES["corded"].place(direction, 60 * MM, 0, 200_000, phase=0)
    assert round_the_cord(2 * MM, 200_000) == 6_911_504
    assert axis.take_ups[0] == 6_911_504
    assert axis.covers()[0] == (13_800_000, 16_200_000)
    assert set(axis.pressings) == {Pressing.CORDED}
    sampled = TECHNIQUES["corded"].place(direction, 60 * MM, 400_000, 200_000, phase=0)
    assert sampled.take_up - axis.take_up == 4 * 400_000


def test_an_unknown_thickness_counts_as_nothing_and_says_so() -> None:
    assert round_the_cord(2 * MM, None) == round_the_cord(2 * MM, 0)
    assert "not known" in thickness_note(None)
    assert thickness_note(100_000) == ""


def test_twin_needle_tucks_need_no_cord() -> None:
    direction = Direction("twin_needle", tucks=(Tuck(10 * MM, 0),))
    axis = TECHNIQUES["twin_needle"].place(direction, 60 * MM, 0, 400_000, phase=0)
    assert axis.take_ups[0] == round_the_cord(0, 400_000) == 1_256_638  # pi x 0.4 mm, made even
    assert TECHNIQUES["twin_needle"].needs_sample


def test_released_tucks_have_two_extents() -> None:
    direction = Direction(tucks=(Tuck(20 * MM, 5 * MM),), sewn=150 * MM)
    found = extents(direction, 400 * MM, 600 * MM, 700 * MM)
    assert (found.sewn_end, found.free_end) == (400 * MM, 600 * MM)
    assert sewn_length(direction, 700 * MM) == 150 * MM
    whole = extents(direction, 400 * MM, 600 * MM, 150 * MM)
    assert whole.free_end == 400 * MM
    assert extents(None, 400 * MM, 600 * MM, 700 * MM).free_end == 400 * MM


def test_every_technique_has_the_same_verbs() -> None:
    assert tuple(TECHNIQUES) == TECHNIQUE_NAMES
    for name, technique in TECHNIQUES.items():
        assert technique.name == name and technique.title and technique.unit in ("tuck", "pleat")


@FIXED
@given(directions(), lengths(300 * MM, 900 * MM), lengths(0, 50 * MM))
def test_flat_is_finished_and_all_that_is_taken_up(direction: Direction, length: int, lead: int) -> None:
    technique = TECHNIQUES[direction.technique]
    axis = technique.place(direction, length, 0, 300_000, lead=lead, section=length - 2 * lead)
    assert axis.flat == length + sum(axis.take_ups)
    assert all(0 <= x <= length for x in axis.seams)
    starting = technique.starting_take_up(direction, 300_000)
    assert set(axis.take_ups) <= set(starting)
    assert technique.sew_note(direction).endswith(".")


@pytest.mark.parametrize("technique", ["knife", "box"])
@pytest.mark.parametrize("over_nm", [1, 99_999])
def test_pleats_rounded_to_overlap_by_a_hair_meet(technique: str, over_nm: int) -> None:
    """12 pleats as wide as they are deep, the section a little short: 3 layers, not 5; by 0.1 mm it is 5."""
    n, depth = 12, 20 * MM

    def layers(short: int) -> int:
        width = 2 * depth if technique == "box" else depth
        direction = Direction(technique, width=width, depth=depth)
        found = TECHNIQUES[technique].place(direction, n * (width - short), 0, None)
        assert found.depths == (depth,) * found.count
        return found.layers_max

    assert layers(0) == layers(over_nm) == 3
    assert layers(100_000) == 5
