"""How far tucks stray in each hand, in project files: margins come out as before, and names are text."""

import json
from datetime import timedelta
from random import Random
from typing import Any
from uuid import UUID

import pytest
from django.db.models import Value
from django.db.models.functions import Concat
from django.utils import timezone

from projects.activities.exchange import Unreadable, project_text, read_file
from projects.activities.exchange.hand_rows import hands_shown
from projects.activities.exchange.staying import differences
from projects.models import BenchFact, Fabric, HandChange, Person, Piece, Project, Run, Workroom
from projects.planning import plan_project
from projects.planning.export import plan_text
from projects.planning.hands import Spread, spreads, spreads_for
from tests import make

from .test_round_trip import bring, differing, taken_out

pytestmark = pytest.mark.django_db


def checked(seed: int, count: int = 40) -> None:
    """Check measures of two people on three cloths, in a project that is done."""
    random, cloths = Random(seed), list(Fabric.objects.order_by("pk"))
    people = [make.person("wren", shown_name="Wren"), make.person("moss", shown_name="Moss")]
    run = Run.objects.create(project=make.project("Earlier"), key="1.1:sew:across:1")
    for number in range(count):
        fact = BenchFact.objects.create(
            run=run, op=UUID(int=seed * 1_000 + number), kind="check", unit=1, device_at=timezone.now()
        )
        HandChange.objects.create(
            fact=fact, person=random.choice(people), technique=random.choice(["tucks", "tucks", "corded"]),
            fabric=random.choice([None, *cloths]), tucks=random.randint(3, 30),
            change=random.randint(-9_000_000, 9_000_000),
        )  # fmt: skip


def gown(seed: int = 1) -> Project:
    """Two pieces with tucks, on linen and on no cloth yet; the third cloth is another project's."""
    linen = make.fabric("Linen voile")
    make.fabric("Secret velvet"), make.fabric("Secret damask")
    checked(seed)
    project = make.project("Lantern gown")
    make.piece(project, fabric=linen, version=make.version())
    make.piece(project, fabric=None, version=make.version(), name="Yoke")
    return project


def margins(project: Project) -> list[Spread]:
    known = spreads_for(project)
    fabrics = Piece.objects.filter(project=project).order_by("order", "pk").values_list("fabric", flat=True)
    return [known.of("tucks", fabric) for fabric in fabrics]


@pytest.mark.parametrize("seed", range(6))
def test_margins_are_reckoned_as_in_the_studio_it_came_from(workroom: object, seed: int) -> None:
    wanted: list[Spread] = []
    [*_, text], [*_, plan] = (
        list(found.values()) for found in taken_out(lambda: wanted.extend(margins(gown(seed))))
    )
    assert len(set(wanted)) == 2 and all(s.tucks > 40 for s in wanted)
    make.fabric("Decoy")
    project = bring(text)
    assert margins(project) == wanted
    assert differing(plan_text(plan_project(project)), plan) == []
    again = json.loads(project_text(project))["hands"]
    assert again == json.loads(text)["hands"], "and goes on as it came"
    assert not spreads().stretches and not Person.objects.filter(username="wren").exists()


def test_a_file_names_people_and_its_own_cloth_alone(workroom: object) -> None:
    text = project_text(gown())
    hands = json.loads(text)["hands"]
    assert {hand["worker"] for hand in hands} == {"Wren", "Moss"}
    assert {hand["technique"] for hand in hands} == {"tucks"}, "what its pieces use"
    assert {(hand["fabric"], hand["elsewhere"]) for hand in hands} == {
        ("f1", False), (None, False), (None, True),
    }  # fmt: skip
    assert "Secret" not in text
    shown = hands_shown(read_file(text.encode()))
    assert {h.cloth for h in shown} == {"", "Linen voile", "other cloth"}, "each once for a person"
    assert len({(h.person, h.cloth) for h in shown}) == len(shown) > 3
    assert sum(h.tucks for h in shown) == sum(hand["tucks"] for hand in hands)
    assert all(h.tucks > 5 and 100_000 < h.spread < 3_000_000 for h in shown)


def test_checks_of_the_studio_it_came_to_move_it_only_where_it_is_planned_by_that(workroom: object) -> None:
    [*_, text] = taken_out(gown)[0].values()
    project = bring(text)
    before = margins(project)
    checked(9)
    assert margins(project) == before
    project.own_settings["used"] = False
    project.save()
    assert margins(project) != before


def test_what_a_first_run_was_begun_with_is_what_travels(workroom: object) -> None:
    project = gown()
    run = Run.objects.create(project=project, key="9.1:sew:across:1")
    BenchFact.objects.create(run=run, op=UUID(int=5), kind="sewn", unit=1, device_at=timezone.now())
    Run.objects.filter(pk=run.pk).update(begun_at=timezone.now() - timedelta(days=9))
    assert not json.loads(project_text(project))["hands"]


def test_it_is_compared_before_a_file_comes_in(workroom: Workroom) -> None:
    [*_, text] = taken_out(gown)[0].values()
    file = read_file(text.encode())
    [found] = differences(file, Workroom.load(), timezone.localdate())
    assert (found.title, found.kind) == ("How far tucks stray, by check measures", "length")
    assert found.file != found.studio == Workroom.load().depth_spread


def test_checks_made_since_its_first_run_are_no_difference(workroom: Workroom) -> None:
    """They move nothing of the project, whichever of both it is planned by."""
    project = gown()
    run = Run.objects.create(project=project, key="9.1:sew:across:1")
    BenchFact.objects.create(run=run, op=UUID(int=5), kind="sewn", unit=1, device_at=timezone.now())
    text, known = project_text(project), spreads().of("tucks", None)
    Person.objects.filter(username__in=("wren", "moss")).update(username=Concat(Value("old-"), "username"))
    checked(9)
    assert spreads().of("tucks", None) != known
    assert differences(read_file(text.encode()), Workroom.load(), timezone.localdate()) == []


WREN = {"worker": "Wren", "technique": "tucks", "fabric": "f1", "elsewhere": False, "counts": 3, "tucks": 50}


@pytest.mark.parametrize(
    ("change", "wanted"),
    [
        ({"fabric": "f9"}, "hands[0].fabric"),
        ({"elsewhere": True}, "hands[0].elsewhere"),
        ({"worker": ""}, "hands[0].worker"),
        ({"counts": 0}, "hands[0].counts"),
        ({"tucks": "50"}, "hands[0].tucks"),
        ({"squares_nm2": 5}, "hands[0].squares_nm2"),
        ({"squares_nm2": "nan"}, "hands[0].squares_nm2"),
        ({"squares_nm2": "1e31"}, "hands[0].squares_nm2"),
        ({"extra": 1}, "hands[0].extra"),
    ],
)
def test_what_can_not_be_of_a_hand_is_refused(workroom: object, change: Any, wanted: str) -> None:
    project = make.project()
    make.piece(project, fabric=make.fabric(), version=make.version())
    given = json.loads(project_text(project))
    given["hands"] = [{**WREN, "squares_nm2": "1.5e+12", **change}]
    with pytest.raises(Unreadable) as caught:
        bring(json.dumps(given))
    assert str(caught.value).startswith(wanted)
    given["hands"] = [{**WREN, "squares_nm2": "-1e+29"}]
    assert margins(bring(json.dumps(given))) == [Spread(100_000, 50)], "no spread is less than nothing"
