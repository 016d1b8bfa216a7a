"""Every address of the studio, as a stranger, a maker and an owner meet it."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.apps import apps
from django.db import connection, transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from projects.activities import people, sharing
from projects.activities.exchange import project_text, waiting
from projects.models import Person, Project, Workroom
from tests import make
from tests.conftest import signed_in

from .table import ALL, ANSWER_JSON, DEED, OPEN, OWNER, RULES

LEAST_ADDRESSES = 85
WRONG_METHODS = ("put", "patch", "delete")
MISSING = 987_654_321
HUGE = 10**30


def patterns() -> dict[str, URLPattern]:
    """Every pattern the resolver knows, by name."""
    return {pattern.name or str(pattern.pattern): pattern for pattern in _walk(get_resolver().url_patterns)}


def _walk(found: list[URLPattern | URLResolver]) -> Iterator[URLPattern]:
    for entry in found:
        if isinstance(entry, URLResolver):
            yield from _walk(entry.url_patterns)
        else:
            yield entry


NAMES = sorted(name for name in patterns() if name in RULES)
IN_NEED = [name for name in NAMES if RULES[name].needs]


def test_every_address_has_a_rule_and_every_rule_an_address() -> None:
    known = set(patterns())
    assert known - set(RULES) == set(), "Say in tests/permissions/table.py who may use these."
    assert set(RULES) - known == set(), "These are gone; take them out of tests/permissions/table.py."


def test_there_are_as_many_addresses_as_there_should_be() -> None:
    assert len(patterns()) >= LEAST_ADDRESSES and len(NAMES) >= LEAST_ADDRESSES


def test_what_the_views_say_is_what_the_table_says() -> None:
    said = {name: _said(pattern.callback) for name, pattern in patterns().items() if name in RULES}
    assert said == {name: RULES[name].who for name in said}


def _said(view: Any) -> str:
    if getattr(view, "open_to_all", False):
        return OPEN
    return OWNER if getattr(view, "owner_only", False) else ALL


@pytest.fixture(scope="module")
def made(django_db_setup: None, django_db_blocker: Any) -> Iterator[tuple[dict[str, Any], bytes]]:
    """The rows of ``world`` and a project's file, made once; a test changes them in its own transaction."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield make_world()
        transaction.set_rollback(True)


@pytest.fixture
def workroom(made: Any, db: None) -> Workroom:
    return Workroom.load()


@pytest.fixture
def owner(made: Any, db: None) -> Person:
    return Person.objects.get(username="wren")


@pytest.fixture
def maker(made: Any, db: None) -> Person:
    return Person.objects.get(username="moss")


@pytest.fixture
def world(made: tuple[dict[str, Any], bytes], owner: Person) -> dict[str, Any]:
    """What addresses name; the file that waits is taken away by whoever uses it."""
    rows, file = made
    return {**rows, "waiting": waiting.keep(owner, file)}


def make_world() -> tuple[dict[str, Any], bytes]:
    """One row of everything an address can name, in a demo studio (so that it can be left)."""
    make.workroom(is_demo=True)
    owner = make.person("wren", shown_name="Wren", role=Person.OWNER)
    maker = make.person("moss", shown_name="Moss")
    recipe, fabric, notion = make.recipe(by=maker), make.fabric(), make.notion()
    project = make.project(client=make.client())
    piece = make.piece(project, version=recipe.versions.get(), fabric=fabric)
    photo = make.photo(project)
    token = people.invite(shown_name="Fern", role="maker", by=owner)
    shared = shared_with_client(project, maker)
    rows = {
        "client": project.client.pk, "project": project.pk, "piece": piece.pk, "panel": make.panel(piece).pk,
        "edge": make.edge(piece).pk, "run_key": f"{piece.pk}.1:sew:across:1",
        "step": make.step(project).pk, "log": make.log(maker, project).pk, "recipe": recipe.pk, "version": 1,
        "sample": make.sample(recipe.versions.get(), fabric).pk, "fabric": fabric.pk,
        "photo": photo.pk, "photo_key": photo.key, "photo_size": "thumb", "photo_kind": "fabric",
        "length": make.length(fabric).pk, "notion": notion.pk, "person": make.person("ash").pk,
        "deletion": make.deletion(make.project()).pk, "driver": "tucks", "token": token,
        "own_stage": make.own_stage().pk, "template": make.template().pk,
        "day_off": make.day_off(maker).pk,
        "hour_rate": make.hour_rate().pk, "other_cost": make.other_cost(project).pk,
        "invitation": owner.pk and people.find_invitation(token, make.timezone.now()).pk,
        **shared,
    }
    return rows, project_text(project).encode()


def shared_with_client(project: Project, maker: Person) -> dict[str, Any]:
    """A link to the project's build page, which shows its photographs."""
    shows = dict.fromkeys(sharing.SHOWS, True)
    token = sharing.make_link(project=project, name="Fern", expires_at=None, shows=shows, person=maker)
    project.photos.update(for_client=True)
    return {"share_token": token, "link": project.links.get().pk, "help": "sample"}


def address(name: str, world: dict[str, Any]) -> str:
    return reverse(name, args=[world[need] for need in RULES[name].needs])


def send(page: Client, method: str, where: str, **headers: str) -> Any:
    return getattr(page, method.lower())(where, **headers)


@pytest.mark.parametrize("name", NAMES)
def test_a_stranger_is_led_to_the_sign_in(name: str, world: dict[str, Any]) -> None:
    where, rule = address(name, world), RULES[name]
    for method in rule.methods:
        plain = send(Client(), method, where)
        live = send(Client(), method, where, HTTP_HX_REQUEST="true")
        if rule.who == OPEN:
            assert plain.status_code in (200, 303, 422) and live.status_code in (200, 204, 422)
        elif name in ANSWER_JSON:
            assert plain.status_code == live.status_code == 403 and "signed out" in plain.json()["why"]
        else:
            _led_to_sign_in(method, plain, live)


def _led_to_sign_in(method: str, plain: Any, live: Any) -> None:
    """A page leads to the sign-in, a posted form gets the sign-in page at once; HTMX is led there."""
    if method == "POST":
        assert plain.status_code == 403 and b"was not saved" in plain.content
    else:
        assert plain.status_code == 302 and plain["Location"].startswith("/sign-in/?next=")
    assert live.status_code == 204 and live["HX-Redirect"].startswith("/sign-in/")


def test_a_stranger_changes_nothing(world: dict[str, Any]) -> None:
    before = _everything()
    for name in NAMES:
        if RULES[name].who != OPEN and "POST" in RULES[name].methods:
            Client().post(address(name, world), {"name": "taken over", "shown_name": "x", "role": "owner"})
    assert _everything() == before


def _everything() -> list[list[dict[str, Any]]]:
    models = apps.get_app_config("projects").get_models()
    return [list(model._base_manager.order_by("pk").values()) for model in models]


@pytest.mark.parametrize("name", [name for name in NAMES if RULES[name].who == OWNER])
def test_a_maker_gets_a_plain_no(name: str, world: dict[str, Any], maker: Person) -> None:
    page = signed_in(maker)
    before = _everything()
    for method in RULES[name].methods:
        answer = send(page, method, address(name, world))
        assert answer.status_code == 403 and b"for an owner of the studio" in answer.content
    assert _everything() == before


@pytest.mark.parametrize("name", [n for n in NAMES if "GET" in RULES[n].methods and RULES[n].who != OPEN])
def test_who_may_see_a_page_sees_it(name: str, world: dict[str, Any], owner: Person, maker: Person) -> None:
    seers = [owner] if RULES[name].who == OWNER else [owner, maker]
    for person in seers:
        answer = signed_in(person).get(address(name, world))
        assert answer.status_code in (200, 302, 303), f"{person}: {answer.status_code}"


@pytest.mark.parametrize("name", [name for name in NAMES if "GET" in RULES[name].methods])
def test_what_can_be_read_can_be_asked_for_its_head(
    name: str, world: dict[str, Any], owner: Person
) -> None:
    page, where = signed_in(owner), address(name, world)
    head, whole = page.head(where), page.get(where)
    assert head.status_code == whole.status_code and not head.content


@pytest.mark.parametrize("name", [name for name in NAMES if RULES[name].methods == DEED])
def test_what_is_only_posted_has_no_head(name: str, world: dict[str, Any], owner: Person) -> None:
    assert signed_in(owner).head(address(name, world)).status_code == 405


@pytest.mark.parametrize("name", [name for name in NAMES if RULES[name].who != OPEN])
def test_the_wrong_method_is_405(name: str, world: dict[str, Any], owner: Person) -> None:
    wrong = set(WRONG_METHODS) | ({"get", "post"} - {method.lower() for method in RULES[name].methods})
    for method in wrong:
        assert send(signed_in(owner), method, address(name, world)).status_code == 405, method


@pytest.mark.parametrize("name", IN_NEED)
def test_a_missing_row_is_404(name: str, world: dict[str, Any], owner: Person) -> None:
    rule = RULES[name]
    for need in rule.needs:
        for absent in ("never-was",) if isinstance(world[need], str) else (MISSING, HUGE):
            where = address(name, {**world, need: absent})
            for method in rule.methods:
                assert send(signed_in(owner), method, where).status_code == 404, f"{method} {where}"


@pytest.mark.parametrize("name", [n for n in IN_NEED if "<int:" in str(patterns()[n].pattern)])
def test_a_malformed_number_is_404(name: str, owner: Person) -> None:
    for wrong in ("x1", "-1", "1.5", "1e3", "%00"):
        where = "/" + re.sub(r"<\w+:\w+>", wrong, str(patterns()[name].pattern))
        assert signed_in(owner).get(where).status_code == 404, where


@pytest.mark.parametrize("name", [n for n in NAMES if "POST" in RULES[n].methods and n != "sign_out"])
def test_an_empty_or_hostile_post_is_never_a_5xx(name: str, world: dict[str, Any], owner: Person) -> None:
    if name == "backup" and connection.vendor == "postgresql":
        pytest.skip("there a backup reads in a transaction of its own; tests/setup takes one")
    fields = ("name", "title", "key", "revision", "op", "units", "minutes", "amount")
    hostile = dict.fromkeys(fields, "\x00" * 9)
    for data in ({}, hostile, {"revision": "9" * 400, "name": "n" * 10_000, "step": "[]", "key": "{}"}):
        answer = signed_in(owner).post(address(name, world), data)
        assert answer.status_code < 500, f"{data}: {answer.status_code}"


def test_a_form_posted_after_sign_out_saves_nothing(world: dict[str, Any], maker: Person) -> None:
    page = signed_in(maker)
    where = address("project_edit", world)
    shown = page.get(where)
    page.post("/sign-out/")
    answer = page.post(where, {"title": "Typed for a while", "revision": "1"})
    assert shown.status_code == 200 and answer.status_code == 403
    assert b"was not saved" in answer.content and b"Typed for a while" in answer.content
    assert Project.objects.get(pk=world["project"]).title == "Concert coat"
    assert Workroom.load().is_demo
