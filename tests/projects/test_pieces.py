"""Pieces: typed, previewed while typing, saved once, cut and taken back, deleted and brought back."""

import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from projects.activities import pieces as activity
from projects.activities.panels import book_cut, sync_panels
from projects.models import Deletion, Panel, Piece
from projects.planning.making import plan_project
from projects.views.mark_table import alike
from tests import make

pytestmark = pytest.mark.django_db
MM = make.MM
HTMX = {"HTTP_HX_REQUEST": "true"}
TYPED = {
    "name": "Front",
    "across": "48.3",
    "along": "70",
    "count": "2",
    "mirrored": "on",
    "caught": "keep",
    "margin_at": "both",
    "allowance_sides": "1.5",
    "allowance_top": "1.5",
    "allowance_bottom": "2",
}


@pytest.fixture
def project(workroom):
    return make.project()


def saved(project, **values):
    usual = {
        "name": "Front",
        "across": 300 * MM,
        "along": 600 * MM,
        "version": make.version(),
        "fabric": make.fabric(),
    }
    return activity.create_piece(project=project, values={**usual, **values})


def typed_of(piece, **changed):
    """What the form of a piece would post, untouched but for ``changed``."""
    return {
        **TYPED,
        "name": piece.name,
        "across": "30",
        "along": "60",
        "count": piece.count,
        "mirrored": "",
        "fabric": piece.fabric_id or "",
        "recipe": piece.version_id or "",
        "allowance_bottom": "1.5",
        "revision": piece.revision,
        **changed,
    }


def test_a_new_piece_has_its_panels_left_and_right(owner_page, project):
    version, fabric = make.version(), make.fabric()
    answer = owner_page.post(
        reverse("piece_new", args=[project.pk]), {**TYPED, "recipe": version.pk, "fabric": fabric.pk}
    )
    piece = Piece.objects.get()
    assert answer["Location"] == reverse("piece", args=[piece.pk])
    assert (piece.across, piece.along, piece.version, piece.fabric) == (483 * MM, 700 * MM, version, fabric)
    assert [p.name for p in piece.panels.all()] == ["Front, left", "Front, right"]


def test_lengths_are_read_in_either_system_and_shown_as_typed(owner_page, project):
    owner_page.post(reverse("piece_new", args=[project.pk]), {**TYPED, "across": "19 1/8 in"})
    piece = Piece.objects.get()
    assert (piece.across, piece.typed["across"]) == (485_775_000, "in")
    assert 'value="19 1/8 in"' in owner_page.get(reverse("piece_edit", args=[piece.pk])).content.decode()


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"across": "40 m"}, "across"),
        ({"along": "40 m"}, "along"),
        ({"across": "0"}, "across"),
        ({"along": "-5"}, "along"),
        ({"across": "wide"}, "across"),
        ({"across": ""}, "across"),
        ({"across": "1,234"}, "across"),
        ({"name": "n" * 10_000}, "name"),
        ({"name": ""}, "name"),
        ({"count": "0"}, "count"),
        ({"count": "500"}, "count"),
        ({"count": "3"}, "count"),
        ({"count": "2.5"}, "count"),
        ({"allowance_sides": "2 m"}, "allowance_sides"),
        ({"recipe": "987654"}, "recipe"),
        ({"recipe": "x"}, "recipe"),
        ({"fabric": "987654"}, "fabric"),
        ({"caught": "burn"}, "caught"),
        ({"margin_at": "up"}, "margin_at"),
        ({"across": "9" * 10_000}, "across"),
        ({"across": "1e400"}, "across"),
        ({"across": "NaN"}, "across"),
        ({"across": "2", "allowances_drawn": "on"}, "allowance_sides"),
    ],
)
def test_what_can_not_be_says_so_at_its_field(owner_page, project, wrong, field):
    answer = owner_page.post(reverse("piece_new", args=[project.pk]), {**TYPED, **wrong})
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert f'href="#id_{field}"' in shown
    assert f'id="id_{field}_error"' in shown
    assert (TYPED | wrong)["along"] in shown
    assert not Piece.objects.exists() and not Panel.objects.exists()


def test_an_odd_pair_is_told_what_to_do(owner_page, project):
    answer = owner_page.post(reverse("piece_new", args=[project.pk]), {**TYPED, "count": "3"})
    assert "A pair needs an even number, and 3 is odd. Make it 4" in answer.content.decode()


def test_an_untouched_form_changes_no_row_whatever_the_units(owner_page, project):
    piece = saved(project, typed={"across": "cm"})
    for units in ("metric", "inch"):
        make.workroom(units=units)
        page = owner_page.get(reverse("piece_edit", args=[piece.pk]))
        form = page.context["form"]
        typed = {bound.html_name: bound.value() for bound in form}
        typed = {
            name: ("on" if value is True else value)
            for name, value in typed.items()
            if value not in (None, False)
        }
        assert owner_page.post(reverse("piece_edit", args=[piece.pk]), typed).status_code == 303
        now = Piece.objects.get()
        assert (now.revision, now.typed, now.across) == (1, {"across": "cm"}, 300 * MM)


def test_the_preview_is_what_saving_makes_and_saves_nothing(owner_page, project):
    typed = {**TYPED, "recipe": make.version().pk, "fabric": make.fabric().pk}
    answer = owner_page.post(reverse("piece_new_preview", args=[project.pk]), typed, **HTMX)
    assert answer.status_code == 200
    assert not Piece.objects.exists()
    owner_page.post(reverse("piece_new", args=[project.pk]), typed)
    line = plan_project(project).pieces[0].panels[0]
    width = owner_page.get(reverse("piece", args=[Piece.objects.get().pk])).content.decode()
    said = answer.content.decode()
    assert "Makes 2 panels of" in said and "<html" not in said
    size = said.split("panels of ")[1].split(" flat")[0]
    assert size in width
    assert f"{round(line.plan.cut_width / 10 / MM, 1)} cm" in size


def test_the_preview_of_a_saved_piece_leaves_it_alone(owner_page, project):
    piece = saved(project)
    address = reverse("piece_preview", args=[piece.pk])
    assert owner_page.post(address, typed_of(piece, across="55"), **HTMX).status_code == 200
    assert Piece.objects.get().across == 300 * MM


def test_a_wrong_preview_is_422_with_the_reason(owner_page, project):
    address = reverse("piece_new_preview", args=[project.pk])
    part = owner_page.post(address, {**TYPED, "across": "40 m"}, **HTMX)
    assert (part.status_code, "<html" in part.content.decode()) == (422, False)
    assert "Finished size across" in part.content.decode()
    whole = owner_page.post(address, {**TYPED, "across": "40 m"})
    assert (whole.status_code, 'value="40 m"' in whole.content.decode()) == (422, True)


def test_a_piece_wider_than_the_cloth_says_what_would_fit(owner_page, project):
    fabric = make.fabric(width=900 * MM)
    typed = {**TYPED, "across": "2 m", "recipe": "", "fabric": fabric.pk}
    said = owner_page.post(reverse("piece_new_preview", args=[project.pk]), typed, **HTMX).content.decode()
    assert "wide" in said and "90.0 cm" in said
    owner_page.post(reverse("piece_new", args=[project.pk]), typed)
    piece = Piece.objects.get()
    for address in (reverse("piece", args=[piece.pk]), reverse("project", args=[project.pk])):
        shown = owner_page.get(address)
        assert shown.status_code == 200
        assert "90.0 cm" in shown.content.decode()


def test_two_people_edit_one_piece(owner_page, maker_page, project):
    piece = saved(project)
    address = reverse("piece_edit", args=[piece.pk])
    assert maker_page.post(address, typed_of(piece, across="31")).status_code == 303
    answer = owner_page.post(address, typed_of(piece, across="32", name="Front, mine"))
    shown = answer.content.decode()
    assert answer.status_code == 409
    assert "31 cm" in shown and "32 cm" in shown and "Front, mine" in shown
    assert Piece.objects.get().across == 310 * MM
    now = Piece.objects.get()
    assert f'name="revision" value="{now.revision}"' in shown
    settled = typed_of(piece, across="32", name="Front, mine", revision=now.revision)
    assert owner_page.post(address, settled).status_code == 303
    assert (Piece.objects.get().across, Piece.objects.get().name) == (320 * MM, "Front, mine")


def test_a_doubled_post_makes_one_piece(owner_page, project):
    typed = {**TYPED, "op": str(uuid.uuid4())}
    answers = [owner_page.post(reverse("piece_new", args=[project.pk]), typed) for _ in range(2)]
    assert (Piece.objects.count(), Panel.objects.count()) == (1, 2)
    assert answers[0]["Location"] == answers[1]["Location"]


def test_fewer_are_wanted_and_panels_go_but_cut_ones_stay(owner_page, project):
    piece = saved(project, count=4)
    last = piece.panels.get(number=4)
    owner_page.post(reverse("panel_cut", args=[piece.pk, last.pk]))
    owner_page.post(reverse("piece_edit", args=[piece.pk]), typed_of(piece, count=1))
    wanted = piece.panels.filter(dropped_at=None)
    assert [panel.number for panel in wanted] == [1, 4]


def test_a_cut_panel_keeps_its_numbers_and_says_what_would_have_changed(owner_page, project):
    piece = saved(project)
    panel = piece.panels.get()
    before = plan_project(project).pieces[0].panels[0].plan.cut_width
    owner_page.post(reverse("panel_cut", args=[piece.pk, panel.pk]))
    owner_page.post(reverse("piece_edit", args=[piece.pk]), typed_of(piece, across="40"))
    line = plan_project(project).pieces[0].panels[0]
    shown = owner_page.get(reverse("piece", args=[piece.pk])).content.decode()
    assert line.cut and line.plan.cut_width == before and line.changes
    assert "Would be now" in shown and "Cut width" in shown
    owner_page.post(reverse("panel_uncut", args=[piece.pk, panel.pk]))
    line = plan_project(project).pieces[0].panels[0]
    assert not line.cut and line.plan.cut_width != before


def test_a_panel_without_numbers_is_not_booked_as_cut(owner_page, project):
    piece = saved(project, across=2_000 * MM, version=None, fabric=make.fabric(width=900 * MM))
    panel = piece.panels.get()
    page = owner_page.post(reverse("panel_cut", args=[piece.pk, panel.pk]), follow=True)
    assert page.status_code == 200
    assert "wide" in page.content.decode()
    panel.refresh_from_db()
    assert panel.cut_at is None


def test_the_newest_version_is_followed_when_asked(owner_page, project):
    version = make.version()
    piece = saved(project, version=version)
    newer = make.version(version.recipe, of=make.content(make.tucks((25, 5))))
    address = reverse("piece", args=[piece.pk])
    assert "the newest is version 2" in owner_page.get(address).content.decode()
    owner_page.post(reverse("piece_newest", args=[piece.pk]))
    assert Piece.objects.get().version == newer
    assert "the newest is version" not in owner_page.get(address).content.decode()


def test_older_versions_can_be_chosen_and_deleted_recipes_only_kept(owner_page, project):
    version = make.version()
    piece = saved(project, version=version)
    make.version(version.recipe)
    other = make.recipe("Knife pleats")
    for row in (version.recipe, other):
        make.deletion(row)
    shown = owner_page.get(reverse("piece_edit", args=[piece.pk])).content.decode()
    assert f'<option value="{version.pk}" selected>' in shown
    assert "Knife pleats" not in shown
    assert (
        owner_page.post(reverse("piece_edit", args=[piece.pk]), typed_of(piece, name="Kept")).status_code
        == 303
    )


def test_delete_and_undo(owner_page, project):
    piece = saved(project)
    page = owner_page.post(reverse("piece_delete", args=[piece.pk]), follow=True)
    deletion = Deletion.objects.get()
    assert reverse("restore", args=[deletion.pk]) in page.content.decode()
    assert plan_project(project).pieces == ()
    owner_page.post(reverse("restore", args=[deletion.pk]))
    assert [line.panel_id for line in plan_project(project).pieces[0].panels] == [piece.panels.get().pk]


@pytest.mark.parametrize("name", ["piece_newest", "piece_delete", "piece_preview"])
def test_changes_are_posted(owner_page, project, name):
    piece = saved(project)
    assert owner_page.get(reverse(name, args=[piece.pk])).status_code == 405
    assert owner_page.post(reverse(name, args=[piece.pk + 999])).status_code == 404


@pytest.mark.parametrize("name", ["panel_cut", "panel_uncut"])
def test_a_panel_is_booked_on_its_own_piece_by_post(owner_page, project, name):
    piece, other = saved(project), saved(project)
    panel = piece.panels.get()
    assert owner_page.get(reverse(name, args=[piece.pk, panel.pk])).status_code == 405
    assert owner_page.post(reverse(name, args=[other.pk, panel.pk])).status_code == 404
    assert owner_page.post(reverse(name, args=[piece.pk, 987654])).status_code == 404


def test_marks_have_one_row_a_tuck(owner_page, project):
    piece = saved(project, count=2, mirrored=True)
    side = plan_project(project).pieces[0].panels[1].plan.across
    shown = owner_page.get(reverse("panel_marks", args=[piece.pk]) + "?panel=2").content.decode()
    assert shown.count('<tr><th scope="row">') == side.count
    assert "Front, right" in shown
    assert owner_page.get(reverse("panel_marks", args=[piece.pk]) + "?panel=nonsense").status_code == 200


def test_panels_of_old_rows_come_with_the_next_save(owner_page, project):
    piece = make.piece(project)
    assert owner_page.get(reverse("piece", args=[piece.pk])).status_code == 200
    sync_panels(piece)
    assert piece.panels.count() == 1


def test_a_tight_gap_is_named_by_its_mark(owner_page, project):
    piece = saved(project, version=make.version(of=make.content(make.tucks((18, 4), (12, 7), (8, 12)))))
    page = owner_page.get(reverse("piece", args=[piece.pk])).content.decode()
    assert "Across: tight after every B" in page and "after tuck 2" not in page


def test_figures_of_a_column_of_marks_have_as_many_places(owner_page, project):
    piece = saved(project, version=make.version(of=make.content(make.tucks((18, 4), (12, 7)))))
    Piece.objects.filter(pk=piece.pk).update(across=303_700_000)
    page = owner_page.get(reverse("panel_marks", args=[piece.pk])).content.decode()
    tables = owner_page.get(reverse("panel_marks", args=[piece.pk])).context["tables"]
    depths = [line.depth for _, table in tables for line in table.lines]
    assert set(depths) == {"4", "7"} and 'Depth<span class="unit">, mm</span>' in page
    assert '<span class="quiet">from edge</span>' in page


@pytest.mark.parametrize(
    ("column", "shown"),
    [
        (["18 mm", "5.5 mm"], ["18.0 mm", "5.5 mm"]),
        (["about 4.25 mm", "4 mm"], ["about 4.25 mm", "4.00 mm"]),
        (["5/16 in", "1 7/16 in", "2 in"], ["5/16 in", "1 7/16 in", "2 in"]),
        (["¹⁄₃₂ in", "1 ⁵⁄₁₆ in"], ["¹⁄₃₂ in", "1 ⁵⁄₁₆ in"]),
        ([], []),
    ],
)
def test_points_stand_in_line(column, shown):
    assert alike(column) == shown


def test_the_form_says_which_panels_are_cut(owner_page, owner, project):
    piece = saved(project, count=2, mirrored=True)
    where = reverse("piece_edit", args=[piece.pk])
    assert "are cut and keep" not in owner_page.get(where).content.decode()
    left, right = piece.panels.order_by("number")
    book_cut(left, person=owner, now=timezone.now())
    assert "Front, left is cut and keeps its numbers" in owner_page.get(where).content.decode()
    book_cut(right, person=owner, now=timezone.now())
    page = owner_page.get(where).content.decode()
    assert "Front, left and Front, right are cut and keep their numbers" in page


def test_why_fewer_layers_pass_under_the_needle_than_lie(owner_page, project):
    across, along = make.tucks((18, 4)), make.tucks((18, 4))
    piece = saved(project, version=make.version(of=make.content(across, along)))
    page = owner_page.get(reverse("piece", args=[piece.pk])).content.decode()
    assert "two plies, each of 3 layers already sewn" in page and "so 9 lie at the thickest" in page


def test_a_half_on_the_fold_says_that_sizes_are_whole(owner_page, project):
    piece = saved(project)
    where = reverse("piece", args=[piece.pk])
    assert "on the fold" not in owner_page.get(where).content.decode()
    Piece.objects.filter(pk=piece.pk).update(drawn_half=True)
    page = owner_page.get(where).content.decode()
    assert "the pattern is a half, on the fold; all sizes here are whole" in page
