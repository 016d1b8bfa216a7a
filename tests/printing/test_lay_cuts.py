"""The words of a lay's cuts."""

from projects.calc.lay.cuts import Cut, Part
from projects.calc.lengths import System
from projects.planning.lay_cuts import CutStep
from projects.printing.lay_cuts import words_of
from tests.cloth.posts import METRE, MM


def test_words_of_a_cut_round_a_panel_leave_out_measures_of_nothing() -> None:
    whole = Part(0, 0, METRE, METRE)

    def said(x: int, y: int) -> str:
        cut = Cut(1, "", x, y, x + 170 * MM, y + 250 * MM, (("blank", 1),), straight=False, part=whole)
        step = CutStep(cut, None, 0, cuts_off=False, frees=("blank",), keeps=(), needs=(), made=None)
        return words_of(step, "V1", System.METRIC).line

    of = "in the part 100.0 cm wide and 100.0 cm long."
    size = "its size, across × along: 17.0 cm × 25.0 cm"
    across = "across, from the left selvedge to where it begins: 41.7 cm"
    along = "along, from the part’s cut end to where it begins: 30.0 cm"
    assert said(417 * MM, 0) == f"{across}; {size}. Cut all round it, at the cut end, {of}"
    assert said(417 * MM, 300 * MM) == f"{along}; {across}; {size}. Cut all round it, {of}"
    assert said(0, 0).endswith(f"Cut all round it, at the cut end and against the left selvedge, {of}")


def test_a_cut_in_a_part_with_a_hole_says_that_it_runs_in_what_is_left() -> None:
    part, hole = Part(0, 0, METRE, METRE), Part(0, 0, 170 * MM, 250 * MM)
    cut = Cut(2, "", 170 * MM, 200 * MM, METRE, 200 * MM, (), straight=True, part=part, gone=(hole,))
    step = CutStep(cut, None, 0, cuts_off=False, frees=(), keeps=(), needs=(1,), made=None)
    assert words_of(step, "V1", System.METRIC).how.endswith("100.0 cm long, where cloth is left.")
