"""Cutting orders, followed step by step by a judge of its own; and what remains afterwards."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.lay import Lay, LayPanel, LayRequest, Placement, plan_lay
from projects.calc.lay.cuts import Cut, Part, Remnant, cuts_of, remnants_of
from projects.calc.lay.leavings import empty_places
from projects.calc.lay.parting import settled
from projects.calc.lay.request import Flaw, StashLength
from tests.lay_cases import garment
from tests.straight_checker import box_of, can_be_cut, wrong_steps

seeded = settings(derandomize=True, max_examples=120, deadline=None)


def lay_of(*boxes: tuple[str, int, int, int, int], on: str = "") -> Lay:
    """Panels by name, x, y, width and length, as a lay."""
    laid = tuple(Placement(name, x, y, w, length, False, 1, on) for name, x, y, w, length in boxes)
    end = max(p.y + p.length for p in laid)
    return Lay(0 if on else end, laid, 0, Decimal(0), False)


def asked(width: int, **more: object) -> LayRequest:
    return LayRequest(width, (LayPanel("x", 1, 1),), **more)  # type: ignore[arg-type]


WHEEL = lay_of(("a", 0, 0, 6, 4), ("b", 6, 0, 4, 6), ("c", 4, 6, 6, 4), ("d", 0, 4, 4, 6))
ROWS = lay_of(("skirt", 0, 0, 6, 10), ("sash", 0, 10, 10, 3), ("cuff", 6, 0, 4, 2), ("band", 6, 2, 4, 8))


def test_rows_are_cut_across_first_then_along() -> None:
    """The used length off the roll, the row off it (the sash comes free), then the row apart."""
    cuts = cuts_of(ROWS, asked(10))
    lines = [(c.x1, c.y1, c.x2, c.y2, c.frees) for c in cuts]
    assert lines == [
        (0, 13, 10, 13, ()),
        (0, 10, 10, 10, (("sash", 1),)),
        (6, 0, 6, 10, (("skirt", 1),)),
        (6, 2, 10, 2, (("cuff", 1), ("band", 1))),
    ]
    assert all(c.straight for c in cuts)
    assert [c.part for c in cuts][1:] == [Part(0, 0, 10, 13), Part(0, 0, 10, 10), Part(6, 0, 4, 10)]
    assert wrong_steps(ROWS, asked(10), cuts) == []


@pytest.mark.parametrize(
    ("gap", "cuts"), [(3, [(40, 0, ("front", "back"))]), (6, [(40, 0, ("front",)), (46, 40, ("back",))])]
)
def test_a_gap_of_a_blade_takes_one_cut_and_a_wider_one_two(gap: int, cuts: list[object]) -> None:
    """3 mm are what the blade takes: one cut along the edge of the front frees the back beyond it as well."""
    mm = 1_000_000
    lay = lay_of(("front", 0, 0, 40 * mm, 100 * mm), ("back", (40 + gap) * mm, 0, 50 * mm, 100 * mm))
    request = asked((90 + gap) * mm, gap=gap * mm, smallest_remnant=20 * mm)
    found = cuts_of(lay, request)
    told = [(c.x1 // mm, c.part.x // mm, tuple(name for name, _ in c.frees)) for c in found[1:]]
    assert told == cuts
    assert wrong_steps(lay, request, found) == []


def test_a_blade_costs_no_more_cuts_than_none() -> None:
    """Ten pieces of a garment: what remains keeps a blade's width from the panels and asks for no cuts."""
    mm = 1_000_000
    whole = replace(garment(0), straight_cuts=True, smallest_remnant=100 * mm)
    counts = [len(cuts_of(plan_lay(q), q)) for q in (whole, replace(whole, gap=3 * mm))]
    assert counts == [17, 17]


def test_cloth_that_is_gone_is_not_cut_again() -> None:
    """The first blade is cut out of the wheel; cuts beside it begin at its edge, not at the selvedge."""
    cuts = cuts_of(WHEEL, asked(10, smallest_remnant=3))
    out, *after = cuts[1:]
    assert not out.straight and out.frees == (("a", 1),)
    assert [(c.x1, c.y1, c.x2, c.y2, c.frees, c.part) for c in after] == [
        (4, 4, 4, 10, (("d", 1),), Part(0, 0, 10, 10)),
        (4, 6, 10, 6, (("c", 1),), Part(4, 0, 6, 10)),
        (6, 4, 6, 6, (("b", 1),), Part(4, 0, 6, 6)),
    ]
    assert [c.gone for c in after] == [(Part(0, 0, 6, 4),), (Part(4, 0, 2, 4),), (Part(4, 0, 2, 4),)]
    assert wrong_steps(WHEEL, asked(10), cuts) == []
    again = (*cuts[:2], replace(after[0], y1=0), *after[1:])
    assert "edge to edge" in " ".join(wrong_steps(WHEEL, asked(10), again))


def test_what_is_gone_parts_the_cloth_without_a_cut() -> None:
    """A blank in the middle of a wheel's blade: once a part is as wide as the hole in it, it is two parts."""
    left = settled((0, 0, 10, 10), (), [(0, 2, 6, 5), (6, 2, 10, 4)])
    assert [(piece.box, piece.gone) for piece in left] == [
        ((0, 0, 10, 2), ()),
        ((0, 4, 10, 10), ((0, 4, 6, 5),)),
    ]
    assert settled((0, 0, 4, 4), (), [(0, 0, 2, 4), (2, 0, 5, 9)]) == []


def test_what_no_straight_cut_divides_is_cut_out() -> None:
    """One panel of the wheel is cut out; then straight cuts part the others."""
    assert not can_be_cut(list(WHEEL.placements))
    cuts = cuts_of(WHEEL, asked(10, smallest_remnant=3))
    assert [c.straight for c in cuts].count(False) == 1
    assert wrong_steps(WHEEL, asked(10), cuts) == []


def test_a_length_that_is_used_up_needs_no_first_cut() -> None:
    request = asked(0, lengths=(StashLength("remnant of linen", 10, 13), StashLength("canvas", 10, 20)))
    lay = lay_of(*[(p.name, p.x, p.y, p.width, p.length) for p in ROWS.placements], on="remnant of linen")
    assert [c.y1 for c in cuts_of(lay, request)][:1] == [10]
    lay = replace(lay, placements=tuple(replace(p, on="canvas") for p in lay.placements))
    first = cuts_of(lay, request)[0]
    assert (first.y1, first.part, first.on) == (13, Part(0, 0, 10, 20), "canvas")
    assert first.leaves == remnants_of(lay, request) == (Remnant("canvas", 0, 13, 10, 7),)
    assert wrong_steps(lay, request, cuts_of(lay, request)) == []


def test_a_length_that_is_one_panel_is_a_step_too() -> None:
    """Nothing is cut, but somebody takes it, and the panel is free then."""
    request = asked(0, lengths=(StashLength("remnant of linen", 6, 4),))
    lay = lay_of(("cuff", 0, 0, 6, 4), on="remnant of linen")
    (only,) = cuts_of(lay, request)
    assert (only.y1, only.frees, only.part) == (4, (("cuff", 1),), Part(0, 0, 6, 4))
    assert wrong_steps(lay, request, (only,)) == []


def test_remnants_are_the_largest_that_straight_cuts_leave() -> None:
    """A panel in a corner: the wide strip beside it whole, what is above it for the rest."""
    lay = lay_of(("yoke", 0, 0, 4, 3), ("belt", 0, 5, 10, 2))
    request = asked(10, smallest_remnant=2)
    assert remnants_of(lay, request) == (Remnant("", 4, 0, 6, 5), Remnant("", 0, 3, 4, 2))
    assert remnants_of(lay, replace(request, smallest_remnant=3)) == (Remnant("", 4, 0, 6, 5),)
    assert remnants_of(lay, replace(request, smallest_remnant=6)) == ()


def test_remnants_avoid_flaws_and_the_lost_end() -> None:
    length = StashLength("linen", 10, 10, flaws=(Flaw(8, 4, 1, 1),))
    request = LayRequest(0, (LayPanel("x", 1, 1),), end_loss=2, lengths=(length,), smallest_remnant=3)
    lay = lay_of(("x", 0, 2, 4, 8), on="linen")
    assert remnants_of(lay, request) == (Remnant("linen", 4, 2, 4, 8),)
    assert remnants_of(lay, replace(request, smallest_remnant=5)) == (Remnant("linen", 4, 5, 6, 5),)


def test_the_judge_sees_bad_steps() -> None:
    cuts = cuts_of(ROWS, asked(10))

    def told(*steps: Cut) -> str:
        return " ".join(wrong_steps(ROWS, asked(10), steps))

    assert "frees" in told(*cuts[:3], replace(cuts[3], frees=()))
    assert "not cut free" in told(*cuts[:3])
    assert "a piece that isn't there" in told(cuts[0], cuts[2], cuts[1], cuts[3])
    assert "edge to edge" in told(*cuts[:2], replace(cuts[2], y2=9), cuts[3])
    assert "through a panel" in told(cuts[0], replace(cuts[1], y1=9, y2=9), *cuts[2:])
    assert "numbers" in told(*cuts[:3], replace(cuts[3], number=9))


panels = st.lists(
    st.tuples(st.integers(1, 60), st.integers(1, 90), st.integers(1, 3), st.booleans()),
    min_size=1,
    max_size=10,
).map(lambda found: tuple(LayPanel(f"piece {i}", *size) for i, size in enumerate(found)))


@given(
    panels=panels,
    width=st.integers(60, 100),
    gap=st.integers(0, 3),
    least=st.integers(0, 20),
    end=st.integers(0, 3),
    unit=st.sampled_from((1, 2_000_000)),
)
@seeded
def test_every_order_cuts_every_panel_free_and_leaves_what_it_says(
    panels: tuple[LayPanel, ...], width: int, gap: int, least: int, end: int, unit: int
) -> None:
    """With units of 2 mm some gaps are a blade's, and some wider."""
    panels = tuple(replace(panel, width=panel.width * unit, length=panel.length * unit) for panel in panels)
    width, gap, least = width * unit, gap * unit, least * unit
    request = LayRequest(width, panels, gap=gap, smallest_remnant=least)
    lay = plan_lay(request)
    cuts, left = cuts_of(lay, request), remnants_of(lay, request)
    assert wrong_steps(lay, request, cuts) == []
    assert sorted(x for c in cuts for x in c.frees) == sorted((p.name, p.copy) for p in lay.placements)
    if can_be_cut(list(lay.placements)):
        assert all(c.straight for c in cuts)
    boxes = [box_of(r) for r in left]
    assert all(min(r.width, r.length) >= least and r.x >= 0 and r.y >= 0 for r in left)
    assert all(r.x + r.width <= width and r.y + r.length <= lay.length for r in left)
    for i, a in enumerate(boxes):
        for b in (*boxes[i + 1 :], *map(box_of, lay.placements)):
            assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
    assert {r for c in cuts for r in c.leaves} == set(left)


@given(
    taken=st.lists(st.tuples(*[st.integers(0, 6)] * 2, *[st.integers(1, 4)] * 2), max_size=5),
    least=st.integers(1, 3),
)
@seeded
def test_empty_places_are_those_found_by_trying_all(
    taken: list[tuple[int, int, int, int]], least: int
) -> None:
    boxes = [(x, y, min(x + w, 7), min(y + h, 7)) for x, y, w, h in taken if x < 7 and y < 7]
    cells = {(x, y) for a, b, c, d in boxes for x in range(a, c) for y in range(b, d)}
    free = [
        (a, b, c, d)
        for a in range(7)
        for b in range(7)
        for c in range(a + least, 8)
        for d in range(b + least, 8)
        if not any((x, y) in cells for x in range(a, c) for y in range(b, d))
    ]

    def grows(p: tuple[int, int, int, int]) -> bool:
        return any(o != p and o[0] <= p[0] and o[1] <= p[1] and o[2] >= p[2] and o[3] >= p[3] for o in free)

    assert sorted(empty_places((0, 0, 7, 7), boxes, least)) == sorted(p for p in free if not grows(p))


@pytest.mark.parametrize(("panels", "judged"), [(40, True), (400, False)])
def test_many_panels_are_cut_without_deep_calls(panels: int, judged: bool) -> None:
    """A staircase: each cut takes one panel off, across and along in turn."""
    boxes, x, y = [], 1_000, 1_000
    for i in range(panels):
        if i % 2:
            x -= 1
            boxes.append((f"piece {i}", x, 0, 1, y))
        else:
            y -= 1
            boxes.append((f"piece {i}", 0, y, x, 1))
    lay = lay_of(*boxes)
    cuts = cuts_of(lay, asked(1_000, smallest_remnant=2_000))
    assert sorted(name for cut in cuts for name, _ in cut.frees) == sorted(name for name, *_ in boxes)
    assert all(cut.straight and not cut.gone for cut in cuts)
    if judged:
        assert wrong_steps(lay, asked(1_000), cuts) == []


@pytest.mark.parametrize("smallest", [0, 5])
def test_no_panels_need_no_cuts(smallest: int) -> None:
    lay = Lay(0, (), 0, Decimal(0), True)
    request = LayRequest(10, (), smallest_remnant=smallest)
    assert cuts_of(lay, request) == remnants_of(lay, request) == ()
