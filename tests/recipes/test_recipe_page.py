"""The recipe page: numbers worked out live and without JavaScript, rows, errors beside fields."""

import json

import pytest
from django.test import Client
from django.urls import reverse

from projects.calc.recipe import Direction
from projects.models import Recipe, RecipeVersion, Workroom
from tests import make
from tests.recipes.posts import fields

MM = 1_000_000
WORK_OUT = "/recipes/work-out/"
LIVE = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture
def both(workroom: Workroom) -> Recipe:
    side = make.tucks(*make.GRADUATED)
    return make.recipe("Graduated tucks, both ways", of=make.content(side, side))


def page_of(client: Client, recipe: Recipe):  # type: ignore[no-untyped-def]
    return client.get(reverse("recipe", args=[recipe.pk]))


def text(response) -> str:  # type: ignore[no-untyped-def]
    return response.content.decode()


def test_the_page_says_what_the_picture_says(owner_page: Client, both: Recipe) -> None:
    """110 / 54 = 2.037 across, its square 4.15, nine layers where tucks cross."""
    shown = text(page_of(owner_page, both))
    for words in (
        "2.04",
        "4.15 m²",
        "54 → 110 mm",
        "9 layers",
        "starting value",
        "Tight after C.",
        "Save as version 2",
    ):
        assert words in shown, words


def test_flat_cloth_of_a_finished_size_is_calcs_own(owner_page: Client, both: Recipe) -> None:
    response = page_of(owner_page, both)
    panel = response.context["panel"]
    assert panel.across.pattern == 500 * MM
    assert panel.cut_width == panel.across.need + panel.across.axis.take_up
    assert f"{panel.cut_width / 1e7:.1f} cm" in text(response)


def test_typing_answers_with_parts_and_saves_nothing(owner_page: Client, both: Recipe) -> None:
    posted = fields(page_of(owner_page, both), across__tucks__0__depth="5")
    posted["across.tucks.0.depth"] = "5"
    answer = owner_page.post(WORK_OUT, posted, **LIVE)
    assert answer.status_code == 200
    shown = text(answer)
    assert "<html" not in shown
    assert 'id="facts"' in shown and "54 → 112 mm" in shown
    assert "<input" not in shown  # no field is replaced while somebody types
    assert RecipeVersion.objects.count() == 1


def test_the_same_post_without_htmx_is_the_whole_page(owner_page: Client, both: Recipe) -> None:
    posted = fields(page_of(owner_page, both)) | {"across.tucks.0.depth": "5"}
    shown = text(owner_page.post(WORK_OUT, posted))
    assert "<h1>Graduated tucks, both ways</h1>" in shown
    assert "54 → 112 mm" in shown
    assert 'value="5"' in shown


@pytest.mark.parametrize(
    "bad", ["0", "-4", "four", "", "1,500", "9" * 10_000, "1e999", "nan", "900 m", "½½", "<b>"]
)
def test_bad_depths_are_said_beside_the_field_and_kept(owner_page: Client, both: Recipe, bad: str) -> None:
    posted = fields(page_of(owner_page, both)) | {"across.tucks.1.depth": bad}
    live = owner_page.post(WORK_OUT, posted, **LIVE)
    assert live.status_code == 422
    slot = text(live).split('id="across-tucks-1-depth-error"')[1].split("</p>")[0]
    assert len(slot) > 30
    whole = owner_page.post(WORK_OUT, posted)
    assert whole.status_code == 422
    assert whole.context["state"].across.rows[1].depth.text == bad
    assert 'role="alert"' in text(whole)
    saved = owner_page.post(reverse("recipe_save", args=[both.pk]), posted)
    assert saved.status_code == 422
    assert RecipeVersion.objects.count() == 1


def test_add_duplicate_move_and_remove_rows(owner_page: Client, both: Recipe) -> None:
    posted = fields(page_of(owner_page, both))

    def depths(do: str) -> tuple[list[str], str]:
        answer = owner_page.post(WORK_OUT, posted | {"do": do}, **LIVE)
        assert answer.status_code == 200
        state = answer.context["state"]
        assert "across-sheet" in text(answer)
        return [row.depth.text for row in state.across.rows], state.focus

    assert depths("across.add") == (["4", "7", "10", "7", "7"], "across-tucks-4-depth")
    assert depths("across.duplicate.0") == (["4", "4", "7", "10", "7"], "across-tucks-1-depth")
    assert depths("across.up.2") == (["4", "10", "7", "7"], "across-tucks-1-depth")
    assert depths("across.down.0") == (["7", "4", "10", "7"], "across-tucks-1-depth")
    assert depths("across.remove.3") == (["4", "7", "10"], "across-tucks-2-depth")
    assert depths("across.remove.99")[0] == ["4", "7", "10", "7"]
    assert depths("across.explode.1")[0] == ["4", "7", "10", "7"]


def test_removing_the_last_tuck_says_that_one_is_needed(owner_page: Client, workroom: Workroom) -> None:
    row = make.recipe(of=make.content(make.tucks((20, 5))))
    posted = fields(page_of(owner_page, row)) | {"do": "across.remove.0"}
    answer = owner_page.post(WORK_OUT, posted)
    assert answer.status_code == 422
    assert "Add a tuck" in answer.context["state"].across.errors["tucks"]


def test_tucks_along_the_same(owner_page: Client, workroom: Workroom) -> None:
    posted = fields(page_of(owner_page, make.recipe())) | {"do": "across.same"}
    answer = owner_page.post(WORK_OUT, posted, **LIVE)
    made = answer.context["state"].recipe
    assert made.along == made.across


def test_nothing_in_either_direction_is_refused(owner_page: Client, both: Recipe) -> None:
    posted = fields(page_of(owner_page, both)) | {"across.technique": "none", "along.technique": "none"}
    answer = owner_page.post(reverse("recipe_save", args=[both.pk]), posted)
    assert answer.status_code == 422
    assert "A recipe without tucks" in text(answer)


def test_300_rows_are_refused_and_kept(owner_page: Client, both: Recipe) -> None:
    rows = {f"across.tucks.{n}.{what}": "12" for n in range(300) for what in ("depth", "space")}
    answer = owner_page.post(WORK_OUT, fields(page_of(owner_page, both)) | rows)
    assert answer.status_code == 422
    assert len(answer.context["state"].across.rows) == 300
    assert "at most 200" in answer.context["state"].across.errors["tucks"]


@pytest.mark.parametrize(
    ("technique", "words"),
    [
        ("corded", "Cord, thick"),
        ("twin_needle", "Cord, thick (0: none)"),
        ("knife", "Underlay depth"),
        ("box", "Underlay depth"),
        ("inverted", "Underlay depth"),
    ],
)
def test_another_technique_brings_its_own_fields(
    owner_page: Client, workroom: Workroom, technique: str, words: str
) -> None:
    posted = fields(page_of(owner_page, make.recipe(of=make.content(make.tucks((20, 5))))))
    answer = owner_page.post(WORK_OUT, posted | {"across.technique": technique}, **LIVE)
    assert answer.status_code == 200
    assert words in text(answer)
    assert answer.context["state"].recipe.across.technique == technique


def test_pleats_too_deep_for_their_width_are_refused_at_the_depth(
    owner_page: Client, workroom: Workroom
) -> None:
    posted = fields(page_of(owner_page, make.recipe())) | {
        "across.technique": "inverted",
        "across.width": "20",
        "across.depth": "40",
    }
    answer = owner_page.post(WORK_OUT, posted)
    assert answer.status_code == 422
    assert answer.context["state"].across.depth.error


def test_a_size_beyond_all_cloth_is_refused_at_its_field(owner_page: Client, both: Recipe) -> None:
    answer = owner_page.post(WORK_OUT, fields(page_of(owner_page, both)) | {"size.across": "40 m"})
    assert answer.status_code == 422
    assert answer.context["state"].size["across"].error


def test_from_the_cloth_owned(owner_page: Client, both: Recipe) -> None:
    posted = fields(page_of(owner_page, both)) | {
        "mode": "cloth",
        "flat.across": "110",
        "find.across": "finished",
    }
    answer = owner_page.post(WORK_OUT, posted, **LIVE)
    assert answer.status_code == 200
    assert "finished, with 40 tucks" in text(answer)
    for find, words in (("depth", "deep"), ("spacing", "from seam to seam"), ("number", "tucks")):
        asked = posted | {"find.across": find, "size.across": "50"}
        assert words in text(owner_page.post(WORK_OUT, asked, **LIVE)), find
    too_large = owner_page.post(WORK_OUT, posted | {"find.across": "depth", "size.across": "120"}, **LIVE)
    assert too_large.status_code == 422
    assert "Finish it smaller" in text(too_large)


def test_hostile_choices_and_names_never_break_the_page(owner_page: Client, both: Recipe) -> None:
    hostile = '"><script>alert(1)</script>'
    base = fields(page_of(owner_page, both))
    for name in (*base, "do", "op", "units", "base", "project"):
        answer = owner_page.post(WORK_OUT, base | {name: hostile})
        assert answer.status_code < 500, name
        assert "<script>alert" not in text(answer), name


def test_inches_show_a_metric_depth_as_it_was_typed(owner_page: Client, workroom: Workroom) -> None:
    posted = fields(owner_page.get("/recipes/new/")) | {"across.tucks.0.depth": "4", "name": "Fine"}
    owner_page.post("/recipes/new/", posted)
    row = Recipe.objects.get(name="Fine")
    Workroom.objects.update(units="inch")
    shown = page_of(owner_page, row)
    assert shown.context["state"].across.rows[0].depth.text == "4 mm"
    saved = owner_page.post(reverse("recipe_save", args=[row.pk]), fields(shown), follow=True)
    assert "Nothing has changed" in text(saved)
    assert RecipeVersion.objects.count() == 1


def test_a_form_shown_in_mm_is_read_in_mm_after_the_studio_changed_its_units(
    owner_page: Client, both: Recipe
) -> None:
    posted = fields(page_of(owner_page, both))
    Workroom.objects.update(units="inch")
    answer = owner_page.post(WORK_OUT, posted, **LIVE)
    assert answer.context["state"].recipe.to_json() == both.versions.get().content


def test_the_sample_of_this_cloth_is_what_the_page_uses(owner_page: Client, workroom: Workroom) -> None:
    row = make.recipe()
    sample = make.sample(row.versions.get(), across_flat=443 * MM, across_finished=216 * MM)
    response = page_of(owner_page, row)
    assert response.context["fabric"] == sample.fabric
    assert response.context["views"][0].work.take_up.extra == 187_500 // 2 * 2
    assert "1 sample of this cloth, 16 tucks" in text(response)


def test_lists_search_and_ask_as_often_for_many_as_for_few(owner_page: Client, workroom: Workroom) -> None:  # type: ignore[no-untyped-def]
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    counts = []
    for many in (3, 12):
        for n in range(many):
            make.sample(make.recipe(f"Pin tucks {many} {n}").versions.get())
        with CaptureQueriesContext(
            connection,
        ) as caught:
            shown = text(owner_page.get("/recipes/"))
        counts.append(len(caught))
    assert counts[0] == counts[1]
    assert "Pin tucks 12 11" in shown and "1 measured" in shown
    assert "Pin tucks 3 0" not in text(owner_page.get("/recipes/", {"words": "12 1"}))


def test_a_maker_works_with_recipes_and_a_stranger_does_not(
    maker_page: Client, stranger_page: Client, both: Recipe
) -> None:
    for address in ("/recipes/", "/recipes/new/", reverse("recipe", args=[both.pk])):
        assert maker_page.get(address).status_code == 200
        assert stranger_page.get(address).status_code == 302
    assert stranger_page.post(WORK_OUT, {}).status_code in (302, 403)


def test_missing_malformed_and_wrong_methods(owner_page: Client, both: Recipe) -> None:
    for name in ("recipe", "recipe_rename", "sample_new"):
        assert owner_page.get(reverse(name, args=[999])).status_code == 404
        assert owner_page.get(reverse(name, args=[10**30])).status_code == 404
    assert owner_page.get("/recipes/x/").status_code == 404
    assert owner_page.get(reverse("recipe_version", args=[both.pk, 7])).status_code == 404
    assert owner_page.get(WORK_OUT).status_code == 405
    assert owner_page.get(reverse("recipe_save", args=[both.pk])).status_code == 405
    assert owner_page.get(reverse("recipe_delete", args=[both.pk])).status_code == 405


def test_content_is_the_checked_json(owner_page: Client, both: Recipe) -> None:
    written = json.dumps(both.versions.get().content)
    assert '"depth_nm": 4000000' in written


def test_pleats_one_way_are_called_pleats_and_no_order_is_offered(
    owner_page: Client, workroom: Workroom
) -> None:
    knife = Direction(technique="knife", width=25 * MM, depth=12 * MM)
    shown = text(page_of(owner_page, make.recipe("Knife", of=make.content(knife))))
    for words in (
        "Pleats along: the same",
        "20 pleats across.",
        "pleats take up",
        "nothing is sewn this way",
    ):
        assert words in shown, words
    for words in ("Tucks along", "Sewn first", "no order to choose", "tucks take up"):
        assert words not in shown, words


def test_box_pleats_are_counted_whole(owner_page: Client, workroom: Workroom) -> None:
    box = Direction(technique="box", width=50 * MM, depth=12 * MM)
    shown = page_of(owner_page, make.recipe("Box", of=make.content(box)))
    assert shown.context["panel"].across.count == 20
    assert shown.context["counted"] == "10 pleats across."


def test_samples_of_other_versions_are_told_apart(owner_page: Client, both: Recipe) -> None:
    cloth = make.fabric()
    make.sample(both.versions.get(), cloth)
    second = make.version(both)
    for _ in range(2):
        make.sample(second, cloth)
    assert page_of(owner_page, both).context["tried"].endswith("92 g/m², and once as version 1")


def test_the_tuck_named_as_centre_is_kept_and_follows_its_row(owner_page: Client, both: Recipe) -> None:
    posted = fields(page_of(owner_page, both)) | {"across.centring": "tuck", "across.centre_on": "3"}
    drawn = owner_page.post(WORK_OUT, posted)
    assert '<option value="3" selected>tuck 3, depth 10</option>' in text(drawn)
    assert drawn.context["state"].recipe.across.centre_on == 3
    moves = {"remove.0": 2, "remove.2": 0, "up.2": 2, "down.2": 4, "duplicate.0": 4, "add": 3}
    for button, number in moves.items():
        state = owner_page.post(WORK_OUT, posted | {"do": f"across.{button}"}).context["state"]
        assert state.across.centre_on == number, button
    owner_page.post(reverse("recipe_save", args=[both.pk]), posted)
    assert both.versions.get(number=2).content["across"]["centre_on"] == 3
    assert page_of(owner_page, both).context["state"].across.centre_on == 3
