"""The recipe page of textures by ratio: the one form, live and without JavaScript, samples, versions."""

import re
from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from projects.calc.ratio import STARTING_RATIOS
from projects.calc.recipe import Recipe as Content
from projects.models import Piece, Recipe, RecipeVersion, Sample, Workroom
from tests import make
from tests.recipes.posts import fields
from tests.recipes.ratios import TECHNIQUES, content

MM = 1_000_000
WORK_OUT = "/recipes/work-out/"
LIVE = {"HTTP_HX_REQUEST": "true"}


def page_of(client: Client, recipe: Recipe):  # type: ignore[no-untyped-def]
    return client.get(reverse("recipe", args=[recipe.pk]))


def text(response) -> str:  # type: ignore[no-untyped-def]
    return response.content.decode()


def recipe_of(technique: str, **changed: object) -> Recipe:
    return make.recipe(technique.capitalize(), of=content(technique, **changed))


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("technique", TECHNIQUES)
def test_every_technique_has_its_page(
    owner_page: Client, workroom: Workroom, technique: str, units: str
) -> None:
    make.workroom(units=units)
    response = page_of(owner_page, recipe_of(technique))
    shown = text(response)
    assert response.status_code == 200
    assert "starting value" in shown.lower()
    assert shown.count("how it is worked, flat above, finished below") == 2  # wide, and close up for a phone
    panel = response.context["panel"]
    assert panel.work is not None and panel.work.technique == technique
    assert panel.cut_width >= panel.across.need
    assert "SidePlan" not in shown and "None" not in re.sub(r"<[^>]+>", "", shown)


@pytest.mark.parametrize("technique", [t for t in TECHNIQUES if t != "lattice"])
def test_starting_ratios_are_marked_until_something_else_is_typed(
    owner_page: Client, workroom: Workroom, technique: str
) -> None:
    posted = fields(page_of(owner_page, recipe_of(technique)))
    assert posted["ratio.across"] == f"{STARTING_RATIOS[technique][0].normalize():f}"
    same = text(owner_page.post(WORK_OUT, posted, **LIVE))
    assert 'id="ratio-across-basis" hx-swap-oob="true">Starting value.<' in same
    other = text(owner_page.post(WORK_OUT, posted | {"ratio.across": "2.5"}, **LIVE))
    assert 'id="ratio-across-basis" hx-swap-oob="true">As typed, no sample yet.<' in other


def test_typing_a_ratio_answers_with_parts_and_saves_nothing(owner_page: Client, workroom: Workroom) -> None:
    posted = fields(page_of(owner_page, recipe_of("english")))
    answer = owner_page.post(WORK_OUT, posted | {"ratio.across": "3"}, **LIVE)
    shown = text(answer)
    assert answer.status_code == 200
    assert "3.00 m makes 1 m" in shown and "<input" not in shown and "<html" not in shown
    assert answer.context["panel"].cut_width == 3 * answer.context["panel"].across.need
    assert RecipeVersion.objects.count() == 1


def test_dots_are_counted_by_hand(owner_page: Client, workroom: Workroom) -> None:
    """50 + 3 + 2 cm finished at 4 to 1 is 220 cm flat: 366 spaces of 6 mm hold 367 dots; 75 cm, 76 rows."""
    make.workroom(seam_allowance=15 * MM, squaring=10 * MM)
    response = page_of(owner_page, recipe_of("english"))
    assert response.context["panel"].cut_width == 2_200 * MM
    assert "367 dots across in 76 rows, 27\N{NO-BREAK SPACE}892 in all." in text(response)


@pytest.mark.parametrize(
    ("field", "bad"),
    [
        (f, b)
        for f, texts in {
            "ratio.across": ["", "0.5", "9", "four", "2,500", "1e3", "nan", "2.12345", "9" * 10_000, "<b>"],
            "ratio.spacing": ["", "0", "-4", "four", "900 m", "½½", "9" * 10_000, "<b>"],
            "ratio.row": ["", "0", "0.2 mm"],
        }.items()
        for b in texts
    ],
)
def test_what_can_not_be_is_said_at_its_field_and_kept(
    owner_page: Client, workroom: Workroom, field: str, bad: str
) -> None:
    row = recipe_of("honeycomb")
    posted = fields(page_of(owner_page, row)) | {field: bad}
    ident = field.replace(".", "-")
    live = owner_page.post(WORK_OUT, posted, **LIVE)
    assert live.status_code == 422
    assert len(text(live).split(f'id="{ident}-error"')[1].split("</p>")[0]) > 30
    for address in (WORK_OUT, reverse("recipe_save", args=[row.pk])):
        whole = owner_page.post(address, posted)
        assert whole.status_code == 422
        assert getattr(whole.context["state"].ratio, field.partition(".")[2]).text == bad
        assert f'href="#{ident}"' in text(whole)
    assert RecipeVersion.objects.count() == 1


@pytest.mark.parametrize(("rows", "status"), [("1", 200), ("20", 200), ("0", 422), ("21", 422), ("2.5", 422)])
def test_rows_of_gathering_stitches(owner_page: Client, workroom: Workroom, rows: str, status: int) -> None:
    posted = fields(page_of(owner_page, recipe_of("gathers")))
    assert owner_page.post(WORK_OUT, posted | {"ratio.rows": rows}, **LIVE).status_code == status


def test_a_diagonal_no_square_can_have_is_refused_at_the_diagonal(
    owner_page: Client, workroom: Workroom
) -> None:
    posted = fields(page_of(owner_page, recipe_of("lattice")))
    answer = owner_page.post(WORK_OUT, posted | {"ratio.diagonal": "90"})
    assert answer.status_code == 422
    assert answer.context["state"].ratio.diagonal.error


def test_a_lattice_by_its_diagonal_or_by_ratios(owner_page: Client, workroom: Workroom) -> None:
    posted = fields(page_of(owner_page, recipe_of("lattice")))
    assert "ratio.across" not in posted
    asked = owner_page.post(WORK_OUT, posted | {"ratio.set_by": "ratio"}, **LIVE)
    assert 'id="ratio-sheet"' in text(asked)
    typed = posted | {"ratio.set_by": "ratio", "ratio.across": "3", "ratio.along": "1.5"}
    made = owner_page.post(WORK_OUT, typed | {"ratio.shape": "lattice/ratio"}).context["state"].recipe
    assert (made.ratio.diagonal, made.ratio.across) == (0, 3)


def test_choosing_another_kind_brings_its_form_and_keeps_what_was_typed(
    owner_page: Client, workroom: Workroom
) -> None:
    tucks = make.content(make.tucks(*make.GRADUATED), make.tucks((15, 5)))
    first = fields(page_of(owner_page, make.recipe(of=tucks)))
    answer = owner_page.post(WORK_OUT, first | {"kind": "lattice"}, **LIVE)
    assert answer.status_code == 200
    shown = text(answer)
    assert 'id="work" hx-swap-oob="true"' in shown and 'name="ratio.diagonal"' in shown
    lattice = fields(owner_page.post(WORK_OUT, first | {"kind": "lattice"})) | {"ratio.spacing": "20"}
    lattice = fields(owner_page.post(WORK_OUT, lattice | {"ratio.diagonal": "28"}))
    back = owner_page.post(WORK_OUT, lattice | {"kind": ""})
    assert back.context["state"].recipe.to_json() == tucks.to_json()
    again = owner_page.post(WORK_OUT, fields(back) | {"kind": "lattice"})
    assert again.context["state"].recipe.ratio.spacing == 20 * MM
    assert again.context["state"].recipe.ratio.diagonal == 28 * MM


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("before", TECHNIQUES)
def test_each_kind_after_each_other_begins_sound(
    owner_page: Client, workroom: Workroom, before: str, units: str
) -> None:
    """Starting numbers of one technique never stand in the way of the next."""
    make.workroom(units=units)
    posted = fields(owner_page.post(WORK_OUT, fields(owner_page.get("/recipes/new/")) | {"kind": before}))
    for after in TECHNIQUES:
        answer = owner_page.post(WORK_OUT, posted | {"kind": after})
        assert answer.status_code == 200, after
        made = answer.context["state"].recipe.ratio
        assert (made.technique, made.across) == (after, STARTING_RATIOS[after][0])


@pytest.mark.parametrize("technique", TECHNIQUES)
def test_a_new_one_is_kept_named_and_listed(owner_page: Client, workroom: Workroom, technique: str) -> None:
    posted = fields(owner_page.post(WORK_OUT, fields(owner_page.get("/recipes/new/")) | {"kind": technique}))
    answer = owner_page.post("/recipes/new/", posted)
    assert answer.status_code == 303
    row = Recipe.objects.get()
    kept = Content.from_json(row.versions.get().content)
    assert kept.ratio is not None and kept.ratio.technique == technique
    assert row.name == kept.kind_name()
    assert kept.kind_name() in text(owner_page.get("/recipes/"))
    again = owner_page.post(
        reverse("recipe_save", args=[row.pk]), fields(page_of(owner_page, row)), follow=True
    )
    assert "Nothing has changed" in text(again)


def test_inches_show_a_metric_length_as_it_was_typed(owner_page: Client, workroom: Workroom) -> None:
    posted = fields(owner_page.post(WORK_OUT, fields(owner_page.get("/recipes/new/")) | {"kind": "english"}))
    owner_page.post("/recipes/new/", posted | {"ratio.spacing": "7"})
    row = Recipe.objects.get()
    Workroom.objects.update(units="inch")
    assert page_of(owner_page, row).context["state"].ratio.spacing.text == "7 mm"


def test_saving_says_what_a_version_changes(owner_page: Client, workroom: Workroom) -> None:
    row = recipe_of("gathers")
    make.piece(version=row.versions.get(), fabric=make.fabric())
    posted = fields(page_of(owner_page, row)) | {"ratio.across": "2.5"}
    asked = owner_page.post(reverse("recipe_save", args=[row.pk]), posted)
    assert "Panel then" in text(asked)
    line = asked.context["found"][0]
    assert line.then.width * 4 == line.now.width * 5
    piece = Piece.objects.get()
    carried = fields(asked, form="") | {"follow": str(piece.pk), "confirmed": "1"}
    assert owner_page.post(reverse("recipe_save", args=[row.pk]), carried).status_code == 303
    piece.refresh_from_db()
    assert piece.version.number == 2
    assert piece.version.content["ratio"]["across"] == "2.5"


@pytest.mark.parametrize("technique", ["gathers", "english", "honeycomb", "lattice", "quilting"])
def test_from_the_cloth_owned(owner_page: Client, workroom: Workroom, technique: str) -> None:
    """What is answered, typed as a finished size, fits; a millimetre or a square more does not."""
    posted = fields(page_of(owner_page, recipe_of(technique))) | {"mode": "cloth", "flat.across": "114"}
    answer = owner_page.post(WORK_OUT, posted)
    assert answer.status_code == 200
    found = answer.context["backwards"]["across"]
    assert "across, finished" in found.words
    wide = float(found.figure.removesuffix(" cm"))
    size = {"mode": "size", "size.along": "20"}
    fits = owner_page.post(WORK_OUT, posted | size | {"size.across": f"{wide:.1f}"}).context["panel"]
    assert fits.cut_width <= 1_140 * MM
    over = owner_page.post(WORK_OUT, posted | size | {"size.across": f"{wide + 3:.1f}"}).context["panel"]
    assert over.cut_width > 1_140 * MM


def test_cloth_that_is_too_small_says_what_would_do(owner_page: Client, workroom: Workroom) -> None:
    posted = fields(page_of(owner_page, recipe_of("english"))) | {"mode": "cloth", "flat.across": "1"}
    answer = owner_page.post(WORK_OUT, posted, **LIVE)
    assert answer.status_code == 422
    assert "at least" in answer.context["state"].flat["across"].error


def test_hostile_choices_never_break_the_page(owner_page: Client, workroom: Workroom) -> None:
    hostile = '"><script>alert(1)</script>'
    base = fields(page_of(owner_page, recipe_of("quilting")))
    for name in (*base, "do", "ratio.way", "ratio.set_by", "across.technique"):
        for value in (hostile, "\x00", "9" * 5_000):
            answer = owner_page.post(WORK_OUT, base | {name: value})
            assert answer.status_code < 500, name
            assert "<script>alert" not in text(answer), name


def test_the_page_asks_as_often_for_many_samples_as_for_one(owner_page: Client, workroom: Workroom) -> None:
    row, cloth, counts = recipe_of("lattice"), make.fabric(), []
    for many in (1, 8):
        for _ in range(many):
            sample_of(row, cloth)
            make.piece(version=row.versions.get(), fabric=cloth)
        with CaptureQueriesContext(connection) as caught:
            page_of(owner_page, row)
        counts.append(len(caught))
    assert counts[0] == counts[1]


def sample_of(row: Recipe, cloth, **values: object) -> Sample:  # type: ignore[no-untyped-def]
    technique = Content.from_json(row.versions.get().content).ratio.technique
    usual = {
        "across_flat": 440 * MM,
        "across_finished": 200 * MM,
        "across_tucks": 20,
        "across_depths": 0,
        "across_technique": technique,
        "across_place": "first",
        "along_technique": technique,
        "along_place": "first",
    }
    return make.sample(row.versions.get(), cloth, **{**usual, **values})


def test_a_sample_replaces_the_starting_value(owner_page: Client, workroom: Workroom) -> None:
    """440 mm flat became 200: 2.20 is planned with instead of 2."""
    row, cloth = recipe_of("honeycomb"), make.fabric()
    sample_of(row, cloth)
    shown = page_of(owner_page, row)
    assert "Planned with 2.20: 1 sample of this cloth." in text(shown)
    assert "2.20 to 1, 10\N{NO-BREAK SPACE}% more than the recipe’s 2.00" in text(shown)
    assert shown.context["panel"].across.ratio.samples == 1
    assert abs(shown.context["panel"].cut_width - shown.context["panel"].across.need * 2.2) < MM
    along = text(shown).split('id="ratio-along-basis">')[1].split("<")[0]
    assert along == "Starting value."


def posted_sample(on, **changed: str) -> dict[str, str]:  # type: ignore[no-untyped-def]
    usual = {"fabric": str(on.pk), "made_on": "2026-03-02", "washed": "on", "notes": "", "units": "metric"}
    measured = {"across_flat": "44", "across_finished": "20", "along_flat": "", "along_finished": ""}
    return {**usual, **measured, **changed}


def test_a_sample_is_measured_flat_and_finished_and_counted(owner_page: Client, workroom: Workroom) -> None:
    row = recipe_of("english")
    address = reverse("sample_new", args=[row.pk])
    assert "Dots across, between the points" in text(owner_page.get(address))
    sent = posted_sample(make.fabric(), across_flat="41", across_finished="10", across_tucks="68")
    assert owner_page.post(address, sent).status_code == 303
    kept = Sample.objects.get()
    assert (kept.across_technique, kept.across_tucks, kept.across_depths) == ("english", 68, 0)
    assert (kept.along_flat, kept.along_tucks, kept.made_on) == (None, 0, date(2026, 3, 2))
    assert "Dots" in text(owner_page.get(reverse("sample", args=[kept.pk])))


def test_where_nothing_is_counted_a_reading_counts_once(owner_page: Client, workroom: Workroom) -> None:
    row = recipe_of("gathers")
    address = reverse("sample_new", args=[row.pk])
    assert "between the points" not in text(owner_page.get(address))
    assert owner_page.post(address, posted_sample(make.fabric())).status_code == 303
    kept = Sample.objects.get()
    assert kept.across_tucks == 1
    shown = text(owner_page.get(reverse("sample", args=[kept.pk])))
    assert "Tucks" not in shown and "10\N{NO-BREAK SPACE}% more than the recipe’s 2.00" in shown


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"across_finished": "8"}, "across_finished"),
        ({"across_finished": "45"}, "across_finished"),
        ({"across_finished": ""}, "across_finished"),
        ({"across_flat": "", "across_finished": ""}, "across_flat"),
        ({"across_tucks": "-3"}, "across_tucks"),
        ({"along_flat": "0"}, "along_flat"),
    ],
)
def test_a_sample_that_can_not_be_is_refused_at_its_field(
    owner_page: Client, workroom: Workroom, changed: dict[str, str], field: str
) -> None:
    row = recipe_of("honeycomb")
    answer = owner_page.post(reverse("sample_new", args=[row.pk]), posted_sample(make.fabric(), **changed))
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    assert not Sample.objects.exists()
    for name, value in changed.items():
        assert answer.context["form"][name].value() == value


@pytest.mark.parametrize("technique", TECHNIQUES)
def test_what_sample_to_make_is_said_without_tucks(
    owner_page: Client, workroom: Workroom, technique: str
) -> None:
    shown = text(page_of(owner_page, recipe_of(technique)))
    advice = shown.split("The sample to make")[1].split("</section>")[0]
    assert "flat should become" in advice and "tuck" not in advice


def test_makers_work_with_them_too(maker_page: Client, stranger_page: Client, workroom: Workroom) -> None:
    row = recipe_of("trapunto")
    assert page_of(maker_page, row).status_code == 200
    assert page_of(stranger_page, row).status_code == 302


def test_more_finished_than_flat_is_refused_with_what_to_do(owner_page: Client, workroom: Workroom) -> None:
    row = recipe_of("quilting")
    sent = posted_sample(make.fabric(), across_flat="30", across_finished="31", across_tucks="12")
    answer = owner_page.post(reverse("sample_new", args=[row.pk]), sent)
    assert answer.status_code == 422 and not Sample.objects.exists()
    said = str(answer.context["form"].errors["across_finished"])
    assert "31.0" in said and "30.0" in said and "swapped" in said


@pytest.mark.parametrize("count", ["", "0"])
def test_what_lies_between_the_points_is_counted_or_asked_for(
    owner_page: Client, workroom: Workroom, count: str
) -> None:
    """An empty count would else be one line, and one line measured is a sample that knows nothing."""
    row = recipe_of("quilting")
    sent = posted_sample(
        make.fabric(), across_flat="31", across_finished="30", across_tucks="12",
        along_flat="31", along_finished="30", along_tucks=count,
    )  # fmt: skip
    answer = owner_page.post(reverse("sample_new", args=[row.pk]), sent)
    assert answer.status_code == 422 and not Sample.objects.exists()
    assert "Count the lines along" in str(answer.context["form"].errors["along_tucks"])
    assert answer.context["form"]["across_flat"].value() == "31"


@pytest.mark.parametrize("technique", ["english", "honeycomb"])
def test_a_join_is_said_to_hide_in_fullness_not_in_a_tuck(
    owner_page: Client, workroom: Workroom, technique: str
) -> None:
    row, cloth = recipe_of(technique), make.fabric(width=1_120 * MM)
    sent = fields(page_of(owner_page, row)) | {"mode": "size", "size.across": "80", "size.along": "20"}
    shown = owner_page.post(WORK_OUT, sent | {"fabric": str(cloth.pk)})
    said = text(shown).split("Wider than the cloth.")[1].split("</p>")[0]
    assert "the fullness hides it" in said and "tuck" not in said
