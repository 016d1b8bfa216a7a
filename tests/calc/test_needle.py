"""What passes under the needle, said once for seams that are alike."""

import pytest

from projects.calc.lengths import System
from projects.calc.needle import seam, stack, warnings
from tests.strategies import MM

THICK, LIFT = 12 * MM // 10, 5 * MM


def test_each_place_over_the_lift_is_said():
    assert warnings([stack("where tucks cross", 6, THICK, LIFT), seam("left", 4, THICK, LIFT)]) == (
        "6 layers, 7.2 mm, pass under the needle where tucks cross; the machine lifts 5 mm.",
    )


@pytest.mark.parametrize(
    ("edges", "said"),
    [
        (["left"], "in the left seam"),
        (["left", "top"], "in the left and top seams"),
        (["left", "right", "top", "bottom"], "in the left, right, top and bottom seams"),
    ],
)
def test_seams_that_are_alike_share_a_sentence(edges, said):
    assert warnings(seam(edge, 10, THICK, LIFT) for edge in edges) == (
        f"10 layers, 12 mm, pass under the needle {said}; the machine lifts 5 mm.",
    )


def test_a_warning_is_said_in_the_units_of_who_reads_it():
    thick = stack("where tucks cross", 4, 3_175_000, 6_350_000)
    assert warnings([thick], System.INCH) == (
        "4 layers, ¹⁄₂ in, pass under the needle where tucks cross; the machine lifts ¹⁄₄ in.",
    )
    assert "4 layers, 12.7 mm, " in warnings([thick])[0] and " 6.35 mm" in warnings([thick])[0]
    assert "about 0.047 in" in seam("left", 1, THICK, MM).warning(System.INCH)


def test_seams_that_differ_do_not():
    both = [seam("left", 10, THICK, LIFT, 2), seam("right", 10, THICK, LIFT, 4), seam("top", 8, THICK, LIFT)]
    begun = [said.split(" pass")[0] for said in warnings(both)]
    assert begun == ["10 layers, 12 mm,", "10 layers, 12 mm,", "8 layers, 9.6 mm,"]
    assert "there are 2 layers" in warnings(both)[0]


def test_a_cloth_of_unknown_thickness_says_nothing():
    assert warnings([seam("left", 100, None, LIFT)]) == ()
