"""What the demo studio shows: four projects that plan without a problem, their cloth, recipes and hours."""

import json
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.contrib.auth.hashers import check_password
from django.core import serializers
from django.db import transaction
from django.test import Client
from django.urls import reverse

from projects.activities import balances, bench
from projects.activities.demo import load_demo
from projects.activities.photos import SIZES, photo_file_path
from projects.calc.lengths import System
from projects.calc.recipe import Recipe as Content
from projects.forms.recipe import state_from_recipe
from projects.models import (
    ClothLength,
    DayOff,
    HandChange,
    LabourLog,
    LearnedRate,
    OwnStage,
    Person,
    Photo,
    Project,
    Recipe,
    RecipeVersion,
    Run,
    Sample,
    Step,
    StepTemplate,
    StockEntry,
    WeekHours,
    Workroom,
)
from projects.planning import plan_project
from projects.planning.costs import plan_costs
from projects.planning.plan import Plan
from projects.planning.run_advice import checked

NOW = datetime(2026, 3, 18, 11, 0, tzinfo=UTC)
MM = 1_000_000


@pytest.fixture(scope="module")
def loaded(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    """The demo loaded once for all tests of this file, none of which changes it."""
    with django_db_blocker.unblock(), transaction.atomic():
        load_demo(owner_password="demo", now=NOW)
        yield
        transaction.set_rollback(True)


@pytest.fixture
def demo(loaded: None, db: None) -> None:
    """Named after ``loaded``, so that each test's own transaction lies inside that one."""


def plan_of(title: str) -> Plan:
    return plan_project(Project.objects.get(title=title))


@pytest.fixture
def coat(demo: None) -> Plan:
    return plan_of("Concert coat")


@pytest.fixture
def capelet(demo: None) -> Plan:
    return plan_of("Lamplighter's capelet")


def test_owner_signs_in_and_makers_cannot(demo: None) -> None:
    owner = Person.objects.get(username="demo")
    assert owner.is_owner and owner.check_password("demo")
    makers = Person.objects.filter(role=Person.MAKER, is_active=True)
    assert len(makers) == 2
    assert not any(maker.has_usable_password() for maker in makers)


TITLES = ("Concert coat", "Lamplighter's capelet", "Velvet evening bag", "Christening gown yoke")


@pytest.mark.parametrize("title", TITLES)
def test_each_project_plans_without_a_problem(demo: None, title: str) -> None:
    plan = plan_of(title)
    assert [piece.problem for piece in plan.pieces] == [""] * len(plan.pieces)
    assert [fabric.problem for fabric in plan.fabrics] == [""] * len(plan.fabrics)
    assert all(fabric.lay for fabric in plan.fabrics)
    assert all(piece.panels for piece in plan.pieces)
    assert len(plan.steps) > 15 and plan.notions
    assert not any("can't" in note.text for piece in plan.pieces for note in piece.notes)


def test_coat_is_tucked_both_ways_and_its_sleeves_follow_an_older_version(coat: Plan) -> None:
    pieces = {piece.name: piece for piece in coat.pieces}
    assert pieces["Front"].version == pieces["Back"].version == 3
    assert pieces["Sleeve"].version == 2
    front = pieces["Front"].panels[0].plan
    assert front.across.count and front.along.count and front.layers_max == 9
    assert front.thickness == 1_440_000  # nine layers of 0.16 mm
    sleeve = pieces["Sleeve"].panels[0].plan
    assert sleeve.across.count and not sleeve.along.count
    assert [line.hand for line in pieces["Front"].panels] == ["left", "right"]


def test_tucks_rest_on_samples_of_this_cloth(coat: Plan) -> None:
    back = next(piece for piece in coat.pieces if piece.name == "Back")
    assert back.take_up_across and back.take_up_along
    for take_up in (back.take_up_across, back.take_up_along):
        assert take_up.basis == "this cloth"
        assert 100_000 <= take_up.extra <= 300_000  # a tenth to three tenths of a millimetre a tuck
    # Across: the readings' flat - finished - sum of 2 d, over 12 + 16 + 16 tucks.
    added = (342 - 171.5 - 168) + (442 - 215.5 - 224) + (442 - 215.5 - 224)
    assert abs(back.take_up_across.extra - added / 44 * MM) < 2


def test_back_is_cut_and_its_steps_are_on_their_way(coat: Plan) -> None:
    cut = [line.name for piece in coat.pieces for line in piece.panels if line.cut]
    assert cut == ["Back"]
    states = {step.title: step.state for step in coat.steps}
    assert states["Cut Back"] == "done"
    assert states["Wash a swatch of Cotton lawn"] == "skipped"
    open_of_back = [step.title for step in coat.steps if step.panel == "Back" and step.state == "open"]
    assert open_of_back[0].startswith("Sew Back along")
    assert [step.title for step in coat.steps if step.own] == ["First fitting with the wardrobe keeper"]
    assert Step.objects.get(state="skipped").reason


def test_runs_are_in_hand_and_a_check_asked_for_a_correction(coat: Plan) -> None:
    runs = {run.key.split(":", 1)[1]: run for run in Run.objects.filter(project__title="Concert coat")}
    across, along = runs["sew:across:1"], runs["sew:along:1"]
    looks = {run.key: bench.look(project=run.project, key=run.key) for run in Run.objects.all()}
    assert looks[across.key].finished and not looks[along.key].finished
    assert len(looks[along.key].state.sewn) == 28 and looks[along.key].state.steps
    made = [checked(look.run, look.state, fact) for look in looks.values() for fact in look.state.checks]
    assert [found.judged.fine for found in made if found].count(False) == 1 and len(made) == 7
    [bag] = Run.objects.exclude(project__title="Concert coat")
    assert 0 < len(looks[bag.key].state.sewn) < looks[bag.key].run.count
    assert not any(look.run.before for look in looks.values()), "what comes before them is done"


def test_hours_have_taught_something_and_work_can_be_promised(demo: None) -> None:
    assert LearnedRate.objects.filter(person=None).exclude(mean=0).exists() and HandChange.objects.exists()
    assert WeekHours.objects.values("person").distinct().count() == 3 and DayOff.objects.exists()
    assert OwnStage.objects.exists() and StepTemplate.objects.exists()


def test_the_pins_that_the_sign_in_page_tells_are_those_of_the_demo(demo: None, client: Client) -> None:
    page = client.get(reverse("sign_in")).content.decode()
    for username, pin in (("moss", "2749"), ("tansy", "8361")):
        assert check_password(pin, Person.objects.get(username=username).pin) and f"<b>{pin}</b>" in page


def test_hours_stand_beside_the_budget(coat: Plan) -> None:
    logged = {stage.stage: stage.logged for stage in coat.budget if stage.logged}
    assert set(logged) == {"sample", "prepare", "cut", "mark", "texture", "press"}
    assert all(stage.planned > 0 for stage in coat.budget)
    assert 0 < coat.logged < coat.minutes
    assert not LabourLog.objects.filter(minutes=None).exists()  # no timer runs
    assert LabourLog.objects.values("person").distinct().count() == 3
    dates = LabourLog.objects.order_by("date").values_list("date", flat=True)
    assert dates[0].isoformat() == "2026-02-24" and max(dates) < NOW.date()
    assert not any(day.weekday() > 4 for day in dates)


def test_cloth_is_laid_on_one_length_and_cut_off_it(coat: Plan) -> None:
    """The back is cut: what the lay uses is off the length, and a remnant lies beside it."""
    voile = coat.fabrics[0]
    assert voile.kept_lay and not voile.lay_changed
    length = ClothLength.objects.get(label="V1")
    held = balances.balance(length)
    assert held.reserved == 0 and 0 < held.free < voile.lay.length
    assert length.remnants.get().label == "V1 remnant 1"
    kinds = set(StockEntry.objects.values_list("kind", flat=True))
    assert kinds == {"received", "reserved", "released", "cut", "wasted", "counted"}
    assert all(balance.free >= 0 for balance in balances.balances(ClothLength.objects.all()).values())


def test_something_is_left_to_buy(coat: Plan, capelet: Plan) -> None:
    assert any(notion.buy > 0 for notion in coat.notions)
    challis = capelet.fabrics[0]
    assert challis.buy > 0 and challis.buy % (100 * MM) == 0
    assert [sample.recipe_name for sample in challis.samples][-1] == "Box pleats, 40 mm"


def test_body_of_the_capelet_is_joined_inside_a_pleat(capelet: Plan) -> None:
    body = capelet.pieces[0].panels[0].plan
    assert body.joins and len(body.joins.widths) == 2 and not body.joins.refusal
    assert {piece.recipe_name for piece in capelet.pieces} == {"Knife pleats, 25 mm", "Box pleats, 40 mm", ""}


def test_every_version_reads_back_as_its_page_would_post_it(demo: None) -> None:
    """A recipe opened and saved untouched makes no new version."""
    for version in RecipeVersion.objects.all():
        content = Content.from_json(version.content)
        state = state_from_recipe(content, version.typed, System.METRIC)
        assert state.typed() == version.typed
        assert content.to_json() == version.content
    pins = Recipe.objects.get(name="Pin tucks in threes").versions.get()
    assert set(pins.typed.values()) == {"in"}


def test_samples_name_what_was_sewn(demo: None) -> None:
    assert Sample.objects.filter(version__number=3).count() == 2
    assert all(sample.made_on < NOW.date() for sample in Sample.objects.all())


def test_nobody_real_can_be_reached(demo: None) -> None:
    models = apps.get_app_config("projects").get_models()
    rows = [row for model in models for row in model._base_manager.all()]
    text = json.dumps(json.loads(serializers.serialize("json", rows)), ensure_ascii=False)
    addresses = re.findall(r"[\w.+-]+@([\w.-]+)", text)
    assert addresses and all(domain.endswith(".example.org") for domain in addresses)
    assert not re.search(r"https?://|www\.|\.com|\b(lorem|todo|fixme|tbd|xxx)\b", text, re.I)
    assert all(" " not in name for name in Person.objects.values_list("shown_name", flat=True))


def test_weights_are_those_of_cloth_one_could_wear(coat: Plan) -> None:
    grams = sum((fabric.grams or Decimal(0)) for fabric in coat.fabrics)
    assert 250 < grams < 900


def test_bag_is_drawn_up_in_whole_squares_as_its_sample_says(demo: None) -> None:
    plan = plan_of("Velvet evening bag")
    body = next(piece for piece in plan.pieces if piece.name == "Body").panels[0].plan
    assert body.work and body.across.ratio and body.along.ratio
    assert body.cut_width % (30 * MM) == body.cut_length % (30 * MM) == 0
    assert body.across.ratio.basis == body.along.ratio.basis == "this cloth"
    # Nine squares of 30 mm measured 93.5 mm: 270 / 93.5 = 2.888, where 42 mm squares promise 4 x 30 / 42.
    assert 2.857 < float(body.across.ratio.ratio) < 2.89
    assert any("Raised cloth (Cotton velvet)" in note.text for note in plan.notes)
    assert [binding.on_the_bias for binding in plan.bindings] == [False]


def test_gown_is_for_a_child_and_says_so(demo: None) -> None:
    plan = plan_of("Christening gown yoke")
    said = " ".join(note.text for note in plan.notes if note.kind == "caution")
    assert "Made for a child" in said and "rules for cords" in said and "qualified testing" in said
    assert {piece.recipe_name for piece in plan.pieces} == {"Corded tucks, 2 mm", ""}
    assert any("sew a sample" in note.text for piece in plan.pieces for note in piece.notes)
    (binding,) = plan.bindings
    assert binding.on_the_bias and binding.gives >= binding.need


def test_gown_names_as_much_cord_as_its_tucks_take(demo: None) -> None:
    plan = plan_of("Christening gown yoke")
    (cord,), (named,) = plan.cords, [n for n in plan.notions if n.name == "Cotton cord"]
    assert 0 <= named.need * 1000 * MM - cord.need < 1000 * MM
    assert not any("corded tucks take" in note.text for note in plan.notes)


def test_photographs_were_drawn_and_lie_where_they_are_looked_for(demo: None) -> None:
    rows = list(Photo.objects.all())
    assert len(rows) == 9 and all(photo_file_path(row, size).is_file() for row in rows for size in SIZES)
    of_coat = [row for row in rows if row.project and row.project.title == "Concert coat"]
    assert any(row.on_sheet for row in of_coat) and sum(row.for_client for row in of_coat) == 2
    assert {bool(row.sample_id) for row in rows} == {True, False}


def test_what_it_costs_has_no_gap_but_what_is_unknown(demo: None) -> None:
    coat = Project.objects.get(title="Concert coat")
    costs = plan_costs(coat, plan_project(coat), workroom=Workroom.load(), today=NOW.date())
    assert not costs.missing
    assert costs.price_planned is not None and costs.price_planned.total > 0
