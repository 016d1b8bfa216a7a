"""What has changed in the plan since somebody took note of the steps."""

import json
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from projects.activities import noting_steps, panels, steps
from projects.models import Person, Piece, Project
from projects.planning import plan_project
from projects.planning.plan import Measure, PlannedStep
from projects.planning.steps_seen import Changes, changes_since, mark_of, note_of
from tests import make
from tests.make import MM

NOW = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)


@pytest.fixture
def coat(workroom: object) -> Project:
    project = make.project()
    cloth, recipe = make.fabric(), make.version(of=make.content(make.tucks(*make.GRADUATED)))
    panels.sync_panels(make.piece(project, fabric=cloth, version=recipe, count=2, mirrored=True))
    return project


def plan_steps(project: Project) -> tuple[PlannedStep, ...]:
    return plan_project(Project.objects.get(pk=project.pk)).steps


def note(project: Project) -> None:
    noting_steps.note(project=project, mark=mark_of(plan_steps(project)), now=NOW)


def since(project: Project) -> Changes | None:
    return changes_since(Project.objects.get(pk=project.pk).steps_seen, plan_steps(project))


@pytest.mark.django_db
def test_nothing_is_said_before_the_first_note_nor_right_after_it(coat: Project) -> None:
    assert since(coat) is None
    note(coat)
    found = since(coat)
    assert (found.any, found.at) == (False, NOW)


@pytest.mark.django_db
def test_a_narrower_piece_changes_its_numbers_and_nothing_else(coat: Project) -> None:
    note(coat)
    was = {step.key: step.title for step in plan_steps(coat)}
    Piece.objects.update(across=400 * MM)  # from 480 mm
    found = since(coat)
    assert (found.new, found.gone) == ((), ())
    cut = next(a for a in found.altered if a.step.title == "Cut Front, left")
    assert [n.label for n in cut.numbers] == ["across"]
    assert cut.numbers[0].now == plan_project(coat).pieces[0].panels[0].plan.cut_width
    assert cut.numbers[0].was - cut.numbers[0].now > 80 * MM
    marking = next(a for a in found.altered if a.step.title.startswith("Mark Front, left"))
    assert marking.was == was[marking.step.key].rpartition(": ")[2]
    assert marking.was.endswith("tucks")
    assert f"{len(found.altered)} with other numbers" in found.words
    assert 0 < found.minutes < found.minutes_was
    note(coat)
    assert not since(coat).any


@pytest.mark.django_db
def test_what_is_done_is_never_called_changed_and_what_goes_is_told(coat: Project, maker: Person) -> None:
    sample = next(step.key for step in plan_steps(coat) if ":sample:" in step.key)
    steps.tick(project=coat, key=sample, person=maker, now=NOW)
    steps.add_own(project=coat, title="Iron the apron", stage="prepare")
    note(coat)
    mark = next(step for step in plan_steps(coat) if step.title.startswith("Mark Front, right"))
    steps.skip(project=coat, key=mark.key, reason="it is marked already", person=maker, now=NOW)
    Piece.objects.update(count=1, mirrored=False)
    panels.sync_panels(Piece.objects.get())
    found = since(coat)
    assert sample not in {a.step.key for a in found.altered}
    gone = {one.key: one for one in found.gone}
    assert gone[mark.key].listed
    assert sum(not one.listed for one in found.gone) >= 4
    assert "no longer in the plan" in found.words
    assert not any(step.own for step in found.new)


@pytest.mark.django_db
def test_new_steps_are_told(coat: Project) -> None:
    note(coat)
    make.template("Sew in the label", minutes=Decimal(30))
    found = since(coat)
    assert [step.title for step in found.new] == ["Sew in the label"]
    assert (found.gone, found.altered, found.count) == ((), (), 1)


@pytest.mark.django_db
def test_nothing_is_noted_that_nobody_has_seen(coat: Project) -> None:
    seen = mark_of(plan_steps(coat))
    Piece.objects.update(across=400 * MM)
    with pytest.raises(ValidationError, match="changed again"):
        noting_steps.note(project=coat, mark=seen, now=NOW)
    assert Project.objects.get().steps_seen is None


def many(count: int) -> list[PlannedStep]:
    return [
        PlannedStep(
            f"{n // 6}.1:mark:across:{n}", "mark", f"Mark Front {n}, left across: {n} tucks",
            measures=(Measure("across, the cloth now", 483_016_476 + 7_919 * n), Measure("last", 31 * n)),
            minutes=Decimal("3.25"),
        )
        for n in range(count)
    ]  # fmt: skip


def test_a_note_of_six_hundred_steps_is_a_few_kilobytes_and_reads_back() -> None:
    steps = many(600)
    kept = json.loads(json.dumps(note_of(steps, NOW)))
    assert len(json.dumps(kept)) < 16_000
    assert not changes_since(kept, steps).any
    assert [s.key for s in changes_since(kept, many(601)).new] == ["100.1:mark:across:600"]
    assert len(changes_since(kept, many(590)).gone) == 10


@pytest.mark.parametrize(
    "broken",
    [
        {"format": 2},
        {},
        {"format": 1, "at": "yesterday", "minutes": "1", "packed": "eJyLjgUAARUAuQ=="},
        {"format": 1, "at": NOW.isoformat(), "minutes": "x", "packed": "eJyLjgUAARUAuQ=="},
        {"format": 1, "at": NOW.isoformat(), "minutes": "1", "packed": "not base 64"},
        {"format": 1, "at": NOW.isoformat(), "minutes": "1", "packed": "AAAA"},
        {"format": 1, "at": NOW.isoformat(), "minutes": "1", "packed": 7},
    ],
)
def test_a_note_that_can_t_be_read_says_nothing(broken: dict) -> None:
    assert changes_since(broken, many(3)) is None
