"""A project that is planned with the settings of its file: wherever one project is reckoned, they count."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from projects.activities.panels import sync_panels
from projects.models import Fabric, LearnedRate, Piece, Project, RecipeVersion, Workroom
from projects.planning.compare import compare
from projects.planning.costs import Costs, plan_costs
from projects.planning.following import Consequence, consequences
from projects.planning.making import plan_project
from projects.planning.own_settings import NAMES
from projects.planning.promises import look_ahead
from projects.planning.run_source import run_for
from projects.planning.runs import runs_of
from tests import make
from tests.make import MM

pytestmark = pytest.mark.django_db
TODAY = date(2026, 3, 20)
OTHERS = {
    "buy_step": 370 * MM, "squaring": 40 * MM, "seam_allowance": 23 * MM, "hem_allowance": 61 * MM,
    "depth_spread": 900_000, "spool": 7_000 * MM,
}  # fmt: skip
RATES = {"tucks": "29", "setup.texture": "45"}


def came_with_a_file(project: Project, *, used: bool = True) -> Project:
    """The project with settings of its own: the studio's but for ``OTHERS`` and ``RATES``."""
    settings = {name: getattr(Workroom.load(), name) for name in NAMES}
    project.own_settings = {
        "format": 1, "used": used, "came": "2026-03-01", "settings": settings | OTHERS, "rates": RATES,
    }  # fmt: skip
    project.save()
    return project


@pytest.fixture
def voile(workroom: Workroom) -> Fabric:
    return make.fabric(
        price=Decimal("14.50"), thickness=250_000, shrink_along=Decimal(0), shrink_across=Decimal(0)
    )


@pytest.fixture
def version(workroom: Workroom) -> RecipeVersion:
    return make.version()


@pytest.fixture
def fronts(voile: Fabric, version: RecipeVersion) -> tuple[Piece, Piece]:
    """The same front twice: in a project planned with its file's settings, and in the studio's own."""
    own = make.piece(came_with_a_file(make.project()), fabric=voile, version=version)
    return own, make.piece(make.project(), fabric=voile, version=version)


def test_recipes_are_compared_as_the_piece_is_planned(fronts: tuple[Piece, Piece]) -> None:
    make.hour_rate(1800)
    found = [
        compare(piece, [piece.version], workroom=Workroom.load(), today=TODAY, money=True).columns[0]
        for piece in fronts
    ]
    for piece, column in zip(fronts, found, strict=True):
        plan = plan_project(piece.project)
        assert column.panel is not None and column.money is not None
        assert column.panel.cut_width == plan.pieces[0].panels[0].plan.cut_width
        assert column.minutes == plan.minutes
        assert column.money.hours == round(plan.minutes * 1800 / 60)
    own, studios = found
    assert own.panel.cut_length == studios.panel.cut_length + 2 * 30 * MM  # type: ignore[union-attr]
    assert own.minutes > 3 * studios.minutes and own.length > studios.length  # type: ignore[operator]


def test_a_hand_of_this_studio_moves_no_pace_of_a_file(fronts: tuple[Piece, Piece]) -> None:
    person = make.person()
    for whose in (None, person):
        LearnedRate.objects.create(driver="tucks", person=whose, mean=0.7, variance=0.01, steps=20)
    for piece, moved in zip(fronts, (False, True), strict=True):
        sync_panels(piece)
        plan = plan_project(piece.project)
        run = run_for(piece.project, next(run.key for run in runs_of(plan)))
        assert run is not None and run.unit_minutes_of(None) == run.unit_minutes
        LearnedRate.objects.filter(person=person).update(mean=1.5)
        assert (run.unit_minutes_of(person.pk) > run.unit_minutes) == moved


def costs_of(project: Project) -> Costs:
    return plan_costs(project, plan_project(project), workroom=Workroom.load(), today=TODAY)


def planned(costs: Costs, group: str) -> Any:
    return next(line.planned for line in costs.lines if line.group == group)


def test_cloth_hours_and_thread_are_the_files_and_money_the_studios(fronts: tuple[Piece, Piece]) -> None:
    make.workroom(margin=Decimal("0.25"), tax=Decimal("0.1"))
    make.hour_rate(1800)
    own, studios = (costs_of(piece.project) for piece in fronts)
    plan = plan_project(fronts[0].project)
    assert planned(own, "hours").quantity == plan.minutes > 3 * planned(studios, "hours").quantity
    assert planned(own, "hours").amount == round(plan.minutes * 1800 / 60)
    assert planned(own, "cloth").quantity > planned(studios, "cloth").quantity
    assert plan.thread is not None and plan.thread.spool == 7_000 * MM
    assert planned(own, "thread").quantity == plan.thread.spools > planned(studios, "thread").quantity
    net = own.price_planned.margin + own.planned.cost
    assert own.price_planned.margin == pytest.approx(net * 0.25, abs=1)


def test_what_is_ahead_takes_the_minutes_of_its_own_plan(fronts: tuple[Piece, Piece]) -> None:
    found = look_ahead([piece.project for piece in fronts], today=TODAY).projects
    for piece in fronts:
        assert found[piece.project_id].forecast.budget == plan_project(piece.project).minutes
    own, studios = (found[piece.project_id].forecast.left for piece in fronts)
    assert own > studios


def test_what_a_new_version_changes_is_told_by_each_projects_own(fronts: tuple[Piece, Piece]) -> None:
    recipe = fronts[0].version.recipe
    deeper = make.content(make.tucks((18, 5), (12, 8)))
    found = {c.piece.pk: c for c in consequences(recipe, deeper, workroom=Workroom.load(), came_from=None)}
    own, studios = (_now(found[piece.pk]) for piece in fronts)
    assert own.minutes > 3 * studios.minutes and own.area > studios.area


def _now(found: Consequence) -> Any:
    assert found.now is not None
    return found.now


def test_settings_that_are_kept_but_not_used_change_nothing(fronts: tuple[Piece, Piece]) -> None:
    wanted = plan_project(fronts[1].project).minutes
    assert plan_project(came_with_a_file(fronts[0].project, used=False)).minutes == wanted


def test_what_to_buy_names_the_step_it_was_rounded_to(
    owner_page: Client, fronts: tuple[Piece, Piece]
) -> None:
    pages = [
        owner_page.get(reverse("project_buy", args=[piece.project_id])).content.decode() for piece in fronts
    ]
    assert "steps of 0.37 m" in pages[0] or "steps of 37 cm" in pages[0]
    assert "37" not in pages[1].split("steps of")[1][:10]
    assert plan_project(fronts[0].project).fabrics[0].buy % OTHERS["buy_step"] == 0


def test_a_new_piece_begins_with_the_allowances_of_its_file(
    owner_page: Client, fronts: tuple[Piece, Piece]
) -> None:
    own, studios = (
        owner_page.get(reverse("piece_new", args=[piece.project_id])).context["form"].initial
        for piece in fronts
    )
    assert (own["allowance_sides"], own["allowance_top"], own["allowance_bottom"]) == (
        23 * MM, 23 * MM, 61 * MM,
    )  # fmt: skip
    usual = Workroom.load()
    assert studios["allowance_sides"] == usual.seam_allowance != 23 * MM
    assert studios["allowance_bottom"] == usual.hem_allowance
