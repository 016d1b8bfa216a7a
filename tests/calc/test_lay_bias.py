"""Blanks for strips on the bias in a lay: sized by what they honestly give, or cut from what is left over."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from random import Random

import pytest

from projects.calc.binding import BindingError, bias_strips
from projects.calc.blanks import Asked, bias_blank
from projects.calc.lay import LayError, LayPanel, LayRequest, plan_lay
from projects.calc.lay.bias import Wanted, WithBlanks, cloth_taken, left_over, square_blank, with_blanks
from projects.calc.lay.request import StashLength
from tests.stash_checker import stash_faults

MM = 1_000_000
CM = 10 * MM
ASKED = Asked(300 * CM, 32 * MM, 6 * MM, 20 * CM)
STRIPS = Wanted("Strips for the hem", ASKED)
FULL = LayRequest(140 * CM, (LayPanel("Front", 70 * CM, 90 * CM, 2),))
ROOMY = LayRequest(140 * CM, (LayPanel("Front", 90 * CM, 90 * CM),))


def sound(request: LayRequest, found: WithBlanks) -> None:
    """Every strip comes from cloth that is there, nothing is cut twice, and it is enough."""
    assert stash_faults(found.request, found.lay) == []
    assert found.request.panels[: len(request.panels)] == request.panels
    boxes = [(p.on, p.x, p.y, p.x + p.width, p.y + p.length) for p in found.lay.placements]
    for one in found.chosen:
        asked = one.wanted.asked
        assert one.gives >= asked.need
        laid = [p for p in found.lay.placements if p.name == one.wanted.name]
        assert len(laid) == (one.blank is not None)
        if one.blank is not None:
            assert {laid[0].width, laid[0].length} == {one.blank.width, one.blank.length}
            assert one.blank.strips == asked.cut(one.blank.width, one.blank.length)
        for piece in one.pieces:
            r = piece.remnant
            assert piece.strips == asked.cut(r.width, r.length)
            boxes.append((r.on, r.x, r.y, r.x + r.width, r.y + r.length))
    for a, b in combinations(boxes, 2):
        apart = a[0] != b[0] or a[3] <= b[1] or b[3] <= a[1] or a[4] <= b[2] or b[4] <= a[2]
        assert apart, (a, b)


def test_what_is_left_beside_a_panel_takes_no_cloth() -> None:
    """50 by 90 cm beside the front is more than enough, cut up or as a blank: no longer lay."""
    found = with_blanks(ROOMY, [STRIPS])
    sound(ROOMY, found)
    assert found.lay.length == 90 * CM


def test_where_nothing_is_left_a_blank_is_laid() -> None:
    found = with_blanks(FULL, [STRIPS])
    sound(FULL, found)
    (one,) = found.chosen
    assert one.blank is not None and one.pieces == ()
    widths = [bias_blank(ASKED, 140 * CM), bias_blank(ASKED, 70 * CM)]
    square = square_blank(ASKED, 140 * CM)
    assert square is not None
    shortest = min(min(b.width, b.length) for b in [*widths, square])
    assert found.lay.length == 90 * CM + shortest


def test_odd_pieces_serve_where_a_blank_would_need_more_cloth() -> None:
    """Two narrow ends hold no blank, but strips enough."""
    panels = (LayPanel("Front", 124 * CM, 60 * CM), LayPanel("Back", 124 * CM, 60 * CM))
    request = LayRequest(140 * CM, panels)
    found = with_blanks(request, [Wanted("Strips", replace(ASKED, need=200 * CM, least=10 * CM))])
    sound(request, found)
    assert found.lay.length == 120 * CM
    assert cloth_taken(found.request, found.lay) == cloth_taken(request, plan_lay(request))


def test_the_rest_of_a_length_is_not_left_over() -> None:
    request = replace(FULL, width=0, lengths=(StashLength("green wool", 140 * CM, 200 * CM),))
    lay = plan_lay(request)
    assert left_over(request, lay, ASKED) == []
    found = with_blanks(request, [STRIPS])
    sound(request, found)
    assert found.chosen[0].blank is not None
    assert found.lay.length == 0


def test_strips_without_panels_are_a_blank() -> None:
    request = LayRequest(140 * CM, ())
    found = with_blanks(request, [STRIPS])
    sound(request, found)
    assert found.chosen[0].blank is not None


def test_two_kinds_of_strips_never_share_a_piece() -> None:
    narrow = Wanted("Strips for the cuffs", replace(ASKED, need=100 * CM, strip=20 * MM))
    found = with_blanks(ROOMY, [narrow, STRIPS])
    sound(ROOMY, found)
    assert sorted(one.wanted.name for one in found.chosen) == ["Strips for the cuffs", "Strips for the hem"]


@pytest.mark.parametrize("seed", range(30))
def test_whatever_is_chosen_is_sound_and_takes_no_more_than_a_blank(seed: int) -> None:
    random = Random(seed)
    panels = tuple(
        LayPanel(f"panel {i}", random.randint(20, 90) * CM, random.randint(20, 90) * CM)
        for i in range(random.randint(1, 12))
    )
    shelf = (StashLength("green wool", 120 * CM, random.randint(100, 500) * CM),) if seed % 3 == 0 else ()
    request = LayRequest(
        140 * CM, panels, gap=random.choice((0, CM)), lengths=shelf, one_dye_lot=False, one_way=seed % 5 == 0
    )
    asked = replace(ASKED, need=random.randint(50, 2_000) * CM)
    found = with_blanks(request, [Wanted("Strips", asked)])
    sound(request, found)
    assert with_blanks(request, [Wanted("Strips", asked)]) == found
    blank = bias_blank(asked, 140 * CM)
    plain = replace(request, panels=(*panels, LayPanel("Strips", blank.width, blank.length, may_turn=True)))
    assert cloth_taken(found.request, found.lay) <= cloth_taken(plain, plan_lay(plain))


@pytest.mark.parametrize("need", [50 * CM, 300 * CM, 1_500 * CM])
def test_the_square_is_the_smallest_that_gives_enough(need: int) -> None:
    asked = replace(ASKED, need=need)
    square = square_blank(asked, 140 * CM)
    assert square is not None
    side = square.width
    assert square.length == side
    assert bias_strips(side, side, asked.strip, allowance=6 * MM, least=20 * CM).gives >= need
    less = side - asked.step
    assert bias_strips(less, less, asked.strip, allowance=6 * MM, least=20 * CM).gives < need


def test_no_square_is_wider_than_the_cloth() -> None:
    assert square_blank(replace(ASKED, need=3_000 * CM), 60 * CM) is None


def test_what_can_not_be_cut_is_refused() -> None:
    with pytest.raises(BindingError):
        with_blanks(FULL, [Wanted("Strips", replace(ASKED, need=0))])
    with pytest.raises(BindingError):
        with_blanks(replace(FULL, width=141 * CM), [Wanted("Strips", replace(ASKED, least=300 * CM))])
    with pytest.raises(LayError, match="both called Front"):
        with_blanks(FULL, [Wanted("Front", ASKED)])
    short = replace(FULL, width=0, lengths=(StashLength("green wool", 140 * CM, 90 * CM),))
    with pytest.raises(LayError, match="No blank for Strips for the hem fits"):
        with_blanks(short, [STRIPS])
