"""At the table: cuts ticked off in order, with cloth, panels, remnants and flaws, and all taken back."""

import uuid
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.activities import balances, flaws, lay_cutting, stock
from projects.activities.lay_cutting import NotNow
from projects.activities.lay_question import question
from projects.activities.lays import accept
from projects.activities.panels import sync_panels
from projects.calc.lay import Lay, LayPanel, LayRequest, Placement, plan_lay
from projects.calc.lengths import System
from projects.models import ClothFlaw, ClothLength, Deletion, KeptLay, LayCut, LayDraft, Panel, Person
from projects.planning.lay_cuts import accepted_lay, cutting_of, made_cuts, steps_of
from projects.planning.lay_json import lay_to_json
from projects.printing.lay_cuts import words_of
from tests import make
from tests.cloth.posts import METRE, MM
from tests.cloth.test_lay_cutting import kept_coat, state, texts

NOW = timezone.now


def coat(page: Client, **fabric: Any) -> tuple[KeptLay, ClothLength]:
    project, cloth, roll = kept_coat(page, **fabric)
    kept = accepted_lay(project, cloth)
    assert kept is not None
    return kept, roll


def tick_all(kept: KeptLay, person: Person) -> None:
    for step in cutting_of(kept).steps:
        lay_cutting.tick(kept=kept, number=step.number, person=person, now=NOW())


def everything(kept: KeptLay, roll: ClothLength) -> tuple[Any, ...]:
    """What taking back must bring back."""
    cut = sorted(Panel.objects.filter(cut_at__isnull=False).values_list("name", flat=True))
    there = list(ClothLength.objects.live().order_by("pk").values_list("pk", "shelf", "held"))
    marks = list(ClothFlaw.objects.order_by("along", "length").values_list("along", "across", "length", "pk"))
    return state(roll, kept.project), cut, there, marks, cutting_of(kept).made


def test_all_cuts_in_order_book_all_panels_and_take_what_the_lay_takes(
    owner_page: Client, owner: Person
) -> None:
    kept, roll = coat(owner_page, shrink_along=Decimal("0.037"))
    takes = balances.reserved_for(roll, kept.project)
    tick_all(kept, owner)
    assert not Panel.objects.filter(cut_at=None).exists()
    assert state(roll, kept.project) == (9 * METRE - takes, 0)
    assert LayCut.objects.exclude(entry=None).count() == 1
    cutting = cutting_of(kept)
    assert cutting.next is None and cutting.last.number == len(cutting.steps)
    assert balances.recount(mend=False) == []


def test_each_panel_is_booked_by_the_cut_that_frees_it(owner_page: Client, owner: Person) -> None:
    kept, _ = coat(owner_page)
    for step in cutting_of(kept).steps:
        done = lay_cutting.tick(kept=kept, number=step.number, person=owner, now=NOW())
        assert sorted(panel.name for panel in done.panels) == sorted(step.frees)
        assert all(panel.cut_by == owner and panel.kept for panel in done.panels)


def test_what_is_left_over_is_a_length_in_the_stash(owner_page: Client, owner: Person) -> None:
    kept, roll = coat(owner_page, shrink_along=Decimal("0.04"))
    roll.dye_lot, roll.place = "7", "Shelf 2"
    roll.save()
    tick_all(kept, owner)
    found = list(roll.remnants.order_by("pk"))
    expected = [left for step in cutting_of(kept).steps for left in step.keeps]
    assert [(r.width, r.shelf) for r in found] == [(left.width, left.length) for left in expected] != []
    assert [r.label for r in found] == [f"{roll.label} remnant {n}" for n in range(1, len(found) + 1)]
    assert {(r.dye_lot, r.place, r.washed, r.fabric) for r in found} == {("7", "Shelf 2", True, roll.fabric)}
    assert found[0].label in owner_page.get(reverse("cloth")).content.decode()
    page = owner_page.get(reverse("length", args=[found[0].pk])).content.decode()
    assert reverse("length", args=[roll.pk]) in page


def test_taking_back_in_turn_leaves_no_trace_but_lines_of_the_ledger(
    owner_page: Client, owner: Person
) -> None:
    kept, roll = coat(owner_page, shrink_along=Decimal("0.037"))
    end = stock_end(kept, roll)
    for along in (end // 3, end - 20 * MM, end + 500 * MM):
        flaws.add(length=roll, values={"along": along, "across": 0, "length": 40 * MM, "width": 30 * MM})
    history = [everything(kept, roll)]
    steps = cutting_of(kept).steps
    for step in steps:
        lay_cutting.tick(kept=kept, number=step.number, person=owner, now=NOW())
        history.append(everything(kept, roll))
    assert len({str(h) for h in history}) == len(history)
    for step in reversed(steps):
        assert covered(history.pop()) == covered(everything(kept, roll))
        lay_cutting.untick(kept=kept, number=step.number, person=owner, now=NOW())
    assert covered(everything(kept, roll)) == covered(history.pop())
    assert balances.recount(mend=False) == []


def stock_end(kept: KeptLay, roll: ClothLength) -> int:
    """Where the lay ends on the length as it lies on the shelf (nm)."""
    return cutting_of(kept).steps[0].takes


def covered(what: tuple[Any, ...]) -> tuple[Any, ...]:
    """With flaws as the cloth they cover: one that was cut through comes back as two halves."""
    ends = {(a, x) for a, x, length, _ in what[3]} ^ {(a + length, x) for a, x, length, _ in what[3]}
    return (*what[:3], frozenset(ends), what[4])


def test_flaws_move_up_with_the_end(owner_page: Client, owner: Person) -> None:
    kept, roll = coat(owner_page)
    takes = stock_end(kept, roll)
    for along in (takes - 100 * MM, takes - 10 * MM, takes + METRE):
        flaws.add(length=roll, values={"along": along, "across": 0, "length": 30 * MM, "width": 30 * MM})
    lay_cutting.tick(kept=kept, number=1, person=owner, now=NOW())
    assert [(f.along, f.length) for f in roll.flaws.all()] == [(0, 20 * MM), (METRE, 30 * MM)]


def test_a_later_cut_says_which_come_first(owner_page: Client, owner: Person) -> None:
    kept, roll = coat(owner_page)
    last = cutting_of(kept).steps[-1]
    with pytest.raises(NotNow, match="comes after cuts? 1"):
        lay_cutting.tick(kept=kept, number=last.number, person=owner, now=NOW())
    with pytest.raises(NotNow, match="numbered 1 to"):
        lay_cutting.tick(kept=kept, number=99, person=owner, now=NOW())
    assert not LayCut.objects.exists() and balances.on_shelf(roll) == 9 * METRE


def test_only_what_nothing_came_of_is_taken_back(owner_page: Client, owner: Person) -> None:
    kept, roll = coat(owner_page)
    tick_all(kept, owner)
    with pytest.raises(NotNow, match="Take .* back first"):
        lay_cutting.untick(kept=kept, number=1, person=owner, now=NOW())
    steps = cutting_of(kept).steps
    leaving = next(step for step in reversed(steps) if step.keeps)
    for step in reversed(steps[leaving.number :]):
        lay_cutting.untick(kept=kept, number=step.number, person=owner, now=NOW())
    remnant = leaving_remnant(kept, leaving.number)
    stock.cut(row=remnant, amount=10 * MM, person=owner)
    before = everything(kept, roll)
    with pytest.raises(NotNow, match=f"booked on its remnant {remnant.label}"):
        lay_cutting.untick(kept=kept, number=leaving.number, person=owner, now=NOW())
    assert everything(kept, roll) == before


def leaving_remnant(kept: KeptLay, number: int) -> ClothLength:
    return kept.cuts.get(number=number).remnants.get()


def test_a_remnant_taken_back_is_among_the_deleted_and_empty(owner_page: Client, owner: Person) -> None:
    kept, _ = coat(owner_page)
    leaving = next(step for step in cutting_of(kept).steps if step.keeps)
    for number in range(1, leaving.number + 1):
        lay_cutting.tick(kept=kept, number=number, person=owner, now=NOW())
    remnant = leaving_remnant(kept, leaving.number)
    lay_cutting.untick(kept=kept, number=leaving.number, person=owner, now=NOW())
    remnant.refresh_from_db()
    assert not remnant.is_live and remnant.shelf == 0
    assert Deletion.objects.filter(what__contains=remnant.label).count() == 1
    lay_cutting.tick(kept=kept, number=leaving.number, person=owner, now=NOW())
    assert leaving_remnant(kept, leaving.number).label == remnant.label


def test_a_changed_plan_stops_the_cutting_but_not_taking_back(owner_page: Client, owner: Person) -> None:
    kept, _ = coat(owner_page)
    lay_cutting.tick(kept=kept, number=1, person=owner, now=NOW())
    kept.project.pieces.filter(name="Back").update(along=900 * MM)
    with pytest.raises(NotNow, match="plan has changed"):
        lay_cutting.tick(kept=kept, number=2, person=owner, now=NOW())
    text = table(owner_page, kept)
    assert "The plan has changed since" in text and "Cut 2 is made" not in text
    lay_cutting.untick(kept=kept, number=1, person=owner, now=NOW())
    assert not LayCut.objects.exists()


def test_what_an_earlier_release_took_is_not_taken_again(owner_page: Client, owner: Person) -> None:
    kept, roll = coat(owner_page)
    takes = stock_end(kept, roll)
    stock.cut(
        row=roll, amount=400 * MM, person=owner, project=kept.project, note="stretch 1 of the lay", at=NOW()
    )
    assert stock_end(kept, roll) == takes - 400 * MM
    tick_all(kept, owner)
    assert balances.on_shelf(roll) == 9 * METRE - takes


def table(page: Client, kept: KeptLay) -> str:
    return page.get(reverse("lay_table", args=[kept.project_id, kept.fabric_id])).content.decode()


def post(page: Client, verb: str, kept: KeptLay, number: object, **headers: str) -> Any:
    address = reverse(f"lay_cut_{verb}", args=[kept.project_id, kept.fabric_id])
    return page.post(address, {"op": str(uuid.uuid4()), "number": number}, headers=headers)


def test_the_page_leads_through_all_cuts_with_and_without_htmx(owner_page: Client) -> None:
    kept, roll = coat(owner_page)
    count = len(cutting_of(kept).steps)
    for number in range(1, count + 1):
        assert f"Cut {number} is made" in table(owner_page, kept)
        if number % 2:
            answer = post(owner_page, "made", kept, number)
            assert answer.status_code == 303 and f"Cut {number} is made." in texts(answer)
        else:
            text = post(owner_page, "made", kept, number, **{"HX-Request": "true"}).content.decode()
            assert f"Cut {number} is made." in text and "<html" not in text and 'id="cutting"' in text
    assert f"All {count} cuts are made" in table(owner_page, kept)
    assert post(owner_page, "back", kept, count).status_code == 303
    assert f"Cut {count} is made" in table(owner_page, kept)


def test_a_doubled_tick_is_one(owner_page: Client) -> None:
    kept, roll = coat(owner_page)
    for _ in range(2):
        post(owner_page, "made", kept, 1)
    assert LayCut.objects.count() == 1 and roll.entries.filter(kind="cut").count() == 1
    assert "ticked already" in texts(post(owner_page, "made", kept, 1))


@pytest.mark.parametrize("number", ["", "x", "-1", "0", "99999999", "2"])
def test_what_cant_be_ticked_is_said_and_books_nothing(owner_page: Client, number: str) -> None:
    kept, _ = coat(owner_page)
    answer = post(owner_page, "made", kept, number)
    assert answer.status_code == 303 and texts(answer)
    assert not LayCut.objects.exists()


def test_without_an_accepted_lay_the_page_says_what_to_do(owner_page: Client) -> None:
    kept, _ = coat(owner_page)
    address = reverse("lay_table", args=[kept.project_id, kept.fabric_id])
    kept.delete()
    assert "not accepted" in owner_page.get(address).content.decode()
    answer = owner_page.post(f"{address}made/", {"number": 1})
    assert answer.status_code == 303 and "not accepted any more" in texts(answer)


def test_cloth_to_buy_is_not_cut(owner_page: Client, owner: Person) -> None:
    kept, _ = coat(owner_page)
    KeptLay.objects.update(cloth=None)
    assert "still to buy" in table(owner_page, kept)
    assert "still to buy" in texts(post(owner_page, "made", kept, 1))
    assert not LayCut.objects.exists()


def test_it_needs_as_many_queries_for_many_panels_as_for_few(owner_page: Client, owner: Person) -> None:
    def asked(count: int) -> int:
        project, fabric = make.project(), make.fabric()
        sync_panels(make.piece(project, count=count, fabric=fabric))
        roll = make.length(fabric, received=90 * METRE)
        kept = accept(project=project, fabric=fabric, cloth=roll, seen=None, person=owner)
        lay_cutting.tick(kept=kept, number=1, person=owner, now=NOW())
        table(owner_page, kept)
        with CaptureQueriesContext(connection) as caught:
            table(owner_page, kept)
        return len(caught)

    assert asked(3) == asked(24)


def test_words_say_where_to_measure() -> None:
    lay = Lay(
        METRE,
        (
            Placement("skirt", 0, 0, 600 * MM, METRE, False),
            Placement("cuff", 600 * MM, 0, 400 * MM, 200 * MM, False),
        ),
        0,
        Decimal(0),
        False,
    )
    request = LayRequest(METRE, (LayPanel("skirt", 1, 1),), smallest_remnant=50 * MM)
    words = [words_of(step, "V1", System.METRIC) for step in steps_of(lay, request)]
    assert [(w.title, [m.figure for m in w.measures], w.frees, w.leaves) for w in words] == [
        ("Cut off what is used of V1", ["100.0 cm"], "", ""),
        ("Cut along the grain", ["60.0 cm"], "skirt", ""),
        ("Cut across", ["20.0 cm"], "cuff", "40.0 cm × 80.0 cm"),
    ]
    assert words[1].measures[0].label == "across the part, from its left selvedge"
    assert words[2].measures[0].label == "along the part, from its cut end"


def test_two_lengths_of_the_shelf_are_cut_by_themselves(owner_page: Client, owner: Person) -> None:
    """Each gives what the lay uses of it with its own first cut, and may be cut before the other."""
    project, fabric = make.project(), make.fabric(shrink_along=Decimal("0.04"))
    sync_panels(make.piece(project, name="Front", count=2, mirrored=True, fabric=fabric))
    sync_panels(make.piece(project, name="Back", across=1_200 * MM, fabric=fabric))
    rolls = [make.length(fabric, received=METRE, washed=washed) for washed in (True, False)]
    LayDraft.objects.create(project=project, fabric=fabric)
    kept = accept(project=project, fabric=fabric, seen=None, person=owner)
    used = {row.cloth_id: row.used for row in kept.lengths.all()}
    assert set(used) == {roll.pk for roll in rolls} and used[rolls[1].pk] > used[rolls[0].pk]
    second = next(step for step in cutting_of(kept).steps if step.cuts_off and step.number > 1)
    lay_cutting.tick(kept=kept, number=second.number, person=owner, now=NOW())
    assert state(second.cloth, project) == (METRE - used[second.cloth.pk], 0)
    assert cutting_of(kept).next.number == 1
    for step in cutting_of(kept).steps:
        lay_cutting.tick(kept=kept, number=step.number, person=owner, now=NOW())
    assert [state(roll, project) for roll in rolls] == [(METRE - used[roll.pk], 0) for roll in rolls]
    assert not Panel.objects.filter(cut_at=None).exists()
    assert not cutting_of(kept).changed


def test_two_projects_on_one_lay_are_cut_together(owner_page: Client, owner: Person) -> None:
    """The cloth goes off for the lay's own project; each panel is booked in its own."""
    fabric = make.fabric()
    coat, capelet = make.project("Concert coat"), make.project("Capelet")
    for project in (coat, capelet):
        sync_panels(make.piece(project, name="Front", fabric=fabric))
    roll = make.length(fabric, received=9 * METRE)
    draft = LayDraft.objects.create(project=coat, fabric=fabric, use_stash=False)
    draft.others.add(capelet)
    lay_work_result(draft)
    kept = accept(project=coat, fabric=fabric, seen=None, person=owner, cloth=roll)
    assert list(kept.others.all()) == [capelet]
    assert accepted_lay(capelet, fabric) == kept
    page = owner_page.get(reverse("lay_table", args=[capelet.pk, fabric.pk])).content.decode()
    assert "Cut 1 is made" in page
    tick_all(kept, owner)
    assert not Panel.objects.filter(cut_at=None).exists()
    assert made_cuts(capelet) == made_cuts(coat)
    lay_cutting.mark_uncut(panel=Panel.objects.get(piece__project=capelet), person=owner, now=NOW())
    assert Panel.objects.get(piece__project=coat).cut_at is not None


def lay_work_result(draft: LayDraft) -> None:
    """A best lay for the draft, found at once."""
    asked = question(draft)
    draft.inputs, draft.result = asked.inputs, lay_to_json(plan_lay(asked.request))
    draft.save()
