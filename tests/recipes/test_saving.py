"""Keeping recipes: new, next version with its consequences, doubled and stale posts, delete with undo."""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from projects.activities.panels import sync_panels
from projects.models import Deletion, Panel, Piece, Recipe, RecipeVersion, Workroom
from tests import make
from tests.recipes.posts import fields

MM = 1_000_000


@pytest.fixture
def recipe(workroom: Workroom) -> Recipe:
    return make.recipe()


def opened(client: Client, recipe: Recipe, **query: int):  # type: ignore[no-untyped-def]
    return client.get(reverse("recipe", args=[recipe.pk]), query)


def used_on(recipe: Recipe, title: str, cut: bool = False) -> Piece:
    piece = make.piece(make.project(title), version=recipe.versions.get())
    sync_panels(piece)
    if cut:
        Panel.objects.filter(piece=piece).update(cut_at=timezone.now(), kept={})
    return piece


def save(client: Client, recipe: Recipe, posted: dict[str, str]):  # type: ignore[no-untyped-def]
    return client.post(reverse("recipe_save", args=[recipe.pk]), posted)


def test_a_new_recipe_is_version_one_named_after_its_kind(owner_page: Client, workroom: Workroom) -> None:
    posted = fields(owner_page.get("/recipes/new/")) | {"across.tucks.0.depth": "2"}
    answer = owner_page.post("/recipes/new/", posted)
    row = Recipe.objects.get()
    assert (answer.status_code, answer["Location"]) == (303, reverse("recipe", args=[row.pk]))
    assert row.name == "Pin tucks"
    version = row.versions.get()
    assert version.content["across"]["tucks"][0] == {"space_nm": 15 * MM, "depth_nm": 2 * MM, "mark": "A"}
    assert version.typed["across.tucks.0.depth"] == "mm"


def test_a_doubled_save_makes_one(owner_page: Client, workroom: Workroom) -> None:
    posted = fields(owner_page.get("/recipes/new/"))
    first, second = (owner_page.post("/recipes/new/", posted) for _ in range(2))
    assert first["Location"] == second["Location"]
    assert Recipe.objects.count() == 1


def test_names_too_long_are_refused_and_kept(owner_page: Client, workroom: Workroom) -> None:
    posted = fields(owner_page.get("/recipes/new/")) | {"name": "ü" * 10_000}
    answer = owner_page.post("/recipes/new/", posted)
    assert answer.status_code == 422
    assert "ü" * 10_000 in answer.content.decode()
    assert not Recipe.objects.exists()


def test_a_recipe_nobody_uses_is_saved_straight_away(owner_page: Client, recipe: Recipe) -> None:
    posted = fields(opened(owner_page, recipe)) | {"across.tucks.0.depth": "5"}
    assert save(owner_page, recipe, posted).status_code == 303
    assert [v.number for v in recipe.versions.all()] == [2, 1]
    save(owner_page, recipe, posted)
    assert recipe.versions.count() == 2
    assert recipe.versions.get(number=1).content["across"]["tucks"][0]["depth_nm"] == 4 * MM


def test_consequences_are_listed_and_ticked_where_nothing_is_cut(owner_page: Client, recipe: Recipe) -> None:
    here, cut, elsewhere = used_on(recipe, "Coat"), used_on(recipe, "Cape", cut=True), used_on(recipe, "Bag")
    posted = fields(opened(owner_page, recipe, project=here.project_id)) | {"across.tucks.0.depth": "6"}
    answer = save(owner_page, recipe, posted)
    assert answer.status_code == 200
    found = {line.piece.pk: line for line in answer.context["found"]}
    assert [found[p.pk].ticked for p in (here, cut, elsewhere)] == [True, False, False]
    assert found[cut.pk].cut == 1
    line = found[here.pk]
    assert line.area_change > 0
    assert line.then.width > line.now.width
    assert recipe.versions.count() == 1  # nothing saved before it was confirmed

    confirmed = fields(answer, form="")
    assert confirmed["across.tucks.0.depth"] == "6"
    owner_page.post(
        reverse("recipe_save", args=[recipe.pk]), confirmed | {"follow": [str(here.pk)], "note": "Deeper"}
    )
    here.refresh_from_db()
    elsewhere.refresh_from_db()
    assert (here.version.number, here.version.note) == (2, "Deeper")
    assert elsewhere.version.number == 1


def test_in_a_project_with_something_cut_nothing_is_ticked(owner_page: Client, recipe: Recipe) -> None:
    cut = used_on(recipe, "Coat", cut=True)
    other = make.piece(cut.project, name="Back", version=recipe.versions.get())
    posted = fields(opened(owner_page, recipe, project=cut.project_id)) | {"across.tucks.0.depth": "6"}
    found = save(owner_page, recipe, posted).context["found"]
    assert {line.piece.pk: line.ticked for line in found} == {cut.pk: False, other.pk: False}


def test_consequences_ask_as_often_for_many_pieces_as_for_few(owner_page: Client, recipe: Recipe) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    counts = []
    for many in (2, 6):
        for n in range(many):
            used_on(recipe, f"Coat {many} {n}")
        posted = fields(opened(owner_page, recipe)) | {"across.tucks.0.depth": "6"}
        with CaptureQueriesContext(connection) as caught:
            save(owner_page, recipe, posted)
        counts.append(len(caught))
    assert counts[0] == counts[1]


def test_an_older_version_is_shown_and_saving_starts_the_next_from_it(
    owner_page: Client, recipe: Recipe
) -> None:
    make.version(recipe, of=make.content(make.tucks((30, 9))))
    old = owner_page.get(reverse("recipe_version", args=[recipe.pk, 1]))
    assert "it never changes" in old.content.decode()
    assert save(owner_page, recipe, fields(old)).status_code == 303
    newest = recipe.versions.first()
    assert (newest.number, newest.content) == (3, recipe.versions.get(number=1).content)


def test_rename_and_stale_rename(owner_page: Client, recipe: Recipe) -> None:
    address = reverse("recipe_rename", args=[recipe.pk])
    posted = {"name": "Sea tucks", "notes": "", "revision": "1"}
    assert owner_page.post(address, posted).status_code == 303
    late = owner_page.post(address, {"name": "Shore tucks", "notes": "", "revision": "1"})
    assert late.status_code == 409
    assert "Sea tucks" in late.content.decode() and "Shore tucks" in late.content.decode()
    assert owner_page.post(address, {"name": "", "notes": "", "revision": "2"}).status_code == 422
    recipe.refresh_from_db()
    assert recipe.name == "Sea tucks"


def test_delete_with_undo_and_not_while_it_is_used(owner_page: Client, recipe: Recipe) -> None:
    piece = used_on(recipe, "Coat")
    address = reverse("recipe_delete", args=[recipe.pk])
    refused = owner_page.post(address, follow=True)
    assert "uses this recipe" in refused.content.decode()
    make.deletion(piece)
    sample = make.sample(recipe.versions.get())
    owner_page.post(address)
    assert not Recipe.objects.live().exists()
    sample.refresh_from_db()
    assert sample.deleted_at is not None
    assert owner_page.get(reverse("recipe", args=[recipe.pk])).status_code == 404
    owner_page.post(reverse("restore", args=[Deletion.objects.order_by("-pk").first().pk]))
    assert Recipe.objects.live().get() == recipe


def test_versions_never_change(recipe: Recipe) -> None:
    version = RecipeVersion.objects.get()
    version.note = "later"
    with pytest.raises(Exception, match="never changes"):
        version.save()
