"""What a project needs against the stash: what is held, what to reserve, and what else would serve."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from projects.activities import notions, stock
from projects.activities.panels import sync_panels
from projects.activities.stash_needs import Needs, needs_of, typeable
from projects.calc.lengths import System
from projects.models import ClothLength, Fabric, Person, Project
from projects.planning import plan_project
from tests import make
from tests.cloth.posts import METRE, MM


@pytest.fixture
def coat(owner: Person) -> Project:
    """A coat of voile, 92 g/m², 140 cm wide, of which nothing is on the shelf."""
    coat = make.project("Concert coat")
    sync_panels(make.piece(coat, fabric=make.fabric(family="white"), across=900 * MM, along=1_100 * MM))
    return coat


def needs(project: Project) -> Needs:
    return needs_of(project, System.METRIC)


def served(project: Project) -> list[str]:
    return [other.serving.length.label for other in needs(project).cloth[0].others]


def other(
    label: str, received: int = 9 * METRE, length: dict[str, Any] | None = None, **kind: Any
) -> ClothLength:
    fabric = make.fabric(f"Other {label}", **{"family": "white", **kind})
    return make.length(fabric, label=label, received=received, **(length or {}))


def test_the_closest_stands_first_and_what_does_not_serve_is_left_out(coat: Project, owner: Person) -> None:
    need = plan_project(coat).fabrics[0].for_panels
    other("heavier", grams=110)
    other("same", grams=92)
    other("unknown weight", grams=None)
    other("another colour", family="red")
    other("unknown colour", family="")
    other("far too heavy", grams=200)
    other("narrow", width=900 * MM)
    other("narrow length", length={"width": 900 * MM})
    other("wide length", width=900 * MM, grams=120, length={"width": 1_500 * MM})
    other("short", received=need - 1)
    other("just enough", received=need, grams=93)
    held = other("held")
    stock.reserve(row=held, project=make.project(), amount=9 * METRE - need + 1, person=owner)
    make.deletion(other("deleted"))
    assert served(coat) == ["same", "just enough", "heavier", "unknown colour", "wide length"]
    Fabric.objects.filter(name__in=("Other same", "Other just enough", "Other heavier")).update(grams=300)
    assert served(coat) == ["unknown colour", "wide length", "unknown weight", "another colour"]


def test_cloth_that_shrinks_more_has_to_be_longer(coat: Project) -> None:
    need = plan_project(coat).fabrics[0].for_panels
    other("shrinks", received=need + 10 * MM, shrink_along="0.1")
    other("washed", received=need + 10 * MM, shrink_along="0.1", length={"washed": True})
    assert served(coat) == ["washed"]
    Project.objects.update(washing="after")
    coat.refresh_from_db()
    assert "washed" not in served(coat), "cloth sewn unwashed can't come from a washed length"


def test_nothing_else_is_named_once_the_fabric_itself_is_there(coat: Project) -> None:
    other("same")
    assert served(coat) == ["same"]
    make.length(Fabric.objects.get(name="Linen voile"), received=9 * METRE)
    assert served(coat) == []


def test_what_is_missing_is_offered_once_and_no_more_than_is_free(coat: Project, owner: Person) -> None:
    voile, line = Fabric.objects.get(name="Linen voile"), plan_project(coat).fabrics[0]
    first, second = make.length(voile, label="A", received=METRE), make.length(voile, label="B")
    offered = {x.length.label: x.reserve for x in needs(coat).cloth[0].lengths}
    assert offered["A"] == METRE and offered["A"] + offered["B"] >= line.need > offered["A"]
    assert offered["B"] % MM == 0
    stock.reserve(row=first, project=coat, amount=METRE, person=owner)
    stock.reserve(row=second, project=coat, amount=offered["B"], person=owner)
    need = needs(coat).cloth[0]
    assert need.held >= line.need and not need.reservable
    assert need.free == 5 * METRE - offered["B"]


@pytest.mark.parametrize(
    ("wanted", "free", "step", "gives"),
    [(101, 1_000, 10, 110), (101, 105, 10, 100), (0, 50, 10, 0), (5, 9, 10, 0)],
)
def test_amounts_can_be_measured(wanted: int, free: int, step: int, gives: int) -> None:
    assert typeable(wanted, free, step) == gives


def test_notions_are_held_against_what_is_free(coat: Project, owner: Person) -> None:
    buttons = make.notion(received=5)
    notions.set_need(notion=buttons, project=coat, amount=7_000)
    stock.reserve(row=buttons, project=coat, amount=1_000, person=owner)
    need = needs(coat).notions[0]
    assert (need.held, need.free, need.reserve, str(need.line.buy)) == (1_000, 4_000, 4_000, "2")


def test_the_page_shows_it_with_links_that_fill_in_the_booking(owner_page: Client, coat: Project) -> None:
    roll = other("same")
    text = owner_page.get(reverse("cloth"), {"project": coat.pk}).content.decode()
    assert "Would serve instead of Linen voile" in text and "the same weight, the same colour family" in text
    link = f"{reverse('length', args=[roll.pk])}?kind=reserved&amp;project={coat.pk}&amp;amount="
    assert link in text
    make.workroom(units="inch")
    assert "yd" in owner_page.get(reverse("cloth"), {"project": coat.pk}).content.decode()


def test_a_project_without_cloth_and_a_studio_without_projects_say_what_to_do(owner_page: Client) -> None:
    make.fabric()
    assert "No project is open" in owner_page.get(reverse("cloth")).content.decode()
    bare = make.project("Bare")
    assert "names no fabric" in owner_page.get(reverse("cloth"), {"project": bare.pk}).content.decode()
    done = make.project("Done", state="finished")
    chosen = owner_page.get(reverse("cloth"), {"project": done.pk})
    assert chosen.context["chosen"] == done, "a link to any living project works"
