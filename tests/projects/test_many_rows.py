"""Lists of very many rows: those used last, the one chosen, and any other by its name."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from projects.forms.recent import MOST
from projects.models import Client, Fabric, NotionNeed, Piece, Project, Recipe, RecipeVersion
from tests import make

pytestmark = pytest.mark.django_db
MM = make.MM
PIECE = {
    "name": "Front",
    "across": "48",
    "along": "70",
    "count": "1",
    "caught": "keep",
    "margin_at": "both",
    "allowance_sides": "1.5",
    "allowance_top": "1.5",
    "allowance_bottom": "2",
}


@pytest.fixture
def many(workroom):
    """More clients, fabrics and recipes than a list offers."""
    Client.objects.bulk_create(Client(name=f"Client {n:04}") for n in range(MOST + 50))
    Fabric.objects.bulk_create(Fabric(name=f"Cloth {n:04}", width=1_400 * MM) for n in range(MOST + 50))
    recipes = Recipe.objects.bulk_create(Recipe(name=f"Tucks {n:04}") for n in range(MOST + 50))
    content, by = make.content().to_json(), make.anybody()
    RecipeVersion.objects.bulk_create(
        RecipeVersion(recipe=recipe, number=1, content=content, made_by=by) for recipe in recipes
    )


def offered(page, where, name):
    form = page.get(where).context["form"]
    flat = []
    for key, label in form.fields[name].choices:
        flat += [str(text) for _, text in label] if isinstance(label, list) else [label] if key else []
    return flat, form


def test_a_short_list_holds_all_and_nothing_stands_beside_it(owner_page):
    make.client("Quayside Choir")
    found, form = offered(owner_page, reverse("project_new"), "client")
    assert found == ["Quayside Choir"] and "client_named" not in form.fields


def test_the_list_holds_those_used_last(owner_page, many):
    old = Client.objects.get(name="Client 0000")
    make.project(client=old)
    found, form = offered(owner_page, reverse("project_new"), "client")
    assert len(found) == MOST and old.name in found and "client_named" in form.fields
    assert found == sorted(found) and "Client 0001" not in found


def test_the_chosen_one_is_offered_however_old(owner_page, many):
    old = Client.objects.get(name="Client 0003")
    found, form = offered(owner_page, reverse("project_new") + f"?client={old.pk}", "client")
    assert old.name in found and len(found) == MOST + 1
    answer = owner_page.post(reverse("project_new"), {"title": "Coat", "washing": "before", "client": old.pk})
    assert answer.status_code == 303 and Project.objects.get().client == old


@pytest.mark.parametrize("typed", ["Client 0005", "client 0005", " 0005 "])
def test_any_other_is_named_by_typing(owner_page, many, typed):
    posted = {"title": "Coat", "washing": "before", "client_named": typed}
    assert owner_page.post(reverse("project_new"), posted).status_code == 303
    assert Project.objects.get().client.name == "Client 0005"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("Nobody we know", "No client is called “Nobody we know”."),
        ("Client 001", "More than one client is like that: “Client 0010”, “Client 0011”"),
        ("x" * 10_000, "at most 200 fit here"),
    ],
)
def test_a_name_that_is_no_one_s_says_so_and_stays(owner_page, many, typed, said):
    posted = {"title": "Coat", "washing": "before", "client_named": typed}
    answer = owner_page.post(reverse("project_new"), posted)
    page = answer.content.decode()
    assert answer.status_code == 422 and said in page and typed in page and not Project.objects.exists()


def test_a_piece_s_fabric_and_recipe_are_named(owner_page, many):
    project = make.project()
    where = reverse("piece_new", args=[project.pk])
    fabrics, form = offered(owner_page, where, "fabric")
    recipes, _ = offered(owner_page, where, "recipe")
    assert len(fabrics) == len(recipes) == MOST and {"fabric_named", "recipe_named"} <= set(form.fields)
    posted = {**PIECE, "fabric_named": "Cloth 0007", "recipe_named": "Tucks 0009"}
    assert owner_page.post(where, posted).status_code == 303
    piece = Piece.objects.get()
    assert (piece.fabric.name, piece.version.recipe.name) == ("Cloth 0007", "Tucks 0009")
    edit = reverse("piece_edit", args=[piece.pk])
    assert "Cloth 0007" in offered(owner_page, edit, "fabric")[0]
    assert "Tucks 0009, version 1, newest" in offered(owner_page, edit, "recipe")[0]
    refused = owner_page.post(where, {**PIECE, "recipe_named": "no such"})
    assert refused.status_code == 422 and "No recipe is called “no such”" in refused.content.decode()


def test_a_notion_is_named(owner_page, workroom):
    project = make.project()
    for number in range(MOST + 1):
        make.notion(f"Notion {number:04}", received=0)
    posted = {"notion": "", "notion_named": "Notion 0000", "amount": "2"}
    assert owner_page.post(reverse("project_buy", args=[project.pk]), posted).status_code == 303
    assert NotionNeed.objects.get().notion.name == "Notion 0000"


def test_as_many_queries_for_many_as_for_few(owner_page, owner):
    def queries():
        with CaptureQueriesContext(connection) as found:
            owner_page.get(reverse("project_new"))
            owner_page.get(reverse("piece_new", args=[project.pk]))
        return len(found)

    project = make.project()
    make.client(), make.fabric(), make.recipe(by=owner)
    few = queries()
    Client.objects.bulk_create(Client(name=f"Client {n}") for n in range(MOST + 50))
    Fabric.objects.bulk_create(Fabric(name=f"Cloth {n}", width=1_400 * MM) for n in range(MOST + 50))
    assert queries() == few
