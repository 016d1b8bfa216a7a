"""Stages and steps of the studio's own: where they stand, what they take, what stays of them."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.activities import deleting, own_steps, panels, steps
from projects.calc.labour import STAGES
from projects.models import OwnStage, Person, Project, ShareLink, StepTemplate, Workroom
from projects.planning import plan_project
from projects.planning.build_page import BuildPage, build_page
from projects.planning.several import load_several
from projects.planning.stages import FIRST, in_order, stage_titles, stages
from tests import make

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)
BOTH_WAYS = make.content(make.tucks(*make.GRADUATED), make.tucks((20, 9)))


@pytest.fixture
def coat(workroom: object) -> Project:
    """A pair of fronts in two directions, with a spare."""
    project = make.project(client=make.client())
    front = make.piece(
        project, fabric=make.fabric(), version=make.version(of=BOTH_WAYS), count=2, mirrored=True, spare=True
    )
    panels.sync_panels(front)
    return project


def titles(project: Project) -> list[str]:
    return [step.title for step in plan_project(Project.objects.get(pk=project.pk)).steps]


def between(project: Project, title: str) -> tuple[str, str]:
    found = ["", *titles(project), ""]
    at = found.index(title)
    return found[at - 1], found[at + 1]


AFTER = [FIRST, "cut", "finish", "own-1", "own-2", "own-3", "own-4", "gone"]


@given(st.lists(st.sampled_from(AFTER), max_size=6))
@settings(derandomize=True, max_examples=100, deadline=None)
def test_every_stage_stands_once_and_behind_the_one_it_comes_after(after: list[str]) -> None:
    """Whatever comes after whatever, circles too."""
    rows = [OwnStage(pk=n, key=f"own-{n}", title=f"S{n}", after=a) for n, a in enumerate(after, 1)]
    found = in_order(rows)
    keys = [stage.key for stage in found]
    assert sorted(keys) == sorted([key for key, _ in STAGES] + [row.key for row in rows])
    assert [key for key in keys if not key.startswith("own-")] == [key for key, _ in STAGES]
    assert {stage.root for stage in found} <= {key for key, _ in STAGES}
    for row in rows:
        if row.after in ("cut", "finish"):
            assert keys.index(row.key) > keys.index(row.after)


def test_a_step_once_stands_at_the_end_of_its_stage_and_before_the_handing_over(coat: Project) -> None:
    make.template("Write the care label", stage="finish", minutes=Decimal(15))
    around = between(coat, "Write the care label")
    assert around == ("Hem, thread off and press", "Look it over and hand it over or put it by")


def test_a_step_for_each_panel_stands_among_the_panel_s_own(coat: Project) -> None:
    make.template("Photograph", stage="texture", per_panel=True, minutes=Decimal(5))
    make.template("Oil the machine", stage="texture", per_panel=True, at_start=True)
    make.template("Chalk the grain", stage="cut", per_panel=True)
    before, after = between(coat, "Photograph: Front, left")
    assert before.startswith("Sew Front, left across")
    assert after.startswith("Press Front, left across")
    assert between(coat, "Oil the machine: Front, left")[1].startswith("Sew Front, left along")
    assert "Photograph: Front, spare" not in titles(coat)
    assert sum(title.startswith("Chalk") for title in titles(coat)) == 3  # a spare is cut too
    budget = {stage.stage: stage.planned for stage in plan_project(coat).budget}
    StepTemplate.objects.update(minutes=None)
    without = {stage.stage: stage.planned for stage in plan_project(coat).budget}
    assert budget["texture"] - without["texture"] == 10


def test_a_plain_panel_s_own_step_waits_until_all_panels_are_cut(coat: Project) -> None:
    coat.pieces.update(order=1)
    panels.sync_panels(make.piece(coat, name="Band", version=None))
    make.template("Photograph it", stage="trim", per_panel=True)
    found = titles(coat)
    cut = [at for at, title in enumerate(found) if title.startswith("Cut") and "to the piece" not in title]
    assert max(cut) < found.index("Photograph it: Band") < found.index("Photograph it: Front, left")


def test_own_steps_of_a_panel_begun_wait_for_the_making_up(coat: Project, maker: Person) -> None:
    """A panel that is begun is finished first, but its label is not sewn in before the others are sewn."""
    make.template("Chalk the grain", stage="cut", per_panel=True)
    make.template("Sew in the size tape", stage="finish", per_panel=True)
    done = ("Sew and measure", "Wash", "Cut Front", "Chalk", "Mark Front, left along")
    for step in plan_project(coat).steps:
        if step.title.startswith(done) and "to the piece" not in step.title:
            steps.tick(project=coat, key=step.key, person=maker, now=NOW)
    ahead = [step.title for step in plan_project(coat).next_steps()]
    left = max(at for at, title in enumerate(ahead) if "Front, left" in title and "tape" not in title)
    right = [at for at, title in enumerate(ahead) if title.startswith(("Mark Front, right", "Make up"))]
    assert left < min(right)
    assert max(right) < ahead.index("Sew in the size tape: Front, left")


def test_steps_in_an_own_stage_stand_where_the_stage_does(coat: Project) -> None:
    fitting = make.own_stage("Fit", after="make_up")
    ready = make.own_stage("Ask for the account", after="finish")
    make.template("Try it on", stage=fitting.key, minutes=Decimal(45))
    make.template("Send the account", stage=ready.key)
    assert between(coat, "Try it on") == ("Make up: join 2 pieces", "Hem, thread off and press")
    assert titles(coat)[-1] == "Send the account"
    plan = plan_project(coat)
    assert [s.title for s in plan.budget][-2:] == ["Fit", "Finish"]
    assert plan.steps[-1].heading == "Ask for the account"


def test_an_own_stage_on_the_table_lists_its_steps_under_the_panel(coat: Project) -> None:
    dyed = make.own_stage("Dye", after="press")
    make.template("Dip it", stage=dyed.key, per_panel=True)
    step = next(s for s in plan_project(coat).steps if s.title == "Dip it: Front, right")
    assert (step.heading, step.of_panel != "") == ("Front, right", True)


def test_only_projects_of_its_kind_get_a_step(coat: Project) -> None:
    make.template("Set in the lining", kind="accessory")
    make.template("Sew in the name tape")
    assert "Set in the lining" not in titles(coat)
    Project.objects.update(kind="accessory")
    assert {"Set in the lining", "Sew in the name tape"} <= set(titles(coat))
    coat.refresh_from_db()
    several = load_several([coat], today=NOW.date())[0]
    assert [row.title for row in several.templates] == ["Set in the lining", "Sew in the name tape"]


def test_a_step_keeps_its_key_however_its_template_is_changed(coat: Project, maker: Person) -> None:
    row = make.template("Care label")
    key = next(s.key for s in plan_project(coat).steps if s.title == "Care label")
    steps.tick(project=coat, key=key, person=maker, now=NOW)
    own_steps.change_template(row, revision=1, values={"title": "Care and size label", "stage": "make_up"})
    step = plan_project(coat).step(key)
    assert (step.state, step.title, step.stage) == ("done", "Care and size label", "make_up")


def test_what_is_done_stays_when_the_template_goes_and_the_rest_goes(coat: Project, maker: Person) -> None:
    row = make.template("Weigh it", per_panel=True, stage="trim")
    left, right = (s.key for s in plan_project(coat).steps if s.title.startswith("Weigh it"))
    steps.tick(project=coat, key=left, person=maker, now=NOW)
    deletion = own_steps.remove_template(row, person=maker)
    plan = plan_project(coat)
    assert (plan.step(left).state, plan.step(left).in_plan) == ("done", False)
    assert plan.step(right) is None
    deleting.restore(deletion)
    assert plan_project(coat).step(right).state == "open"


def test_a_stage_goes_with_its_steps_and_comes_back_with_them(coat: Project, maker: Person) -> None:
    fitting = make.own_stage("Fit")
    make.own_stage("Second fit", after=fitting.key)
    make.template("Try it on", stage=fitting.key)
    deletion = own_steps.remove_stage(fitting, person=maker)
    assert "Try it on" not in titles(coat)
    assert "Fit" not in dict(stages()).values()
    assert stage_titles()[fitting.key] == "Fit"
    keys = [key for key, _ in stages()]
    assert keys[keys.index("make_up") + 1].startswith("own-")  # what came after it stays where it was
    deleting.restore(deletion)
    assert "Try it on" in titles(coat)


def test_a_stage_can_t_come_after_itself_or_be_called_like_another(workroom: object) -> None:
    first = own_steps.add_stage(title="Fit", after="make_up")
    second = own_steps.add_stage(title="Dye", after=first.key)
    for after in (first.key, second.key, "nowhere", ""):
        with pytest.raises(ValidationError) as refused:
            own_steps.change_stage(first, revision=1, values={"after": after})
        assert "after" in refused.value.message_dict
    with pytest.raises(ValidationError):
        own_steps.add_stage(title="make UP", after="cut")
    assert own_steps.add_stage(title="Talk it over", after=FIRST).after == FIRST
    assert stages()[0][1] == "Talk it over"


def test_templates_are_put_in_another_order(workroom: object) -> None:
    rows = [own_steps.add_template(values={"title": t, "stage": "finish"}) for t in ("One", "Two", "Three")]
    own_steps.move_template(rows[2], up=True)
    own_steps.move_template(rows[0], up=True)
    assert list(StepTemplate.objects.values_list("title", flat=True)) == ["One", "Three", "Two"]


def test_steps_of_one_s_own_and_hours_go_into_own_stages(coat: Project) -> None:
    fitting = make.own_stage("Fit")
    step = steps.add_own(project=coat, title="Pin the hem", stage=fitting.key)
    assert between(coat, "Pin the hem")[0] == "Make up: join 2 pieces"
    OwnStage.objects.update(deleted_at=timezone.now())
    steps.change_own(step, revision=1, values={"title": "Pin the hem up", "stage": fitting.key})
    with pytest.raises(ValidationError):
        steps.add_own(project=coat, title="More", stage=fitting.key)


def test_a_client_sees_own_stages_as_part_of_the_one_before(coat: Project) -> None:
    make.template("Try it on", stage=make.own_stage("Quarrel about the fit").key)
    before = {s.title: s.total for s in _page(coat).stages}
    assert before["Make up"] == 2
    assert "Quarrel about the fit" not in before


def _page(project: Project) -> BuildPage:
    link = ShareLink(project=project, show_progress=True)
    return build_page(link, Workroom.load(), today=NOW.date())


def test_stages_and_templates_cost_the_same_queries_however_many(coat: Project) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as found:
            plan_project(Project.objects.get(pk=coat.pk))
        return len(found)

    few = queries()
    for number in range(12):
        stage = make.own_stage(f"Stage {number}")
        make.template(f"Step {number}", stage=stage.key, per_panel=bool(number % 2))
    assert queries() == few


@pytest.mark.parametrize(
    ("kind", "last"),
    [
        ("garment", ["Make up", "Hem", "Look it over"]),
        ("furnishing", ["Make up", "Heading or closing", "Look it over"]),
        ("accessory", ["Make up", "Line it", "Look it over"]),
        ("sample", ["Check Front, left", "Check Front, right", "Measure it"]),
    ],
)
def test_each_kind_of_work_ends_as_such_work_ends(coat: Project, kind: str, last: list[str]) -> None:
    Project.objects.update(kind=kind)
    found = titles(coat)
    if kind == "sample":
        ends = [title for title in found if title.startswith(("Check", "Measure"))]
        words = ("Make up", "Hem", "Cut Front, left to", "Baste", "Look it over", "Sew and measure a sample")
        assert not [title for title in found if title.startswith(words)]
    else:
        ends = found[-3:]
    assert [title.startswith(words) for title, words in zip(ends, last, strict=True)] == [True] * 3


def test_the_last_step_is_the_same_for_own_work(coat: Project) -> None:
    """A project that travels leaves its client behind and is planned alike."""
    before = titles(coat)
    Project.objects.update(client=None)
    assert titles(coat) == before
