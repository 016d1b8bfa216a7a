"""Steps: what the plan generates, in which order, and what people do with them."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import Client

from projects.activities import panels, steps
from projects.activities.revising import Stale
from projects.calc.recipe import Direction, Recipe
from projects.models import LabourRate, LabourTotal, Panel, Person, Piece, Project, Step, Workroom
from projects.planning import plan_project
from projects.planning.plan import Plan, PlannedStep
from tests import make
from tests.make import MM
from tests.recipes.posts import fields
from tests.recipes.ratios import content as by_ratio

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)
BOTH_WAYS = make.content(make.tucks(*make.GRADUATED), make.tucks((20, 9)))


def planned(project: Project) -> Plan:
    return plan_project(Project.objects.select_related("client").get(pk=project.pk))


def kinds(plan: Plan) -> list[str]:
    return [step.key.split(":")[1] for step in plan.steps]


def find(plan: Plan, start: str) -> PlannedStep:
    return next(step for step in plan.steps if step.title.startswith(start))


@pytest.fixture
def coat(workroom: object) -> Project:
    """A front in two directions and a plain band, washed before cutting."""
    project = make.project()
    cloth = make.fabric(shrink_along=Decimal("0.04"), shrink_across=Decimal("0.03"), iron="two dots, 150 °C")
    front = make.piece(project, fabric=cloth, version=make.version(of=BOTH_WAYS))
    band = make.piece(project, name="Band", fabric=cloth, along=60 * MM, order=1, spare=True)
    panels.sync_panels(front)
    panels.sync_panels(band)
    return project


def test_the_true_working_order(coat: Project) -> None:
    assert kinds(planned(coat)) == [
        "sample", "prepare", "cut", "cut", "cut",
        "mark", "sew", "press", "mark", "sew", "press", "check", "baste", "trim",
        "make-up", "finish", "deliver",
    ]  # fmt: skip


def test_the_larger_mean_take_up_is_sewn_first_and_the_second_is_marked_on_what_lies_there(
    coat: Project,
) -> None:
    plan = planned(coat)
    marking = [step for step in plan.steps if ":mark:" in step.key]
    assert [step.key.split(":")[2] for step in marking] == ["along", "across"]
    panel = plan.pieces[0].panels[0].plan
    first, second = panel.along, panel.across
    assert marking[0].measures[0].length == first.marked
    assert marking[0].measures[1].length == first.last_mark_from_far_edge
    assert marking[1].measures[0].length == second.marked
    assert "as it lies now" in marking[1].detail
    assert "as it lies now" not in marking[0].detail


def test_each_check_measure_has_two_readings_and_what_is_near_enough(coat: Project) -> None:
    plan = planned(coat)
    along = plan.pieces[0].panels[0].plan.along
    checks = find(plan, "Sew Front along").checks
    assert len(checks) == -(-(along.count - 3) // 10)
    flat = along.axis.flat
    for check in checks:
        assert (check.first_edge, check.far_edge) == ("top edge", "bottom edge")
        assert check.to_seam == along.axis.seams[check.tuck - 1]
        assert check.to_seam + check.to_edge == flat - sum(along.axis.take_ups[: check.tuck])
        assert check.near_enough >= MM


def test_what_can_hurt_is_said_where_it_can(coat: Project) -> None:
    plan = planned(coat)
    assert any("Blades" in text for text in find(plan, "Cut Front").cautions)
    assert not any("Dust" in text for text in find(plan, "Cut Front").cautions)
    assert any("two dots" in text for text in find(plan, "Press Front along").cautions)
    assert any("Needles" in text for text in find(plan, "Sew Front along").cautions)
    assert not [note for note in plan.notes if note.kind == "caution"]


def test_rules_are_named_and_never_interpreted(coat: Project) -> None:
    Project.objects.filter(pk=coat.pk).update(childrens_wear=True, nightwear=True)
    Piece.objects.filter(project=coat).first().fabric.__class__.objects.update(sheer=True, raised=True)
    coat.notion_needs.create(notion=make.notion(), amount=1000)
    coat.notion_needs.create(notion=make.notion("Ribbon cord", kind="cord"), amount=1000)
    plan = planned(coat)
    said = [note.text for note in plan.notes if note.kind == "caution"]
    for word in ("child", "cords and drawstrings", "small parts", "nightwear", "Sheer", "Raised"):
        assert any(word in text for text in said), word
    assert all("qualified testing decide" in text for text in said)
    assert not any(word in " ".join(said).lower() for word in ("is safe", "complies", "compliant"))
    assert any("Dust" in text for text in find(plan, "Cut Front").cautions)
    assert set(said) <= set(find(plan, "Look it over").cautions)


def test_minutes_of_steps_sum_to_the_budget_and_rates_replace_starting_values(
    coat: Project, owner: Person
) -> None:
    plan = planned(coat)
    assert sum(step.minutes for step in plan.steps) == sum(b.planned for b in plan.budget) == plan.minutes
    assert all(stage.starting for stage in plan.budget)
    assert all(stage.low < stage.planned < stage.high for stage in plan.budget)
    assert plan.low < plan.minutes < plan.high
    marks = find(plan, "Mark Front across").minutes
    for minutes, days in ((2, -9), (3, -2), (9, 9_999)):
        day = NOW.date() + timedelta(days=days)
        LabourRate.objects.create(driver="marks", minutes=Decimal(minutes), from_date=day)
    LabourTotal.objects.create(project=coat, person=owner, stage="mark", minutes=45)
    after = planned(coat)
    setting_up = Decimal(5)  # half of the stage's 10 minutes: two steps share them
    assert find(after, "Mark Front across").minutes - setting_up == 3 * (marks - setting_up)
    stage = next(b for b in after.budget if b.stage == "mark")
    assert (stage.starting, stage.logged) == (False, 45)


def test_a_tick_is_done_once_and_can_be_taken_back(coat: Project, owner: Person) -> None:
    key = find(planned(coat), "Wash and press").key
    first = steps.tick(project=coat, key=key, person=owner, now=NOW)
    again = steps.tick(project=coat, key=key, person=owner, now=NOW + timedelta(hours=1))
    assert (first.pk, again.done_at) == (again.pk, NOW)
    assert planned(coat).step(key).state == "done"
    steps.untick(project=coat, key=key)
    steps.untick(project=coat, key=key)
    assert planned(coat).step(key).state == "open"
    assert Step.objects.filter(project=coat).count() == 1


def test_ticking_the_cut_books_the_panel_and_unticking_takes_it_back(coat: Project, owner: Person) -> None:
    key = find(planned(coat), "Cut Front").key
    steps.tick(project=coat, key=key, person=owner, now=NOW)
    panel = Panel.objects.get(name="Front")
    assert panel.cut_at == NOW
    assert panel.kept["format"] == 1
    steps.untick(project=coat, key=key)
    assert Panel.objects.get(name="Front").cut_at is None


def test_a_panel_booked_elsewhere_shows_its_cut_as_done(coat: Project, owner: Person) -> None:
    panel = Panel.objects.get(name="Front")
    panels.book_cut(panel, person=owner, now=NOW)
    assert find(planned(coat), "Cut Front").state == "done"
    steps.untick(project=coat, key=find(planned(coat), "Cut Front").key)
    assert find(planned(coat), "Cut Front").state == "open"
    steps.tick(project=coat, key=find(planned(coat), "Cut Front").key, person=owner, now=NOW)
    panels.unbook(panel)
    assert find(planned(coat), "Cut Front").state == "open"


def test_booking_a_panel_as_cut_changes_no_planned_minutes(coat: Project, owner: Person) -> None:
    before = planned(coat).minutes
    panels.book_cut(Panel.objects.get(name="Front"), person=owner, now=NOW)
    assert planned(coat).minutes == before


def test_skipping_asks_for_a_reason_and_takes_the_minutes_out(coat: Project, owner: Person) -> None:
    plan = planned(coat)
    step = find(plan, "Press Front across")
    with pytest.raises(ValidationError):
        steps.skip(project=coat, key=step.key, reason="  ", person=owner, now=NOW)
    assert not Step.objects.filter(project=coat).exists()
    with pytest.raises(ValidationError):
        steps.skip(project=coat, key=step.key, reason="x" * 301, person=owner, now=NOW)
    steps.skip(project=coat, key=step.key, reason="pressed while sewing", person=owner, now=NOW)
    after = planned(coat)
    assert after.step(step.key).reason == "pressed while sewing"
    assert after.minutes == plan.minutes - step.minutes


def test_moving_up_and_down(coat: Project) -> None:
    def order() -> list[str]:
        return [step.key for step in planned(coat).steps]

    before = order()
    steps.move(project=coat, key=before[4], up=True)
    assert order() == [*before[:3], before[4], before[3], *before[5:]]
    steps.move(project=coat, key=before[4], up=False)
    assert order() == before
    assert steps.move(project=coat, key=before[0], up=True) is None
    assert steps.move(project=coat, key=before[-1], up=False) is None
    for _ in range(80):  # far past what halving leaves room for
        steps.move(project=coat, key=order()[1], up=True)
    assert sorted(order()) == sorted(before)


def test_own_steps(coat: Project, owner: Person) -> None:
    own = steps.add_own(project=coat, title="Line the collar", stage="make_up", minutes=Decimal(25))
    plan = planned(coat)
    assert kinds(plan)[kinds(plan).index("make-up") + 1] == str(own.pk)
    shown = plan.step(f"own:{own.pk}")
    assert (shown.own, shown.in_plan, shown.minutes) == (True, True, Decimal(25))
    steps.change_own(own, revision=1, values={"title": "Line the collar and facing"})
    with pytest.raises(Stale):
        steps.change_own(own, revision=1, values={"title": "Something else"})
    steps.tick(project=coat, key=f"own:{own.pk}", person=owner, now=NOW)
    assert planned(coat).step(f"own:{own.pk}").state == "done"
    own.refresh_from_db()
    steps.remove_own(own, now=NOW)
    assert planned(coat).step(f"own:{own.pk}") is None
    steps.restore_own(own)
    assert planned(coat).step(f"own:{own.pk}").title == "Line the collar and facing"
    with pytest.raises(ValidationError):
        steps.add_own(project=coat, title="Nowhere", stage="knitting")
    with pytest.raises(ValidationError):
        steps.add_own(project=coat, title="x" * 10_000, stage="finish")


def test_what_the_plan_no_longer_holds(coat: Project, owner: Person) -> None:
    plan = planned(coat)
    starts = ("Sew Front across", "Press Front across", "Mark Front across", "Cut Band")
    done, skipped, moved, logged = (find(plan, start).key for start in starts)
    steps.tick(project=coat, key=done, person=owner, now=NOW)
    steps.skip(project=coat, key=skipped, reason="not needed", person=owner, now=NOW)
    steps.move(project=coat, key=moved, up=True)
    row = steps.row_for(project=coat, key=logged)
    make.log(owner, coat, step=row)
    one_way = make.version(of=make.content(along=make.tucks((20, 9))))
    Piece.objects.filter(name="Front").update(version=one_way)
    Piece.objects.filter(name="Band").update(deleted_at=NOW)
    gone = {step.key: step for step in planned(coat).steps if not step.in_plan}
    assert set(gone) == {done, skipped, logged}
    assert gone[done].title == plan.step(done).title
    assert gone[skipped].reason == "not needed"
    assert planned(coat).minutes == sum(s.minutes for s in planned(coat).steps if s.in_plan)


def test_a_step_that_is_nowhere(coat: Project, owner: Person) -> None:
    elsewhere = make.step(make.project("Capelet"))
    for key in ("", "0.1:cut::1", "own:", "own:x", f"own:{elsewhere.pk}", "own:" + "9" * 400, "x" * 10_000):
        with pytest.raises(steps.StepGone):
            steps.tick(project=coat, key=key, person=owner, now=NOW)


def test_a_sample_that_was_begun_stays_in_the_plan_when_it_is_measured(coat: Project, owner: Person) -> None:
    key = find(planned(coat), "Sew and measure").key
    steps.tick(project=coat, key=key, person=owner, now=NOW)
    front = Piece.objects.get(name="Front")
    make.sample(
        front.version, front.fabric, across_place="second", along_flat=420 * MM, along_finished=200 * MM,
        along_tucks=12, along_depths=216 * MM, along_technique="tucks", along_place="first",
    )  # fmt: skip
    step = planned(coat).step(key)
    assert (step.state, step.in_plan) == ("done", True)
    steps.untick(project=coat, key=key)
    Step.objects.all().delete()
    assert planned(coat).step(key) is None


def test_a_panel_that_was_begun_is_finished_before_the_next_is_cut(coat: Project, owner: Person) -> None:
    def coming() -> list[str]:
        return [step.title.split(":")[0] for step in planned(coat).next_steps()]

    for start in ("Sew and measure", "Wash and press", "Cut Front"):
        assert coming()[0].startswith(start)
        steps.tick(project=coat, key=find(planned(coat), start).key, person=owner, now=NOW)
    assert coming()[:2] == ["Cut Band", "Cut Band, spare"], "a cut alone begins nothing"
    steps.tick(project=coat, key=find(planned(coat), "Mark Front along").key, person=owner, now=NOW)
    order = coming()
    assert order[:2] == ["Sew Front along", "Press Front along"]
    assert order.index("Cut Front to the piece") < order.index("Cut Band")
    plan = planned(coat)
    assert plan.next_steps(1) == plan.next_steps()[:1]
    assert sorted(s.key for s in plan.next_steps()) == sorted(s.key for s in plan.steps if s.state == "open")


def test_setting_up_is_shared_by_the_steps_of_a_stage(coat: Project) -> None:
    other = make.fabric("Cotton lawn", shrink_along=Decimal(0), shrink_across=Decimal(0))
    make.piece(coat, name="Collar", fabric=other, across=200 * MM, along=80 * MM, order=2)
    make.piece(coat, name="Stand", fabric=make.fabric("Batiste"), across=200 * MM, along=80 * MM, order=3)
    plan = planned(coat)
    washes = [s.minutes for s in plan.steps if s.stage == "prepare"]
    assert len(washes) == 3
    assert min(washes) >= 5, "15 minutes are shared by three"
    assert sum(s.minutes for s in plan.steps) == plan.minutes


def test_each_caution_has_a_word(coat: Project) -> None:
    plan = planned(coat)
    assert find(plan, "Sew Front along").short_cautions == ("needles",)
    assert find(plan, "Press Front along").short_cautions == ("hot iron",)
    assert find(plan, "Cut Front").short_cautions == ("blades",)
    assert find(plan, "Check Front").short_cautions == ()


def test_two_samples_of_one_name_say_their_version(coat: Project) -> None:
    cloth, recipe = make.fabric("Linen voile"), make.recipe(of=BOTH_WAYS)
    first = recipe.versions.get()
    across = make.content(make.tucks(*make.GRADUATED)).to_json()
    second = recipe.versions.create(number=2, content=across)
    make.piece(coat, name="Back", fabric=cloth, version=first, order=2)
    make.piece(coat, name="Yoke", fabric=cloth, version=second, order=3)
    titles = [s.title for s in planned(coat).steps if s.title.startswith("Sew and measure")]
    mine = [title for title in titles if title.endswith("on Linen voile")]
    assert len(set(titles)) == len(titles)
    assert [("version 1" in t, "version 2" in t) for t in mine][-2:] == [(True, False), (False, True)]
    detail = next(s.detail for s in planned(coat).steps if s.title == mine[-1])
    assert "At least 12 tucks and" in detail


def test_a_right_is_worked_from_its_right_edge_with_its_lefts_readings(workroom: object) -> None:
    coat = make.project()
    side = make.tucks(*make.GRADUATED)
    pair = make.piece(
        coat,
        name="Front",
        count=2,
        mirrored=True,
        fabric=make.fabric(),
        version=make.version(of=make.content(side)),
    )
    panels.sync_panels(pair)
    plan = planned(coat)
    left, right = (find(plan, f"Sew Front, {hand} across") for hand in ("left", "right"))
    assert ("left edge" in left.detail, "right edge" in right.detail) == (True, True)
    assert [check[3:] for check in left.checks] == [check[3:] for check in right.checks]
    assert {check[1:3] for check in left.checks} == {("left edge", "right edge")}
    assert {check[1:3] for check in right.checks} == {("right edge", "left edge")}
    pressed = [find(plan, f"Press Front, {hand} across").detail for hand in ("left", "right")]
    assert ("towards the right edge" in pressed[0], "towards the left edge" in pressed[1]) == (True, True)


@pytest.mark.parametrize(
    ("recipe", "said"),
    [
        (make.content(make.tucks((15, 5))), "Baste first where tucks meet at a seam."),
        (
            Recipe(across=Direction(technique="knife", width=40 * MM, depth=10 * MM)),
            "Baste first where pleats meet at a seam.",
        ),
        (by_ratio("lattice"), "Baste first where the texture meets a seam."),
        (None, ""),
    ],
)
def test_what_meets_at_a_seam_is_called_what_it_is(workroom, recipe, said):
    project = make.project(washing="never")
    cloth, version = make.fabric(), make.version(of=recipe) if recipe else None
    for name in ("Front", "Back"):
        make.piece(project, name=name, fabric=cloth, version=version, across=200 * MM, along=200 * MM)
    assert plan_project(project).step("p:make-up::1").detail == said


def test_raised_cloth_is_not_said_to_be_clothing(workroom):
    project = make.project(washing="never")
    make.piece(project, fabric=make.fabric(raised=True), across=200 * MM, along=200 * MM)
    said = " ".join(note.text for note in plan_project(project).notes)
    assert "if it is worn, there are rules on how easily it may burn" in said and "clothing" not in said


@pytest.mark.parametrize(("units", "said"), [("metric", "lifts 2 mm."), ("inch", "lifts about 0.079 in.")])
def test_what_the_needle_can_not_pass_is_said_in_the_studios_units(
    owner_page: Client, workroom: Workroom, units: str, said: str
) -> None:
    """On the piece's page, in its steps, and while the recipe is worked out for the same cloth."""
    make.workroom(units=units, needle_lift=2 * MM)
    fabric, version = make.fabric(thickness=MM), make.version()
    piece = make.piece(fabric=fabric, version=version)
    steps = [caution for step in plan_project(piece.project).steps for caution in step.cautions]
    shown = owner_page.get(f"/recipes/{version.recipe_id}/")
    typed = fields(shown, size__across="400 mm", size__along="300 mm", fabric=str(fabric.pk))
    recipe = owner_page.post("/recipes/work-out/", typed).content.decode()
    page = owner_page.get(f"/pieces/{piece.pk}/").content.decode()
    for text in (" ".join(steps), recipe, page):
        assert "pass under the needle" in text and said in text
        assert ("mm, pass under" in text) == (units == "metric")
