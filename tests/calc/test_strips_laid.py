"""Bias strips as rectangles of a lay: one blank, or several pieces of what the panels leave."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from projects.calc.blanks import PER_JOIN, Asked, bias_blank, easy_to_join
from projects.calc.lay import LayError, LayPanel, LayRequest, plan_lay
from projects.calc.lay.bias import Wanted, cloth_taken, with_blanks
from projects.calc.lay.request import StashLength
from projects.calc.lay.strips import Laid, joined, panels_of, strips_laid
from tests.stash_checker import stash_faults

MM = 1_000_000
CM = 10 * MM
ASKED = Asked(300 * CM, 32 * MM, 6 * MM, 20 * CM)
ENDS = LayRequest(140 * CM, (LayPanel("Front", 120 * CM, 60 * CM), LayPanel("Back", 100 * CM, 60 * CM)))


def laid(request: LayRequest, wanted: tuple[Wanted, ...], found: Laid) -> LayRequest:
    rows = [panel for one, blanks in zip(wanted, found, strict=True) for panel in panels_of(one.name, blanks)]
    return replace(request, panels=(*request.panels, *rows))


def test_narrow_ends_serve_as_pieces_trimmed_to_what_is_needed() -> None:
    """20 by 120 cm beside both is too little, and a larger blank would lie below: with 20 by 30 cm more
    beside the back it is enough."""
    wanted = (Wanted("Bias blank", replace(ASKED, need=750 * CM)),)
    found = strips_laid(ENDS, wanted)
    whole = laid(ENDS, wanted, found)
    lay = plan_lay(whole)
    assert len(found[0]) == 2 and lay.length == 120 * CM
    assert [p.name for p in whole.panels[2:]] == ["Piece 1, bias blank", "Piece 2, bias blank"]
    asked = wanted[0].asked
    assert joined(asked, found[0]) >= asked.need
    first, last = found[0]
    assert (first.width, first.length, last.width, last.length) == (20 * CM, 120 * CM, 20 * CM, 30 * CM)
    assert all(side % CM == 0 for blank in found[0] for side in (blank.width, blank.length))
    less = replace(last, strips=asked.cut(last.width, last.length - CM))
    assert joined(asked, (first, less)) < asked.need
    assert stash_faults(whole, lay) == []


def test_a_blank_where_it_takes_no_more() -> None:
    request = LayRequest(140 * CM, (LayPanel("Front", 90 * CM, 90 * CM),))
    ((blank,),) = strips_laid(request, (Wanted("Bias blank", ASKED),))
    assert blank.strips.gives >= ASKED.need
    assert [p.name for p in panels_of("Bias blank", (blank,))] == ["Bias blank"]


@pytest.mark.parametrize("seed", range(30))
def test_the_lay_with_them_is_sound_and_takes_no_more_than_with_blanks(seed: int) -> None:
    random = Random(seed)
    panels = tuple(
        LayPanel(f"panel {i}", random.randint(20, 130) * CM, random.randint(20, 90) * CM)
        for i in range(random.randint(1, 12))
    )
    shelf = (StashLength("1", 120 * CM, random.randint(100, 500) * CM),) if seed % 3 == 0 else ()
    request = LayRequest(140 * CM, panels, lengths=shelf, one_dye_lot=False, straight_cuts=seed % 4 == 0)
    asked = easy_to_join(replace(ASKED, need=random.randint(50, 1_000) * CM), 300 * CM, 140 * CM)
    wanted = (Wanted("wide", asked), Wanted("narrow", replace(asked, need=100 * CM, strip=20 * MM)))
    found = strips_laid(request, wanted)
    whole = laid(request, wanted, found)
    lay = plan_lay(whole)
    assert stash_faults(whole, lay) == []
    for one, blanks in zip(wanted, found, strict=True):
        assert joined(one.asked, blanks) >= one.asked.need
        assert all(b.strips == one.asked.cut(b.width, b.length) for b in blanks)
    plain = with_blanks(request, wanted, odd_pieces=False)
    assert all(one.blank for one in plain.chosen)
    assert cloth_taken(whole, lay) <= cloth_taken(plain.request, plain.lay)


def test_no_blank_fits_and_nothing_is_left_is_refused() -> None:
    shelf = (StashLength("1", 140 * CM, 90 * CM),)
    request = LayRequest(0, (LayPanel("Front", 140 * CM, 90 * CM),), lengths=shelf)
    with pytest.raises(LayError, match="No blank for Bias blank fits"):
        strips_laid(request, (Wanted("Bias blank", ASKED),))


def test_two_times_98_cm_have_few_joins_and_a_little_to_spare() -> None:
    """The smallest blank gives 196 cm in seven strips and more of 21 cm; five of 40 cm take 6 dm2 more."""
    asked = Asked(196 * CM, 34 * MM, 6 * MM, 20 * CM)
    made = bias_blank(easy_to_join(asked, 98 * CM, 140 * CM), 140 * CM)
    assert (made.width, made.length) == (46 * CM, 31 * CM) and len(made.strips.lengths) == 5
    assert min(made.strips.lengths) >= 40 * CM and made.strips.gives >= 196 * CM * 102 // 100
    smallest = bias_blank(asked, 140 * CM)
    assert smallest.width * smallest.length < made.width * made.length
    assert len(smallest.strips.lengths) >= 7


def test_short_edges_and_narrow_cloth_have_shorter_strips() -> None:
    asked = Asked(48 * CM, 34 * MM, 6 * MM, 20 * CM)
    assert easy_to_join(asked, 24 * CM, 140 * CM).least == 24 * CM
    assert easy_to_join(asked, 12 * CM, 140 * CM).least == 20 * CM
    assert easy_to_join(asked, 98 * CM, 28 * CM).least == 20 * CM
    assert easy_to_join(asked, 98 * CM, 140 * CM) == replace(
        asked, need=48 * CM * 102 // 100, least=40 * CM, per_join=PER_JOIN
    )
