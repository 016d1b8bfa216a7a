"""What to buy, have ready and wash: only what is still needed, and like compared with like."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from projects.activities import panels, steps
from projects.calc.recipe import Direction
from projects.models import Fabric, Panel, Person, Piece, Project
from projects.planning import plan_project
from projects.planning.plan import FabricPlan, Plan
from projects.planning.words import counted
from tests import make
from tests.make import MM

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)


def planned(project: Project) -> Plan:
    return plan_project(Project.objects.get(pk=project.pk))


def fabric_of(project: Project) -> FabricPlan:
    return planned(project).fabrics[0]


def why(project: Project) -> list[str]:
    return [line.why for line in fabric_of(project).lines]


def key(project: Project, start: str) -> str:
    return next(step.key for step in planned(project).steps if step.title.startswith(start))


@pytest.fixture
def cloth(workroom: object) -> Fabric:
    return make.fabric(width=1_500 * MM, shrink_along=Decimal("0.04"), shrink_across=Decimal("0.03"))


@pytest.fixture
def coat(cloth: Fabric) -> Project:
    """A front and a back in one recipe, on cloth whose shrinkage is known."""
    project, version = make.project(), make.version()
    for order, name in enumerate(("Front", "Back")):
        panels.sync_panels(make.piece(project, name=name, fabric=cloth, version=version, order=order))
    return project


def test_a_sample_is_bought_for_until_it_is_made(coat: Project, owner: Person) -> None:
    before = fabric_of(coat)
    name = before.samples[0].recipe_name
    assert f"Sample of {name}" in why(coat)
    step = key(coat, "Sew and measure")
    steps.tick(project=coat, key=step, person=owner, now=NOW)
    after = fabric_of(coat)
    assert after.need == before.need - before.samples[0].advice.along.cut == before.for_panels
    assert planned(coat).step(step).state == "done"
    steps.untick(project=coat, key=step)
    assert fabric_of(coat).need == before.need
    steps.skip(project=coat, key=step, reason="made last year", person=owner, now=NOW)
    assert fabric_of(coat).need == before.for_panels
    steps.untick(project=coat, key=step)
    steps.move(project=coat, key=step, up=False)
    front = Piece.objects.get(name="Front")
    make.sample(front.version, front.fabric)
    assert not [w for w in why(coat) if w.startswith("Sample")], "measured, though its step is still open"


def test_a_swatch_is_bought_only_where_shrinkage_is_unknown(
    coat: Project, cloth: Fabric, owner: Person
) -> None:
    assert not [w for w in why(coat) if "swatch" in w]
    assert "swatch" not in fabric_of(coat).samples[0].advice.why
    Fabric.objects.filter(pk=cloth.pk).update(shrink_across=None)
    assert ["and wash swatch" in w for w in why(coat) if "ample" in w] == [True]
    steps.skip(project=coat, key=key(coat, "Wash a swatch"), reason="known", person=owner, now=NOW)
    assert not [w for w in why(coat) if "swatch" in w]
    Project.objects.filter(pk=coat.pk).update(washing="never")
    assert not [w for w in why(coat) if "swatch" in w]


def test_a_swatch_is_cut_from_cloth_that_is_not_washed_yet(coat: Project, cloth: Fabric) -> None:
    """What was washed loses nothing more: it can't show what the wash takes."""
    Fabric.objects.filter(pk=cloth.pk).update(shrink_across=None)
    front = Piece.objects.get(name="Front")
    make.sample(front.version, front.fabric)
    assert "Wash swatch" in why(coat)
    small = make.length(cloth, received=400 * MM, washed=True)
    assert not fabric_of(coat).uses
    type(small).objects.filter(pk=small.pk).update(washed=False)
    assert [label for label, _ in fabric_of(coat).uses] == [small.label]


def test_the_order_of_samples_changes_no_sum(coat: Project, cloth: Fabric) -> None:
    Fabric.objects.filter(pk=cloth.pk).update(shrink_along=None)
    pleats = make.version(of=make.content(Direction("box", width=40 * MM, depth=20 * MM)))
    piece = make.piece(coat, name="Yoke", fabric=cloth, version=pleats, order=5)
    Piece.objects.filter(name="Front").update(order=1)
    needs = []
    for order in (5, 0):
        Piece.objects.filter(pk=piece.pk).update(order=order)
        found = fabric_of(coat)
        needs.append(sum(line.length for line in found.lines if "ample" in line.why))
        assert sum("wash swatch" in line.why for line in found.lines) == 1
    assert needs[0] == needs[1]


def test_a_sample_as_wide_as_the_cloth_is_served_by_a_length_as_bought(coat: Project, cloth: Fabric) -> None:
    wide = make.version(of=make.content(make.tucks((300, 9))))
    Piece.objects.filter(project=coat).update(version=wide)
    assert fabric_of(coat).samples[0].advice.across.cut > cloth.width
    make.length(cloth, received=20_000 * MM)
    assert fabric_of(coat).buy == 0
    washed = make.fabric("Cotton lawn", width=1_500 * MM, shrink_across=Decimal("0.03"))
    Piece.objects.filter(project=coat).update(fabric=washed)
    make.length(washed, received=20_000 * MM, washed=True)
    assert fabric_of(coat).buy == 0


def test_a_wash_that_is_done_keeps_its_figure(coat: Project, owner: Person) -> None:
    def figure() -> int:
        return planned(coat).step(wash).measures[0].length

    wash = key(coat, "Wash and press")
    whole = figure()
    assert whole == fabric_of(coat).for_panels < fabric_of(coat).need
    steps.tick(project=coat, key=wash, person=owner, now=NOW)
    panels.book_cut(Panel.objects.get(name="Back"), person=owner, now=NOW)
    assert figure() == whole
    assert fabric_of(coat).for_panels < whole
    steps.untick(project=coat, key=wash)
    assert figure() == fabric_of(coat).for_panels


def test_a_cut_panel_stays_in_the_cloth_it_was_cut_from(coat: Project, cloth: Fabric, owner: Person) -> None:
    panels.book_cut(Panel.objects.get(name="Back"), person=owner, now=NOW)
    other = make.fabric("Cotton lawn", width=1_500 * MM)
    Piece.objects.filter(name="Back").update(fabric=other)
    plan = planned(coat)
    line = next(x for p in plan.pieces for x in p.panels if x.name == "Back")
    assert line.fabric_id == cloth.pk
    names = {f.name: [p.name for p in f.panels] for f in plan.fabrics}
    assert names == {cloth.name: ["Front", "Back"], "Cotton lawn": []}
    Piece.objects.filter(name="Front").update(fabric=other)
    plan = planned(coat)
    assert {f.name: [p.name for p in f.panels] for f in plan.fabrics} == {
        "Cotton lawn": ["Front"],
        cloth.name: ["Back"],
    }
    assert [f.buy for f in plan.fabrics if f.name == cloth.name] == [0]


def test_a_panel_kept_by_a_later_version_is_a_problem_in_words(coat: Project, owner: Person) -> None:
    panel = Panel.objects.get(name="Back")
    panels.book_cut(panel, person=owner, now=NOW)
    Panel.objects.filter(pk=panel.pk).update(kept={"format": 99})
    plan = planned(coat)
    front, back = plan.pieces
    assert (front.problem, back.panels) == ("", ())
    assert "Back is cut" in back.problem
    assert "format 99" in back.problem
    assert any(note.about == "Back" and note.kind == "warning" for note in plan.notes)


@pytest.mark.parametrize(
    ("amount", "unit", "said"),
    [
        ("1", "spools", "1 spool"), ("1.000", "pairs", "1 pair"), ("2", "spools", "2 spools"),
        ("0.5", "metres", "0.5 metres"), ("1", "boxes", "1 box"), ("1", "glass", "1 glass"), ("1", "", "1"),
    ],
)  # fmt: skip
def test_one_of_a_notion(amount: str, unit: str, said: str) -> None:
    assert counted(Decimal(amount), unit) == said


def test_one_spool_is_said_where_a_notion_is_listed(coat: Project) -> None:
    coat.notion_needs.create(notion=make.notion("Thread", unit="spools"), amount=1_000)
    plan = planned(coat)
    assert "Thread, 1 spool" in plan.have_ready
    assert (plan.notions[0].need_unit, plan.notions[0].free_unit) == ("spool", "spools")


def test_what_a_margin_comes_from_is_kept_with_a_cut_panel(coat: Project, owner: Person) -> None:
    panels.book_cut(Panel.objects.get(name="Back"), person=owner, now=NOW)
    back = planned(coat).pieces[1].panels[0]
    assert back.cut
    of = back.plan.across.parts.margin_of
    assert abs(of.total - back.plan.across.parts.margin) <= 2
    assert (back.plan.along.parts.margin_of, back.plan.along.parts.margin) == (None, 0)


def test_what_lies_ready_names_the_lengths_it_comes_from(coat: Project, cloth: Fabric) -> None:
    alone = next(text for text in planned(coat).have_ready if text.startswith(cloth.name))
    assert " from " not in alone
    make.length(cloth, label="V7", received=20_000 * MM)
    assert next(text for text in planned(coat).have_ready if text.startswith(cloth.name)).endswith(" from V7")
