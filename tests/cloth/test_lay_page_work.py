"""Working on a lay from its page: options, improving, pins and places, another width."""

import time
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from projects.activities import lay_runs, lay_work
from projects.calc.lengths import parse
from projects.models import ClothFlaw, Fabric, LayDraft, Project
from projects.planning import plan_project
from tests import make
from tests.cloth.posts import METRE, MM
from tests.cloth.test_lay_page import accept, at, coat, line_of, post, text_of

HTMX = {"HTTP_HX_REQUEST": "true"}
OPTIONS = {
    "width": "", "gap": "4", "end_loss": "2", "smallest_remnant": "10", "straight_cuts": "on",
    "use_stash": "on", "one_dye_lot": "on",
}  # fmt: skip


def options(page: Client, project: Project, fabric: Fabric, **values: Any) -> Any:
    return page.post(at("lay_options", project, fabric), post(**{**OPTIONS, **values}))


def test_options_are_kept_and_the_lay_follows_them(owner_page: Client) -> None:
    project, fabric = coat()
    assert options(owner_page, project, fabric, width="160").status_code == 303
    draft = LayDraft.objects.get()
    assert (draft.width, draft.gap, draft.end_loss) == (1_600 * MM, 4 * MM, 20 * MM)
    assert draft.straight_cuts
    answer = owner_page.get(at("lay", project, fabric))
    assert answer.context["line"].laid_for.width == 1_600 * MM and "160.0 cm" in answer.content.decode()
    assert answer.context["options"]["gap"].value() == "4"


def test_a_length_may_be_chosen_or_the_shelf_left_alone(owner_page: Client) -> None:
    project, fabric = coat()
    first, second = make.length(fabric, received=9 * METRE), make.length(fabric, received=3 * METRE)
    for chosen in (first, second):
        options(owner_page, project, fabric, lengths=[chosen.pk])
        assert [on.cloth_id for on in line_of(project).lay_on] == [chosen.pk]
    options(owner_page, project, fabric, use_stash=None)
    assert [on.cloth_id for on in line_of(project).lay_on] == [None]


def test_two_projects_on_one_fabric_may_be_laid_together(owner_page: Client) -> None:
    project, fabric = coat()
    other = make.project("Capelet")
    make.piece(other, name="Yoke", fabric=fabric)
    assert f"{other.number} Capelet" in text_of(owner_page, project, fabric)
    options(owner_page, project, fabric, others=[other.pk])
    assert [p.pk for p in LayDraft.objects.get().others.all()] == [other.pk]
    assert "Yoke" in text_of(owner_page, project, fabric)


@pytest.mark.parametrize(
    ("field", "typed"),
    [("gap", "wide"), ("gap", ""), ("width", "-3"), ("width", "2 km"), ("end_loss", "9e99"), ("others", "x")],
)
def test_what_is_typed_wrongly_stays_and_says_what_would_do(
    owner_page: Client, field: str, typed: str
) -> None:
    project, fabric = coat()
    make.piece(make.project(), fabric=fabric)
    answer = options(owner_page, project, fabric, **{field: typed}, smallest_remnant="12.5")
    assert answer.status_code == 422 and answer.context["form"].errors[field]
    assert answer.context["options"]["smallest_remnant"].value() == "12.5"
    assert not LayDraft.objects.exists()


def test_options_that_can_not_be_laid_are_refused_with_the_panel(owner_page: Client) -> None:
    project, fabric = coat()
    answer = options(owner_page, project, fabric, width="20")
    assert answer.status_code == 422
    assert "Front" in str(answer.context["form"].errors) or "Back" in str(answer.context["form"].errors)


def test_two_people_do_not_overwrite_each_others_options(owner_page: Client) -> None:
    project, fabric = coat()
    options(owner_page, project, fabric)
    seen = LayDraft.objects.get().revision
    options(owner_page, project, fabric, gap="5", revision=seen)
    answer = options(owner_page, project, fabric, gap="7", revision=seen)
    assert answer.status_code == 409 and LayDraft.objects.get().gap == 5 * MM
    form = answer.context["options"]
    assert form["gap"].value() == "7"
    again = options(owner_page, project, fabric, gap="7", revision=form["revision"].value())
    assert again.status_code == 303 and LayDraft.objects.get().gap == 7 * MM


def placed(project: Project, name: str) -> Any:
    return next(p for p in line_of(project).lay.placements if p.name == name)


def test_a_panel_is_pinned_moved_and_let_go_by_numbers(owner_page: Client) -> None:
    project, fabric = coat()
    name = line_of(project).lay.placements[0].name
    which = {"name": name, "copy": 1}
    assert owner_page.post(at("lay_pin", project, fabric), post(**which)).status_code == 303
    assert owner_page.get(at("lay", project, fabric)).context["pinned"] == 1
    moved = post(**which, x="0", y="100", turned="", on="")
    assert owner_page.post(at("lay_move", project, fabric), moved)["Location"].endswith("#drawn")
    there = placed(project, name)
    assert (there.x, there.y) == (0, 1_000 * MM)
    assert "pinned" in text_of(owner_page, project, fabric)
    owner_page.post(at("lay_unpin", project, fabric), post(**which))
    assert owner_page.get(at("lay", project, fabric)).context["pinned"] == 0
    owner_page.post(at("lay_pin", project, fabric), post(**which))
    owner_page.post(at("lay_unpin_all", project, fabric), post())
    assert not LayDraft.objects.get().pins


def test_a_panel_pinned_on_new_cloth_leaves_the_others_there(owner_page: Client) -> None:
    project, fabric = coat()
    make.length(fabric, received=9 * METRE)
    before = line_of(project).lay
    assert before.length > 0, "laid on new cloth until the shelf is asked for"
    owner_page.post(at("lay_pin", project, fabric), post(name=before.placements[0].name, copy=1))
    assert line_of(project).lay.length <= before.length and not LayDraft.objects.get().use_stash
    assert "Lay it on the shelf" in text_of(owner_page, project, fabric)


def test_a_place_off_the_cloth_or_on_a_pin_is_refused_and_kept_typed(owner_page: Client) -> None:
    project, fabric = coat()
    first, second = [p.name for p in line_of(project).lay.placements[:2]]
    off = owner_page.post(at("lay_move", project, fabric), post(name=first, copy=1, x="139", y="0"))
    assert off.status_code == 422 and off.context["place"]["x"].value() == "139"
    assert 'id="moving"' in off.content.decode(), "the form is open at its panel"
    owner_page.post(at("lay_move", project, fabric), post(name=first, copy=1, x="0", y="0"))
    on = owner_page.post(at("lay_move", project, fabric), post(name=second, copy=1, x="1", y="1"))
    assert on.status_code == 422 and first in str(on.context["form"].errors)


def test_a_panel_that_is_not_there_is_refused(owner_page: Client) -> None:
    project, fabric = coat()
    for name in ("lay_pin", "lay_move"):
        data = post(name="Nobody", copy=1, x="0", y="0")
        assert owner_page.post(at(name, project, fabric), data).status_code == 422
    for data in (post(), post(name="Back", copy="x"), post(name="Back", copy=-4)):
        assert owner_page.post(at("lay_pin", project, fabric), data).status_code == 422


def test_the_form_to_move_a_panel_opens_at_it_with_its_place(owner_page: Client) -> None:
    project, fabric = coat()
    there = line_of(project).lay.placements[-1]
    address = at("lay", project, fabric)
    answer = owner_page.get(address, {"panel": there.name, "copy": there.copy})
    form = answer.context["place"]
    at_now = [parse(form[name].value(), "cm").nm for name in ("x", "y")]
    assert at_now == [there.x, there.y], "exactly, so that it can be sent as it is"
    assert answer.content.decode().count('id="moving"') == 1
    assert owner_page.get(address, {"panel": "Nobody", "copy": "1"}).context["place"] is None


def test_with_htmx_the_answer_is_the_lay_itself(owner_page: Client) -> None:
    project, fabric = coat()
    name = line_of(project).lay.placements[0].name
    answer = owner_page.post(at("lay_pin", project, fabric), post(name=name, copy=1), **HTMX)
    text = answer.content.decode()
    assert answer.status_code == 200 and text.strip().startswith("{") is False
    assert '<div id="lay">' in text and "<html" not in text and "Unpin" in text


def test_another_width_is_a_sentence(owner_page: Client) -> None:
    project, fabric = coat()
    for extra, whole in (({}, True), (HTMX, False)):
        answer = owner_page.get(at("lay_width", project, fabric), {"at": "70"}, follow=True, **extra)
        text = answer.content.decode()
        assert "At 70.0 cm" in text and "instead of" in text and ("<html" in text) == whole
    for typed in ("", "wide", "0"):
        answer = owner_page.get(at("lay_width", project, fabric), {"at": typed}, **HTMX)
        assert answer.status_code == 200 and answer.context["other_width"].errors["at"]
    answer = owner_page.get(at("lay_width", project, fabric), {"at": "20"}, **HTMX)
    assert "can’t be laid" in answer.content.decode()


def until_ended(page: Client, project: Project, fabric: Fabric) -> Any:
    """The page as it is polled, until the search is over."""
    for _ in range(200):
        answer = page.get(at("lay_progress", project, fabric), {"shown": "x"}, **HTMX)
        if not answer.context["running"]:
            return answer
        time.sleep(0.1)
    raise AssertionError("the search did not end")


def hard(project: Project, fabric: Fabric) -> None:
    """Panels that keep a search busy."""
    for i in range(14):
        size = {"across": (130 + 37 * i) * MM, "along": (211 + 53 * i) * MM}
        make.piece(project, name=f"Part {i}", fabric=fabric, **size)


def test_a_search_is_watched_stopped_and_what_it_found_is_shown(owner_page: Client) -> None:
    project, fabric = coat()
    hard(project, fabric)
    quick = line_of(project).lay.length
    answer = owner_page.post(at("lay_improve", project, fabric), post(seconds="30"))
    assert answer.status_code == 303 and LayDraft.objects.get().state == "running"
    page = owner_page.get(at("lay", project, fabric))
    text = page.content.decode()
    assert page.context["running"] and "every 1s" in text and "Stop and keep" in text and "Look again" in text
    assert "accept" not in page.context, "nothing is accepted while it still changes"
    polled = owner_page.get(at("lay_progress", project, fabric), {"shown": page.context["shown"]}, **HTMX)
    assert polled.status_code == 200 and 'id="improve"' in polled.content.decode()
    assert (polled.get("HX-Reswap") == "none") != ('id="lay"' in polled.content.decode())
    assert owner_page.post(at("lay_stop", project, fabric), post()).status_code == 303
    assert LayDraft.objects.get().state == "stopped"
    line = line_of(project)
    assert line.lay_state == "improved" and line.lay.length <= quick
    assert accept(owner_page, project, fabric).status_code == 303
    assert line_of(project).lay_state == "accepted"


def test_only_lengths_that_would_do_are_offered_to_stand_for_cloth_to_buy(owner_page: Client) -> None:
    project, fabric = coat()
    rolls = [
        make.length(fabric, label=label, received=received, **values)
        for label, received, values in (
            ("S1", 240 * MM, {}),
            ("S2", 9 * METRE, {"width": 137 * MM}),
            ("S3", 9 * METRE, {}),
            ("S4", 30 * METRE, {}),
        )
    ]
    options(owner_page, project, fabric, use_stash=None)

    def offered(name: str) -> list[int]:
        form = owner_page.get(at("lay", project, fabric)).context[name]
        return sorted(row.pk for row in form.fields["cloth"].queryset)

    assert offered("accept") == [rolls[2].pk, rolls[3].pk]
    accept(owner_page, project, fabric)
    assert offered("give") == [rolls[2].pk, rolls[3].pk]


def test_a_flaw_and_a_lost_end_are_explained_where_they_are_drawn(owner_page: Client) -> None:
    project, fabric = coat()
    roll = make.length(fabric, received=9 * METRE)
    options(owner_page, project, fabric, end_loss="0")
    text = text_of(owner_page, project, fabric)
    assert "a crossed box is a flaw" not in text and "the hatched end is lost" not in text
    ClothFlaw.objects.create(cloth=roll, along=20 * MM, across=20 * MM, length=30 * MM, width=30 * MM)
    options(owner_page, project, fabric, end_loss="2")
    text = text_of(owner_page, project, fabric)
    assert "a crossed box is a flaw" in text and "the hatched end is lost" in text


def test_turning_is_offered_only_where_grain_and_cloth_allow_it(owner_page: Client) -> None:
    project, fabric = coat()
    name = line_of(project).lay.placements[0].name

    def offered() -> bool:
        answer = owner_page.get(at("lay", project, fabric), {"panel": name, "copy": 1})
        assert [f.name for f in answer.context["place"].visible_fields()][:2] == ["y", "x"], "as in the table"
        return not answer.context["place"]["turned"].is_hidden

    assert not offered()
    project.pieces.update(may_turn=True)
    assert offered()
    Fabric.objects.update(one_way=True)
    assert not offered()


def test_a_lay_on_new_cloth_says_first_that_the_shelf_would_do(owner_page: Client) -> None:
    project, fabric = coat()
    assert "Drawn on new cloth." not in text_of(owner_page, project, fabric)
    make.length(fabric, received=100 * MM)
    assert "Drawn on new cloth." not in text_of(owner_page, project, fabric), "it holds no panel"
    make.length(fabric, received=9 * METRE)
    text = text_of(owner_page, project, fabric)
    assert "The shelf is enough: laid there, nothing is bought." in text
    assert text.index("Drawn on new cloth.") < text.index("of the cloth is not in panels")
    assert owner_page.post(at("lay_shelf", project, fabric), post()).status_code == 303
    assert "Drawn on new cloth." not in text_of(owner_page, project, fabric)


def test_a_lay_made_anew_does_not_stand_under_the_end_of_an_earlier_search(owner_page: Client) -> None:
    project, fabric = coat()
    hard(project, fabric)
    options(owner_page, project, fabric)
    LayDraft.objects.update(state="stopped")
    assert "Stopped, the best is kept" in text_of(owner_page, project, fabric)
    options(owner_page, project, fabric, gap="9")
    text = text_of(owner_page, project, fabric)
    assert "Stopped, the best is kept" not in text and "Laid as asked" in text


def test_a_search_that_ends_takes_the_whole_lay_with_it(owner_page: Client) -> None:
    project, fabric = coat()
    owner_page.post(at("lay_improve", project, fabric), post(seconds="3"), **HTMX)
    answer = until_ended(owner_page, project, fabric)
    assert "HX-Reswap" not in answer and '<div id="lay">' in answer.content.decode()
    assert LayDraft.objects.get().state == "ended"


def test_a_third_search_is_told_which_two_run(owner_page: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    project, fabric = coat()
    busy = [LayDraft(project=make.project("Capelet"), fabric=make.fabric("Wool challis")) for _ in range(2)]

    def start(**_: Any) -> LayDraft:
        raise lay_runs.Busy(busy)

    monkeypatch.setattr(lay_runs, "start", start)
    answer = owner_page.post(at("lay_improve", project, fabric), post(seconds="3"))
    assert answer.status_code == 422 and "Wool challis for Capelet" in answer.content.decode()


@pytest.mark.parametrize("seconds", ["", "0", "x", "99999999"])
def test_how_long_it_may_take_is_checked(owner_page: Client, seconds: str) -> None:
    project, fabric = coat()
    answer = owner_page.post(at("lay_improve", project, fabric), post(seconds=seconds))
    assert answer.status_code == 422 and answer.context["improve"].errors["seconds"]
    assert answer.context["improve"]["seconds"].value() == seconds


def test_progress_asked_for_without_htmx_leads_to_the_page(owner_page: Client) -> None:
    project, fabric = coat()
    answer = owner_page.get(at("lay_progress", project, fabric))
    assert (answer.status_code, answer["Location"]) == (303, reverse("lay", args=[project.pk, fabric.pk]))
    assert lay_work.draft_of(project, fabric) is None and plan_project(project).fabrics
