"""A lay that is let go while it is being cut: no cloth is lost by it."""

import uuid
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from projects.activities import lay_cutting, lay_work
from projects.activities.lays import accept, let_go
from projects.activities.panels import sync_panels
from projects.calc.lay.request import Flaw
from projects.calc.lengths import Rounding, System, rounded_down
from projects.models import ClothLength, KeptLay, Panel, Person, Piece
from projects.planning.lay_cuts import Cutting, cutting_of
from projects.planning.lay_uncut import uncut_parts
from tests import make
from tests.cloth.posts import METRE, MM
from tests.cloth.test_lay_table import coat

NOW = timezone.now


def begun(kept: KeptLay, person: Person, cuts: int) -> Cutting:
    for number in range(1, cuts + 1):
        lay_cutting.tick(kept=kept, number=number, person=person, now=NOW())
    return cutting_of(kept)


def area(cutting: Cutting) -> int:
    """Cloth of panels that no cut has freed (nm2)."""
    free = {piece for step in cutting.steps if step.made for piece in step.cut.frees}
    laid = cutting.lay.placements
    return sum(p.width * p.length for p in laid if (p.name, p.copy) not in free)


@pytest.mark.parametrize("cuts", [0, 1, 2, 3, 4, 5])
def test_what_is_cut_off_and_not_cut_up_holds_each_panel_still_to_cut(
    owner_page: Client, owner: Person, cuts: int
) -> None:
    kept, roll = coat(owner_page)
    cutting = begun(kept, owner, min(cuts, len(cutting_of(kept).steps)))
    parts = uncut_parts(cutting)
    left = area(cutting)
    assert bool(parts) == bool(cuts and left)
    assert sum(p.left.width * p.left.length for p in parts) >= (left if cuts else 0)
    gone = let_go(project=kept.project, fabric=kept.fabric, person=owner)
    made = ClothLength.objects.filter(pk__in=[row.pk for row in gone.kept]).order_by("pk")
    assert [(row.width, row.shelf) for row in made] == [(p.left.width, p.left.length) for p in parts]
    assert all(row.cut_from == roll for row in gone.kept)


def test_the_page_names_them_and_they_are_washed_cloth(owner_page: Client, owner: Person) -> None:
    kept, roll = coat(owner_page, shrink_along=Decimal("0.037"))
    begun(kept, owner, 1)
    here = owner_page.get(reverse("length", args=[roll.pk])).content.decode()
    assert "not cut up yet" in here and kept.project.title in here
    Piece.objects.filter(name="Back").update(along=750 * MM)
    address = reverse("lay_let_go", args=[kept.project_id, kept.fabric_id])
    answer = owner_page.post(address, {"op": str(uuid.uuid4())}, follow=True)
    remnant = ClothLength.objects.get(cut_from=roll)
    assert remnant.shelf == kept.length and remnant.washed
    assert f"is on the shelf now: {remnant.label}" in answer.content.decode()
    assert "not cut up yet" not in owner_page.get(reverse("length", args=[roll.pk])).content.decode()


def changed_after(cuts: int, page: Client, person: Person) -> tuple[KeptLay, ClothLength, str]:
    """A lay whose plan changed after some cuts, with what its page says then."""
    kept, roll = coat(page)
    begun(kept, person, cuts)
    sync_panels(make.piece(kept.project, name="Collar", fabric=kept.fabric, across=60 * MM, along=70 * MM))
    answer = page.get(reverse("lay", args=[kept.project_id, kept.fabric_id]))
    return kept, roll, answer.content.decode()


def test_what_is_cut_off_is_said_when_the_plan_changes_and_serves_once_it_is_let_go(
    owner_page: Client, owner: Person
) -> None:
    kept, roll, text = changed_after(1, owner_page, owner)
    (part,) = uncut_parts(cutting_of(kept))
    sides = (part.left.width, part.left.length)
    size = " × ".join(rounded_down(nm, Rounding.PANEL, System.METRIC) for nm in sides)
    assert f"and not cut up yet:</strong> {size} of {roll.label}. It is not on the shelf" in text
    (remnant,) = let_go(project=kept.project, fabric=kept.fabric, person=owner).kept
    lay_work.set_options(project=kept.project, fabric=kept.fabric, values={"use_stash": True})
    answer = owner_page.get(reverse("lay", args=[kept.project_id, kept.fabric_id]))
    assert "and not cut up yet" not in answer.content.decode()
    assert remnant.pk in [on.cloth_id for on in answer.context["line"].lay_on]


def test_nothing_is_said_where_nothing_is_cut_off(owner_page: Client, owner: Person) -> None:
    _, _, text = changed_after(0, owner_page, owner)
    assert "The plan has changed since" in text and "and not cut up yet" not in text


def test_projects_of_one_title_are_told_apart_by_number(owner_page: Client, owner: Person) -> None:
    kept, roll = coat(owner_page)
    begun(kept, owner, 1)
    text = owner_page.get(reverse("length", args=[roll.pk])).content.decode()
    assert f"the lay of project {kept.project.number}, {kept.project.title}" in text


def test_accepting_another_lay_in_its_place_keeps_them_too(owner_page: Client, owner: Person) -> None:
    kept, roll = coat(owner_page)
    begun(kept, owner, 1)
    over: list[ClothLength] = []
    accept(project=kept.project, fabric=kept.fabric, seen=None, person=owner, cloth=roll, over=over)
    assert [row.cut_from for row in over] == [roll]


def test_a_panel_booked_as_cut_leaves_the_rest_of_its_part(owner_page: Client, owner: Person) -> None:
    kept, _ = coat(owner_page)
    cutting = begun(kept, owner, 1)
    back = next(p for p in cutting.lay.placements if p.name == "Back")
    Panel.objects.filter(name="Back").update(cut_at=NOW())
    for part in uncut_parts(cutting_of(kept)):
        left = part.left
        beside = left.x >= back.x + back.width or back.x >= left.x + left.width
        assert beside or left.y >= back.y + back.length or back.y >= left.y + left.length


def test_flaws_lie_where_they_lay(owner_page: Client, owner: Person) -> None:
    project, cloth = make.project(), make.fabric()
    for name in ("Front", "Back"):
        sync_panels(make.piece(project, name=name, across=1_000 * MM, fabric=cloth))
    row = make.length(cloth, received=3 * METRE)
    row.flaws.create(along=100 * MM, across=1_200 * MM, length=20 * MM, width=30 * MM)
    lay_work.set_options(project=project, fabric=cloth, values={"use_stash": True})
    kept = accept(project=project, fabric=cloth, seen=None, person=owner)
    begun(kept, owner, 1)
    (part,) = uncut_parts(cutting_of(kept))
    assert part.flaws == (Flaw(1_200 * MM, 100 * MM, 30 * MM + 1, 20 * MM + 1),), "rounded away from it"
    (remnant,) = let_go(project=project, fabric=cloth, person=owner).kept
    assert [(f.across, f.along) for f in remnant.flaws.all()] == [(1_200 * MM, 100 * MM)]
