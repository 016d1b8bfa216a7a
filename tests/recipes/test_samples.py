"""Samples: written down, refused where they can't be, corrected, deleted."""

import pytest
from django.test import Client
from django.urls import reverse

from projects.models import Deletion, Recipe, Sample, Workroom
from tests import make
from tests.recipes.posts import fields

MM = 1_000_000


@pytest.fixture
def recipe(workroom: Workroom) -> Recipe:
    side = make.tucks(*make.GRADUATED)
    return make.recipe(of=make.content(side, side))


def posted(on, **changed: str) -> dict[str, str]:  # type: ignore[no-untyped-def]
    usual = {
        "fabric": str(on.pk),
        "made_on": "2026-03-02",
        "washed": "on",
        "across_flat": "44.3",
        "across_finished": "21.6",
        "across_tucks": "16",
        "along_flat": "",
        "along_finished": "",
        "along_tucks": "16",
        "notes": "",
        "units": "metric",
    }
    return {**usual, **changed}


def test_a_sample_keeps_what_was_sewn_and_the_pool_it_goes_into(owner_page: Client, recipe: Recipe) -> None:
    form = owner_page.get(reverse("sample_new", args=[recipe.pk]))
    assert form.context["form"].initial["across_tucks"] == 12
    owner_page.post(reverse("sample_new", args=[recipe.pk]), posted(make.fabric()))
    row = Sample.objects.get()
    assert (row.across_flat, row.across_depths, row.across_tucks) == (443 * MM, 4 * 56 * MM, 16)
    assert (row.across_technique, row.across_place, row.along_place) == ("tucks", "first", "second")
    assert (row.along_flat, row.along_tucks, row.along_depths) == (None, 0, 0)
    assert row.content == row.version.content
    assert (
        "the cloth adds 0.19 mm to each of 16 tucks"
        in owner_page.get(reverse("recipe", args=[recipe.pk])).content.decode()
    )


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"across_finished": "3"}, "across_finished"),
        ({"across_finished": "44"}, "across_finished"),
        ({"across_finished": ""}, "across_finished"),
        ({"across_flat": "wide"}, "across_flat"),
        ({"across_tucks": "0"}, "across_tucks"),
        ({"across_tucks": "-3"}, "across_tucks"),
        ({"across_flat": "", "across_finished": ""}, "across_flat"),
        ({"made_on": "soon"}, "made_on"),
        ({"fabric": "77"}, "fabric"),
        ({"along_flat": "0"}, "along_flat"),
        ({"notes": "n" * 10_000}, "notes"),
    ],
)
def test_what_can_not_be_is_refused_at_its_field_and_kept(
    owner_page: Client, recipe: Recipe, changed: dict[str, str], field: str
) -> None:
    sent = posted(make.fabric(), **changed)
    answer = owner_page.post(reverse("sample_new", args=[recipe.pk]), sent)
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    assert not Sample.objects.exists()
    for name, value in changed.items():
        assert answer.context["form"][name].value() == value


def test_corrected_stale_deleted_and_brought_back(owner_page: Client, recipe: Recipe) -> None:
    fabric = make.fabric()
    owner_page.post(reverse("sample_new", args=[recipe.pk]), posted(fabric))
    row = Sample.objects.get()
    edit = reverse("sample_edit", args=[row.pk])
    shown = owner_page.get(edit)
    assert 'value="44.3"' in shown.content.decode()
    assert owner_page.post(edit, posted(fabric, across_flat="44.4", revision="1")).status_code == 303
    assert owner_page.post(edit, posted(fabric, across_flat="44.5", revision="1")).status_code == 409
    assert owner_page.post(edit, posted(fabric, across_finished="2", revision="2")).status_code == 422
    row.refresh_from_db()
    assert row.across_flat == 444 * MM
    owner_page.post(reverse("sample_delete", args=[row.pk]))
    assert owner_page.get(reverse("sample", args=[row.pk])).status_code == 404
    owner_page.post(reverse("restore", args=[Deletion.objects.get().pk]))
    assert owner_page.get(reverse("sample", args=[row.pk])).status_code == 200


def test_doubled_sample_is_one(owner_page: Client, recipe: Recipe) -> None:
    address = reverse("sample_new", args=[recipe.pk])
    op = fields(owner_page.get(address), form="").get("op") or "0f4a3a4e-5a43-4e43-9a0e-0a4f6f4d7b11"
    sent = posted(make.fabric()) | {"op": op}
    for _ in range(2):
        owner_page.post(address, sent)
    assert Sample.objects.count() == 1


def test_corded_samples_count_the_way_round_the_cord(owner_page: Client, workroom: Workroom) -> None:
    """pi (2 mm + 0.2 mm), even, for each of twelve."""
    corded = make.tucks((20, 0), technique="corded", cord=2 * MM)
    row = make.recipe(of=make.content(corded))
    cloth = make.fabric(thickness=200_000)
    sent = posted(cloth, across_flat="32.3", across_finished="24", across_tucks="12", along_tucks="")
    assert owner_page.post(reverse("sample_new", args=[row.pk]), sent).status_code == 303
    assert Sample.objects.get().across_depths == 12 * 6_911_504


def test_what_sample_to_make_is_said(owner_page: Client, recipe: Recipe) -> None:
    shown = owner_page.get(reverse("recipe", args=[recipe.pk])).content.decode()
    assert "The sample to make" in shown
    assert "12 tucks in 3 repeats" in shown


def test_advice_folds_away_once_enough_is_known(owner_page: Client, workroom: Workroom) -> None:
    """Few tucks leave the advice open; twelve and more on the cloth chosen settle it."""
    recipe, cloth = make.recipe(), make.fabric()
    version = recipe.versions.get()
    make.sample(
        version, cloth, across_flat=110 * MM, across_finished=54 * MM, across_tucks=4, across_depths=56 * MM
    )
    few = owner_page.get(reverse("recipe", args=[recipe.pk])).content.decode()
    assert "Enough is known" not in few
    assert "One more in Linen voile would tell more surely" in few and "The sample to make" not in few
    for _ in range(2):
        make.sample(version, cloth)
    enough = owner_page.get(reverse("recipe", args=[recipe.pk])).content.decode()
    assert "Enough is known of Linen voile" in enough
    assert "<summary>A sample to make all the same</summary>" in enough


def test_a_samples_day_is_shown_as_browsers_read_it(owner_page: Client, recipe: Recipe) -> None:
    owner_page.post(reverse("sample_new", args=[recipe.pk]), posted(make.fabric()))
    shown = owner_page.get(reverse("sample_edit", args=[Sample.objects.get().pk])).content.decode()
    assert 'value="2026-03-02"' in shown
