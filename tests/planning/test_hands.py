"""What check measures teach: rows by stretch, a person's hand, and margins that rest on it."""

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from projects.activities import bench
from projects.calc.recipe import Recipe
from projects.models import HandChange, Person, Project, Run, Workroom
from projects.planning import plan_project
from projects.planning.hands import Spread, hand_lines, hand_of, spreads
from projects.planning.recipe_trial import try_on
from projects.planning.run_source import run_for
from projects.planning.samples import Samples
from projects.planning.several import load_several
from tests import make
from tests.make import MM

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)


class Maker:
    """Somebody at the bench, tap after tap. ``deep`` is how much deeper than asked each tuck comes out."""

    def __init__(self, project: Project, key: str, person: Person) -> None:
        self.project, self.key, self.person, self.taps = project, key, person, 0
        self.run = run_for(project, key)

    def do(self, kind: str, unit: int | None = None, **more: object) -> str:
        self.taps += 1
        op, at = str(uuid4()), NOW + timedelta(minutes=self.taps)
        fact = {"op": op, "kind": kind, "unit": unit, "at": at.isoformat(), **more}
        done = bench.record(
            project=self.project, key=self.key, facts=[fact], person=self.person,
            now=NOW + timedelta(days=1),
        )  # fmt: skip
        assert not done.refused, done.refused
        return op

    def sew(self, first: int, last: int) -> None:
        for number in range(first, last + 1):
            self.do("sewn", number)

    def measure(self, number: int, excess_mm: int) -> str:
        """A check after a tuck that says the panel will be so much too long."""
        near, far = bench.readings_at(self.run, number, set(range(1, number + 1)))
        return self.do("check", number, near=f"{near / MM} mm", far=f"{(far + excess_mm * MM) / MM} mm")


@pytest.fixture
def coat(workroom: Workroom) -> Project:
    make.workroom(check_every=10)
    project = make.project()
    version = make.version(of=make.content(make.tucks((20, 7))))
    make.panel(make.piece(project, across=900 * MM, fabric=make.fabric(), version=version))
    return project


@pytest.fixture
def maker(coat: Project) -> Maker:
    return Maker(coat, f"{coat.pieces.get().pk}.1:sew:across:1", make.person())


def test_each_stretch_between_checks_is_kept_net_of_what_was_asked(maker: Maker) -> None:
    cloth = maker.project.pieces.get().fabric_id
    maker.sew(1, 10)
    maker.measure(10, -6)
    maker.do("guide", asked={"guide": -500_000})
    maker.sew(11, 19)
    maker.do("sewn", 20, depth="9 mm")
    maker.measure(20, -4)
    first, second = HandChange.objects.order_by("pk")
    assert (first.person, first.technique, first.fabric_id) == (maker.person, "tucks", cloth)
    assert (first.tucks, first.change) == (10, -6 * MM)
    # From -6 to -4 mm: 9 mm longer was asked, 4 mm shorter the wrong depth made it; the hand made the rest.
    assert (second.tucks, second.change) == (9, 2 * MM - 9 * MM + 4 * MM)


def test_a_check_taken_back_takes_back_what_it_taught(maker: Maker) -> None:
    maker.sew(1, 10)
    wrong = maker.measure(10, -20)
    maker.sew(11, 20)
    maker.measure(20, -8)
    assert [row.change for row in HandChange.objects.order_by("pk")] == [-20 * MM, 12 * MM]
    maker.do("undo", undoes=wrong)
    assert [(row.tucks, row.change) for row in HandChange.objects.all()] == [(20, -8 * MM)]


def test_what_two_people_sewed_or_was_sewn_again_teaches_nothing(maker: Maker) -> None:
    maker.sew(1, 5)
    first, maker.person = maker.person, make.person()
    maker.sew(6, 10)
    maker.measure(10, -6)
    maker.person = first
    maker.sew(11, 20)
    maker.do("resew", 15)
    maker.measure(20, -6)
    assert not HandChange.objects.exists()


def test_a_missing_far_reading_lengthens_the_stretch(maker: Maker) -> None:
    maker.sew(1, 10)
    maker.do("check", 10, near="300 mm", far="")
    maker.sew(11, 20)
    maker.measure(20, -8)
    assert [(row.tucks, row.change) for row in HandChange.objects.all()] == [(20, -8 * MM)]


def taught(person: Person, fabric: object, changes: list[tuple[int, int]], technique: str = "tucks") -> None:
    project = make.project()
    row = bench.Run.objects.create(project=project, key=f"key {uuid4()}")
    for tucks, change in changes:
        fact = bench.BenchFact.objects.create(run=row, op=uuid4(), kind="check", device_at=NOW)
        HandChange.objects.create(
            fact=fact, person=person, technique=technique, fabric=fabric, tucks=tucks, change=change
        )


def test_a_hand_is_known_by_cloth_before_other_cloth(workroom: Workroom) -> None:
    person, voile, linen = make.person(), make.fabric(), make.fabric("Heavy linen")
    assert hand_of(person.pk, "tucks", voile.pk).starting
    taught(person, voile, [(10, -6 * MM)] * 6)
    here, there = hand_of(person.pk, "tucks", voile.pk), hand_of(person.pk, "tucks", linen.pk)
    assert not here.starting
    assert here.bias == pytest.approx(300_000, abs=30_000)
    assert here.bias == there.bias
    assert here.bias_sd < there.bias_sd
    taught(person, linen, [(10, 2 * MM)] * 6)
    assert hand_of(person.pk, "tucks", linen.pk).bias < 0 < hand_of(person.pk, "tucks", voile.pk).bias
    assert hand_of(person.pk, "corded", voile.pk).starting
    assert hand_of(make.person().pk, "tucks", voile.pk).starting


def test_margins_of_what_is_planned_move_to_the_hands_of_the_studio(coat: Project) -> None:
    def margin() -> int:
        return plan_project(coat).pieces[0].panels[0].plan.across.parts.margin

    piece, before = coat.pieces.get(), margin()
    assert plan_project(coat).pieces[0].hand_tucks == 0
    taught(make.person(), piece.fabric, [(10, -4 * MM), (10, -4 * MM + 100_000)] * 10)
    steady = margin()
    assert steady < before
    assert plan_project(coat).pieces[0].hand_tucks == 200
    assert [rows.spreads for rows in load_several([coat], today=NOW.date())] == [spreads()]
    taught(make.person(), piece.fabric, [(10, -30 * MM), (10, 30 * MM)] * 20)
    assert margin() > before
    coat.own_settings = {"format": 1, "used": True, "came": "2026-03-01", "settings": {}, "rates": {}}
    assert margin() == before


def test_a_recipe_is_tried_with_the_margin_it_will_get(coat: Project) -> None:
    piece = coat.pieces.get()
    taught(make.person(), piece.fabric, [(10, -30 * MM), (10, 30 * MM)] * 4)
    studio = Workroom.load()
    margins = [
        try_on(
            Recipe.from_json(piece.version.content), across=piece.across, along=piece.along,
            fabric=piece.fabric, samples=Samples([], studio.depth_spread, known), workroom=studio,
        ).across.parts.margin
        for known in (None, spreads())
    ]  # fmt: skip
    assert margins[0] < margins[1]


def test_checks_move_no_marks_once_a_run_is_begun(coat: Project, maker: Maker) -> None:
    """The panel lies under the needle: what its own checks and others teach is for the next project."""
    taught(make.person(), coat.pieces.get().fabric, [(10, -30 * MM), (10, 30 * MM)] * 4)
    before = plan_project(coat).pieces[0].panels[0].plan.across
    maker.sew(1, 10)
    maker.measure(10, -9)
    maker.sew(11, 20)
    maker.measure(20, 9)
    taught(make.person(), coat.pieces.get().fabric, [(10, -4 * MM)] * 40)
    assert plan_project(coat).pieces[0].panels[0].plan.across == before
    assert [r.spreads.of("tucks", None) for r in load_several([coat], today=NOW.date())] != [
        spreads().of("tucks", None)
    ]


def test_to_say_what_seams_are_placed_by_begins_no_run(coat: Project, maker: Maker) -> None:
    """Until something is sewn margins still learn; a run is begun when its first tap comes."""
    bench.place_by(project=coat, key=maker.key, placing="folds")
    before = plan_project(coat).pieces[0].panels[0].plan.across.parts.margin
    taught(make.person(), coat.pieces.get().fabric, [(10, -30 * MM), (10, 30 * MM)] * 4)
    wider = plan_project(coat).pieces[0].panels[0].plan.across.parts.margin
    assert wider > before
    placed = Run.objects.get(project=coat).begun_at
    maker.sew(1, 10)
    assert Run.objects.get(project=coat).begun_at > placed
    taught(make.person(), coat.pieces.get().fabric, [(10, -90 * MM), (10, 90 * MM)] * 4)
    assert plan_project(coat).pieces[0].panels[0].plan.across.parts.margin == wider


def test_each_hand_strays_about_its_own_mean(workroom: Workroom) -> None:
    """Two steady hands, one deep and one shallow, are steady together."""
    cloth = make.fabric()
    taught(make.person(), cloth, [(10, -10 * MM)] * 8)
    taught(make.person(), cloth, [(10, 10 * MM)] * 8)
    found = spreads().of("tucks", cloth.pk)
    assert found.spread < 300_000
    assert found.tucks == 160


def test_large_changes_are_summed_without_overflowing(workroom: Workroom) -> None:
    cloth, person = make.fabric(), make.person()
    taught(person, cloth, [(4, 9_000 * MM), (4, -9_000 * MM)] * 3)
    assert spreads().of("tucks", cloth.pk).spread > 100 * MM
    assert hand_of(person.pk, "tucks", cloth.pk).spread > 100 * MM


def test_few_stretches_say_no_more_than_the_start(workroom: Workroom) -> None:
    cloth = make.fabric()
    taught(make.person(), cloth, [(10, -4 * MM)])
    assert spreads().of("tucks", cloth.pk, 350_000) == Spread(350_000, 0)


def test_asked_once_for_any_number_of_hands(workroom: Workroom) -> None:
    counts = []
    for number in (1, 12):
        for _ in range(number):
            taught(make.person(), make.fabric(f"Cloth {uuid4()}"), [(10, -4 * MM), (8, MM)])
        with CaptureQueriesContext(connection) as queries:
            assert spreads().stretches
            lines = hand_lines()
        counts.append(len(queries))
    assert counts == [3, 3]
    assert len(lines) == 13
    assert {line.technique for line in lines} == {"tucks"}
