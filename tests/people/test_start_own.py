"""From the demo to a studio of one's own: all of it or nothing."""

from pathlib import Path

import pytest
from django.apps import apps
from django.conf import settings
from django.contrib.sessions.models import Session
from django.test import Client

from projects.activities import starting_own
from projects.models import LabourRate, Person, Project, Workroom
from tests import make

TYPED = {
    "name": "Larkfield Two", "shown_name": "Ash", "username": "ash", "password": make.PASSWORD,
    "again": make.PASSWORD, "sure": "on",
}


@pytest.fixture
def demo(owner: Person, maker: Person) -> Workroom:
    """A demo studio with a row of every kind that points at others."""
    studio = make.workroom(is_demo=True, units="inch", currency="GBP")
    version = make.version(by=owner)
    fabric = make.fabric()
    make.length(fabric)
    make.notion()
    make.sample(version, fabric)
    project = make.project(client=make.client())
    panel = make.panel(make.piece(project, version=version, fabric=fabric))
    make.log(owner, project, step=make.step(project, panel=panel))
    make.deletion(make.project(), by=owner)
    LabourRate.objects.create(driver="tucks", minutes=1, from_date="2026-01-01")
    return studio


def rows() -> int:
    return sum(model._base_manager.count() for model in apps.get_app_config("projects").get_models())


@pytest.mark.django_db(transaction=True)
def test_everything_of_the_demo_goes(demo: Workroom, owner_page: Client, maker: Person) -> None:
    photograph = Path(settings.MEDIA_ROOT) / "front" / "one.jpg"
    photograph.parent.mkdir(parents=True, exist_ok=True)
    photograph.write_bytes(b"a picture")
    answer = owner_page.post("/studio/start-own/", TYPED)
    assert (answer.status_code, answer["Location"]) == (303, "/studio/settings/")
    owner = Person.objects.get()
    assert owner.username == "ash" and owner.is_owner and owner.check_password(make.PASSWORD)
    assert rows() == 2 and Session.objects.count() == 1
    studio = Workroom.load()
    assert (studio.name, studio.is_demo) == ("Larkfield Two", False)
    assert (studio.units, studio.currency) == ("inch", "GBP")
    assert not photograph.parent.exists()
    page = owner_page.get("/studio/settings/")
    assert page.status_code == 200 and b"the studio is yours" in page.content


def test_every_table_of_the_studio_is_cleared(demo: Workroom) -> None:
    """A new model that clearing forgets would leave the demo's rows behind, or stop it by a reference."""
    cleared = set(starting_own.children_first())
    assert cleared == set(apps.get_app_config("projects").get_models(include_auto_created=True)) - {Workroom}


@pytest.mark.parametrize("changes", [{"sure": ""}, {"again": "no"}, {"username": "a b"}, {"name": ""}])
def test_nothing_goes_without_a_yes_and_a_whole_form(
    demo: Workroom, owner_page: Client, changes: dict[str, str]
) -> None:
    before = rows()
    answer = owner_page.post("/studio/start-own/", {**TYPED, **changes})
    assert answer.status_code == 422 and rows() == before
    assert Workroom.load().is_demo


@pytest.mark.django_db(transaction=True)
def test_a_failure_on_the_way_clears_nothing(demo: Workroom, monkeypatch: pytest.MonkeyPatch) -> None:
    before = rows()

    def broken(**_: str) -> None:
        raise RuntimeError("the disk is full")

    monkeypatch.setattr(starting_own, "make_person", broken)
    with pytest.raises(RuntimeError, match="the disk is full"):
        starting_own.start_own(name="x", username="ash", shown_name="Ash", password=make.PASSWORD)
    assert rows() == before and Workroom.load().is_demo


def test_a_real_studio_is_never_cleared(owner_page: Client, workroom: Workroom) -> None:
    make.project()
    assert owner_page.get("/studio/start-own/").status_code == 404
    assert owner_page.post("/studio/start-own/", TYPED).status_code == 404
    with pytest.raises(starting_own.NotDemo):
        starting_own.start_own(name="x", username="ash", shown_name="Ash", password=make.PASSWORD)
    assert Project.objects.exists()


def test_a_maker_can_not_start_over(demo: Workroom, maker_page: Client) -> None:
    assert maker_page.post("/studio/start-own/", TYPED).status_code == 403
    assert Workroom.load().is_demo
