"""Whatever is typed into any form: a plain 4xx, nothing half saved, what was typed still on the page."""

import json
from collections.abc import Callable, Iterator
from html import escape
from typing import Any
from urllib.parse import quote_plus
from uuid import uuid4

import pytest
from django.apps import apps
from django.db import transaction
from django.test import Client

from projects.models import Person, Workroom
from tests import make

from .forms import PageForm, form_with

# Name of the form: address of its page, a field it has, address it is posted to ("" for the page's own).
FORMS = {
    "new project": ("/projects/new/", "title", ""),
    "project": ("/projects/{project}/edit/", "title", ""),
    "new piece": ("/projects/{project}/pieces/new/", "across", ""),
    "piece": ("/pieces/{piece}/edit/", "across", ""),
    "piece worked out": ("/pieces/{piece}/edit/", "across", "/pieces/{piece}/preview/"),
    "new client": ("/clients/new/", "name", ""),
    "client": ("/clients/{client}/edit/", "name", ""),
    "new fabric": ("/cloth/fabrics/new/", "width", ""),
    "fabric": ("/cloth/fabrics/{fabric}/edit/", "width", ""),
    "new length": ("/cloth/lengths/new/{fabric}/", "label", ""),
    "length": ("/cloth/lengths/{length}/edit/", "label", ""),
    "booking of a length": ("/cloth/lengths/{length}/", "amount", "/cloth/lengths/{length}/book/"),
    "new notion": ("/cloth/notions/new/", "name", ""),
    "notion": ("/cloth/notions/{notion}/edit/", "name", ""),
    "booking of a notion": ("/cloth/notions/{notion}/", "amount", "/cloth/notions/{notion}/book/"),
    "need of a notion": ("/projects/{project}/buy/", "amount", ""),
    "new recipe": ("/recipes/new/", "across.tucks.0.depth", "/recipes/new/"),
    "recipe worked out": ("/recipes/{recipe}/", "across.tucks.0.depth", "/recipes/work-out/"),
    "recipe": ("/recipes/{recipe}/", "across.tucks.0.depth", "/recipes/{recipe}/save/"),
    "name of a recipe": ("/recipes/{recipe}/rename/", "name", ""),
    "new sample": ("/recipes/{recipe}/samples/new/", "across_flat", ""),
    "sample": ("/samples/{sample}/edit/", "across_flat", ""),
    "new log": ("/hours/new/", "minutes", ""),
    "log": ("/hours/{log}/edit/", "minutes", ""),
    "own step": ("/projects/{project}/steps/new/", "title", ""),
    "changed step": ("/projects/{project}/steps/{step}/edit/", "title", ""),
    "settings": ("/studio/settings/", "squaring", ""),
    "rate": ("/studio/rates/tucks/", "minutes", ""),
    "invitation": ("/studio/people/", "shown_name", "/studio/people/invite/"),
    "person": ("/studio/people/{person}/", "shown_name", ""),
}
REVISED = [
    name
    for name in FORMS
    if name
    in (
        "project",
        "piece",
        "client",
        "fabric",
        "length",
        "notion",
        "name of a recipe",
        "sample",
        "log",
        "changed step",
        "settings",
    )
]
HOSTILE = {
    "letters": "not a length",
    "minus": "-5",
    "zero": "0",
    "forty metres": "40 m",
    "four hundred digits": "9" * 400,
    "exponent": "1e999",
    "not a number": "NaN",
    "right to left": "\u202eحافة القماش\u202c",
    "joined emoji": "\U0001f469\u200d\U0001f469\u200d\U0001f467 \U0001f1e9\U0001f1ea",
    "combining": "Z\u0351\u036b\u0343\u036a\u0302\u036b\u033d" * 8,
    "NUL byte": "tuck\x00ed",
    "markup": "<script>alert(1)</script>\"' onfocus=x {{ 7|add:1 }} {% now 'Y' %}",
    "formula": "=1+1",
    "line ends": "one\r\ntwo\u2028three\x0bfour",
    "control characters": "\x1b[31m\x07\x7f",
    "ten thousand characters": "x" * 10_000,
    "division by zero": "1/0 in",
    "full-width figures": "\uff11\uff12",
    "unclear comma": "1,000",
}
SHOWN = ("piece worked out", "recipe worked out", "recipe", "invitation")
"""These answer what can be read with a page: worked out, what a new version changes, the link."""
NOT_COUNTED = ("operation", "signintries", "session")


@pytest.fixture
def world(owner: Person, maker: Person) -> dict[str, int]:
    """One row of everything the forms are about."""
    recipe, fabric, notion = make.recipe(by=maker), make.fabric(), make.notion()
    project = make.project(client=make.client())
    piece = make.piece(project, version=recipe.versions.get(), fabric=fabric)
    return {
        "client": project.client.pk,
        "project": project.pk,
        "piece": piece.pk,
        "step": make.step(project).pk,
        "log": make.log(maker, project).pk,
        "recipe": recipe.pk,
        "fabric": fabric.pk,
        "notion": notion.pk,
        "sample": make.sample(recipe.versions.get(), fabric).pk,
        "length": make.length(fabric).pk,
        "person": maker.pk,
    }


def rows() -> dict[str, list[tuple[Any, ...]]]:
    """Everything the studio keeps."""
    models = [
        m for m in apps.get_app_config("projects").get_models() if m._meta.model_name not in NOT_COUNTED
    ]
    return {m.__name__: list(m._default_manager.order_by("pk").values_list()) for m in models}


class Desk:
    """A form, ready to be posted again and again from the same state."""

    def __init__(self, page: Client, name: str, world: dict[str, int]) -> None:
        where, has, to = (text.format(**world) for text in FORMS[name])
        self.page, self.to = page, to or where
        self.form: PageForm = form_with(page.get(where).content.decode(), has)

    def post(self, changed: dict[str, Any], without: str = "") -> Any:
        values = {**self.form.values, "op": str(uuid4()), **changed}
        values.pop(without, None)
        return self.page.post(self.to, values)


def settled(answer: Any, before: dict[str, Any], typed: dict[str, str], about: str) -> None:
    """A refusal that saved nothing and kept what was typed, or a plain redirect."""
    assert answer.status_code < 500, about
    if 300 <= answer.status_code < 400:
        assert answer.status_code == 303, about
        return
    if answer.status_code == 200:
        assert about.split(",")[0].split(" without")[0] in SHOWN, f"{about}: 200"
        if about.startswith("invitation"):
            return
    assert rows() == before, f"{about}: refused, and yet something was saved"
    page = answer.content.decode()
    lost = [
        name
        for name, text in typed.items()
        if not any(said in page for said in (escape(text), escape(_plain(text))))
    ]
    assert not lost, f"{about}: what was typed in {lost} is gone"


def _plain(text: str) -> str:
    """One-line fields of the recipe page take runs of white space for one space."""
    return " ".join(text.split())


@pytest.fixture
def undone() -> Callable[[], Any]:
    """A block after which the database is as it was."""
    from contextlib import contextmanager

    @contextmanager
    def block() -> Iterator[None]:
        with transaction.atomic():
            yield
            transaction.set_rollback(True)

    return block


@pytest.mark.parametrize("name", FORMS)
def test_anything_typed_in_every_field_at_once(
    name: str, owner_page: Client, world: dict[str, int], undone: Any
) -> None:
    desk, before = Desk(owner_page, name, world), rows()
    for kind, text in HOSTILE.items():
        typed = dict.fromkeys(desk.form.typed, text)
        with undone():
            settled(desk.post(typed), before, {} if "worked out" in name else typed, f"{name}, {kind}")


@pytest.mark.parametrize("name", FORMS)
def test_one_field_wrong_or_missing(
    name: str, owner_page: Client, world: dict[str, int], undone: Any
) -> None:
    desk, before = Desk(owner_page, name, world), rows()
    for field in desk.form.typed:
        for kind in ("NUL byte", "ten thousand characters"):
            typed = {field: HOSTILE[kind]}
            with undone():
                settled(
                    desk.post(typed),
                    before,
                    {} if "worked out" in name else typed,
                    f"{name}, {field}, {kind}",
                )
    for field in {*desk.form.values} - {"csrfmiddlewaretoken", "op"}:
        with undone():
            settled(desk.post({}, without=field), before, {}, f"{name} without {field}")
    with undone():
        settled(owner_page.post(desk.to, {"nothing": "of it"}), before, {}, f"{name}, nothing of it")


@pytest.mark.parametrize("name", FORMS)
def test_choices_nobody_offers(name: str, owner_page: Client, world: dict[str, int], undone: Any) -> None:
    desk, before = Desk(owner_page, name, world), rows()
    behind = ("revision", "units", "op", "seen", "base", "project", "follow")
    for text in ("nobody", "0", "-1", "9" * 30, "\x00", "1.5", "\u0661"):
        for fields in (behind, desk.form.chosen):
            with undone():
                settled(desk.post(dict.fromkeys(fields, text)), before, {}, f"{name}, {fields} = {text!r}")
    for field in desk.form.chosen:
        with undone():
            settled(desk.post({field: "9" * 30}), before, {}, f"{name}, {field}, a number too large")


@pytest.mark.parametrize("name", FORMS)
def test_bytes_that_are_no_text(name: str, owner_page: Client, world: dict[str, int], undone: Any) -> None:
    """A lone half of a pair, a broken sequence, a broken escape: as bytes on the wire."""
    desk, before = Desk(owner_page, name, world), rows()
    for broken in ("%ED%A0%80", "%FF%FE", "%C3", "%zz%"):
        pairs = {**{k: quote_plus(v) for k, v in desk.form.values.items()}, "op": str(uuid4())}
        pairs |= dict.fromkeys(desk.form.typed, broken)
        body = "&".join(f"{quote_plus(key)}={value}" for key, value in pairs.items())
        with undone():
            answer = owner_page.post(desk.to, body, content_type="application/x-www-form-urlencoded")
            settled(answer, before, {}, f"{name}, {broken}")


@pytest.mark.parametrize("name", FORMS)
def test_another_kind_of_body(name: str, owner_page: Client, world: dict[str, int]) -> None:
    desk, before = Desk(owner_page, name, world), rows()
    for body, kind in (
        (json.dumps(desk.form.values), "application/json"),
        ("--x", "multipart/form-data; boundary=y"),
        ("a", "multipart/form-data"),
        ("<a/>", "text/xml"),
    ):
        settled(owner_page.post(desk.to, body, content_type=kind), before, {}, f"{name}, {kind}")


@pytest.mark.parametrize("name", REVISED)
def test_a_stale_form_changes_nothing_and_keeps_what_was_typed(
    name: str, owner_page: Client, world: dict[str, int]
) -> None:
    desk = Desk(owner_page, name, world)
    field = {"piece": "name", "log": "note", "sample": "notes", "settings": "name"}.get(
        name, desk.form.typed[0]
    )
    reason = {"reason": "a slip of the pen"} if name == "log" else {}
    assert desk.post({field: "theirs", **reason}).status_code == 303
    before = rows()
    answer = desk.post({field: "mine", **reason})
    page = answer.content.decode()
    assert answer.status_code == 409 and rows() == before
    assert "theirs" in page and "mine" in page
    again = form_with(page, field)
    assert again.values[field] == "mine" and again.values["revision"] == "2"
    assert owner_page.post(desk.to, again.values).status_code == 303 and rows() != before


DOUBLED = {
    "new project": {"title": "Capelet", "new_client": "A new client"},
    "new piece": {"name": "Sleeve", "across": "30", "along": "40"},
    "new client": {"name": "Harbour Players"},
    "new fabric": {"name": "Wool challis", "width": "150"},
    "new length": {"label": "Bolt 9", "received": "3"},
    "booking of a length": {"kind": "wasted", "amount": "10 cm"},
    "new notion": {"name": "Cord, 2 mm", "received": "4"},
    "booking of a notion": {"kind": "cut", "amount": "2"},
    "need of a notion": {"amount": "3"},
    "new recipe": {"name": "Pin tucks"},
    "recipe": {"across.tucks.0.depth": "6", "confirmed": "1"},
    "new sample": {"across_flat": "44.2", "across_finished": "21.6", "across_tucks": "16"},
    "new log": {"minutes": "40 min"},
    "own step": {"title": "Sew on the loops"},
    "invitation": {"shown_name": "Fern"},
}


@pytest.mark.parametrize("name", DOUBLED)
def test_a_doubled_post_is_done_once(name: str, owner_page: Client, world: dict[str, int]) -> None:
    desk, start, op = Desk(owner_page, name, world), rows(), {"op": str(uuid4())}
    wanted = dict(DOUBLED[name])
    if name in ("need of a notion",):
        wanted["notion"] = str(world["notion"])
    if name == "new sample":
        wanted["fabric"] = str(world["fabric"])
    first = desk.post({**wanted, **op})
    assert first.status_code in (200, 303) and rows() != start, first.content.decode()[:3000]
    before = rows()
    second = desk.post({**wanted, **op})
    assert second.status_code == 303 and rows() == before
    assert first.status_code == 200 or second["Location"] == first["Location"]


# What is typed into a form that is otherwise sound, and what the answer says beside the field.
REFUSED = [
    ("new piece", {"name": "Sleeve", "across": "30", "along": "40 m"}, "40 m"),
    ("new piece", {"name": "Sleeve", "across": "-30", "along": "40"}, "-30"),
    ("new piece", {"name": "Sleeve", "across": "0", "along": "40"}, "0"),
    ("new piece", {"name": "Sleeve", "across": "thirty", "along": "40"}, "can&#x27;t be read"),
    ("new piece", {"name": "Sleeve", "across": "1,000", "along": "40"}, "1,000"),
    (
        "new piece",
        {"name": "Sleeve", "across": "30", "along": "40", "count": "3", "mirrored": "on"},
        "Make it 4",
    ),
    ("new piece", {"name": "Sleeve", "across": "30", "along": "40", "count": "1000000"}, "At most 60"),
    ("new piece", {"name": "", "across": "30", "along": "40"}, "required"),
    (
        "new piece",
        {"name": "Cuff", "across": "2", "along": "40", "allowances_drawn": "on"},
        "wider than the piece",
    ),
    ("new fabric", {"name": "Voile", "width": "0"}, "0"),
    ("new fabric", {"name": "Voile", "width": "400 m"}, "400 m"),
    ("new fabric", {"name": "Voile", "width": "140", "shrink_along": "101"}, "between 0 and 50"),
    ("new fabric", {"name": "Voile", "width": "140", "grams": "-3"}, "is not a number"),
    ("new fabric", {"name": "Voile", "width": "140", "thickness": "2 m"}, "2 m"),
    ("new length", {"label": "Bolt 9", "received": "-2"}, "-2"),
    ("new length", {"label": "", "received": "2"}, "required"),
    ("booking of a length", {"kind": "cut", "amount": "900 m"}, "900 m"),
    ("booking of a length", {"kind": "reserved", "amount": "1"}, "Choose the project"),
    ("booking of a length", {"kind": "wasted", "amount": "0"}, "Nothing would be booked"),
    ("booking of a notion", {"kind": "cut", "amount": "1000"}, "1000"),
    ("booking of a notion", {"kind": "cut", "amount": "0.00001"}, "finer than is kept"),
    ("need of a notion", {"amount": "2"}, "required"),
    ("new recipe", {"across.tucks.0.depth": "0"}, "0"),
    ("new recipe", {"across.tucks.0.depth": "-4"}, "-4"),
    ("new recipe", {"across.tucks.0.depth": "40 m"}, "40 m"),
    ("new recipe", {"across.tucks.0.space": "0"}, "0"),
    ("new recipe", {"across.tucks.0.space": "deep"}, "can&#x27;t be read"),
    ("new recipe", {"across.technique": "none", "along.technique": "none"}, ""),
    ("new recipe", {"name": "x" * 10_000}, "10000 characters"),
    (
        "new sample",
        {"across_flat": "44.2", "across_finished": "2", "across_tucks": "16"},
        "smaller than 442.0 mm",
    ),
    (
        "new sample",
        {"across_flat": "44.2", "across_finished": "44", "across_tucks": "16"},
        "larger than 442.0 mm",
    ),
    (
        "new sample",
        {"across_flat": "44.2", "across_finished": "", "across_tucks": "16"},
        "type the finished one too",
    ),
    ("new sample", {"across_flat": "", "across_finished": "", "across_tucks": "16"}, "Measure at least one"),
    ("new sample", {"across_flat": "44.2", "across_finished": "21.6", "across_tucks": "0"}, "at least one"),
    ("new sample", {"across_flat": "44.2", "across_finished": "21.6", "across_tucks": "1" * 30}, "10000"),
    ("new sample", {"made_on": "yesterday"}, "is not a date"),
    ("new log", {"minutes": "25 h"}, "longer than 24 h"),
    ("new log", {"minutes": "soon"}, "can&#x27;t be read"),
    ("new log", {"minutes": "40", "date": "2999-01-01"}, "has not come yet"),
    ("new log", {"minutes": "40", "date": "0001-01-01"}, "too long ago"),
    ("own step", {"title": ""}, "required"),
    ("own step", {"title": "Press", "minutes": "-3"}, "-3"),
    ("new project", {"title": ""}, "required"),
    ("new project", {"title": "Coat", "due": "2026-02-30"}, "is not a date"),
    ("new project", {"title": "Coat", "due": "0026-05-30"}, "year 26"),
    ("new client", {"name": "Choir", "email": "not an address"}, "is not an e-mail address"),
    ("settings", {"squaring": "3 m"}, "3 m"),
    ("settings", {"currency": "pounds"}, "three letters"),
    ("settings", {"public_address": "javascript:alert(1)"}, "whole address"),
    ("settings", {"check_every": "0"}, "1"),
    ("settings", {"buy_step": "0"}, "0"),
    ("rate", {"minutes": "-1"}, "0"),
    ("rate", {"minutes": "NaN"}, "number"),
    ("rate", {"from_date": "1066-10-14"}, "from 2000 on"),
    ("person", {"shown_name": ""}, "required"),
]


@pytest.mark.parametrize(("name", "typed", "said"), REFUSED)
def test_refused_with_a_plain_sentence(
    name: str, typed: dict[str, str], said: str, owner_page: Client, world: dict[str, int]
) -> None:
    desk, before = Desk(owner_page, name, world), rows()
    given = dict(typed)
    if name == "new sample":
        given = {"fabric": str(world["fabric"]), **given}
    answer = desk.post(given)
    assert answer.status_code == 422
    shown = {key: text for key, text in typed.items() if key in desk.form.typed and text}
    settled(answer, before, shown, name)
    assert 'class="problems"' in answer.content.decode() and said in answer.content.decode().replace(
        "'", "&#x27;"
    )


def test_a_recipe_without_tucks_is_refused(owner_page: Client, world: dict[str, int]) -> None:
    desk, before = Desk(owner_page, "new recipe", world), rows()
    emptied = {k: v for k, v in desk.form.values.items() if ".tucks." not in k}
    answer = owner_page.post("/recipes/new/", {**emptied, "name": "Nothing yet"})
    assert answer.status_code == 422
    settled(answer, before, {"name": "Nothing yet"}, "a recipe without tucks")


def test_tucks_that_do_not_fit_are_said_beside_the_piece(owner_page: Client, world: dict[str, int]) -> None:
    """A piece narrower than one repeat can be kept; the page says what it makes or why it can't."""
    desk = Desk(owner_page, "new piece", world)
    answer = desk.post(
        {"name": "Tab", "across": "1 mm", "along": "1 mm", "recipe": desk.form.values["recipe"]}
    )
    assert answer.status_code in (303, 422)
    if answer.status_code == 303:
        assert owner_page.get(answer["Location"]).status_code == 200
    assert owner_page.get(f"/projects/{world['project']}/").status_code == 200


def test_a_piece_wider_than_the_cloth_is_kept_and_the_plan_says_so(
    owner_page: Client, world: dict[str, int]
) -> None:
    desk = Desk(owner_page, "new piece", world)
    answer = desk.post({"name": "Curtain", "across": "500", "along": "200", "recipe": ""})
    assert answer.status_code == 303
    for where in (
        answer["Location"],
        *(
            f"/projects/{world['project']}/{part}"
            for part in ("", "buy/", "steps/", "sheet/", f"lay/{world['fabric']}/")
        ),
    ):
        page = owner_page.get(where)
        assert page.status_code == 200, where
    assert "Curtain" in owner_page.get(f"/projects/{world['project']}/").content.decode()
    said = owner_page.get(answer["Location"]).content.decode()
    assert "can&#x27;t be planned" in said or "can't be planned" in said or "widths" in said


@pytest.mark.parametrize(
    "where",
    [
        "/hours/?week=9999-12-31",
        "/hours/?week=0001-01-01",
        "/hours/?week=nonsense",
        "/hours/?before=2026-01-01.",
        "/hours/?before=9999-99-99.1",
        "/hours/?person=99999999999999999999",
        "/hours/?page=-1",
        "/projects/?state=in_hand&page=99999999999999999999",
        "/projects/?words=%00",
        "/projects/?words=%ED%A0%80",
        "/search/?q=%00",
        "/search/?q=%ED%A0%80",
        "/search/?q=" + "x" * 5000,
        "/search/?q=%25_%5C%27%22",
        "/cloth/?width=40+km",
        "/cloth/?width=-1&length=x&words=%00",
        "/recipes/?words=%00&page=0",
        "/projects/new/?client=%00",
        "/projects/new/?client=99999999999999999999",
        "/hours/new/?project=99999999999&stage=%00",
        "/deleted/?page=x",
        "/pieces/{piece}/?panel=%00",
        "/pieces/{piece}/?panel=99999999999999999999",
        "/pieces/{piece}/?panel=-1",
        "/recipes/{recipe}/?project=%00",
        "/recipes/{recipe}/?project=99999999999999999999",
        "/recipes/{recipe}/samples/new/?version=99999999999999999999&fabric=%00",
        "/recipes/{recipe}/versions/99999999999999999999/",
        "/projects/{project}/pieces/new/?recipe=%00",
        "/projects/{project}/hours/?before=x.y",
        "/cloth/lengths/{length}/?page=%00",
        "/clients/?words=%00",
        "/projects/99999999999999999999/",
        "/projects/-1/",
        "/projects/%00/",
        "/sign-in/?next=//elsewhere.example",
    ],
)
def test_addresses_nobody_would_type(where: str, owner_page: Client, world: dict[str, int]) -> None:
    assert owner_page.get(where.format(**world)).status_code in (200, 303, 400, 404)


@pytest.mark.parametrize("deed", ["tick", "skip", "move", "time"])
@pytest.mark.parametrize(
    "key", ["", "nobody", "\x00", "x" * 10_000, "own:0", "own:" + "9" * 30]
)
def test_steps_that_are_not_there(deed: str, key: str, owner_page: Client, world: dict[str, int]) -> None:
    before = rows()
    answer = owner_page.post(f"/projects/{world['project']}/steps/{deed}/", {"key": key, "reason": "no need"})
    assert answer.status_code == 404 and rows() == before


@pytest.mark.parametrize("reason", ["", "   ", "x" * 10_000, "\x00"])
def test_a_reason_that_is_none(reason: str, owner_page: Client, world: dict[str, int]) -> None:
    before = rows()
    where = f"/projects/{world['project']}/steps/"
    answer = owner_page.post(f"{where}skip/", {"key": f"own:{world['step']}", "reason": reason})
    assert answer.status_code == 422 and rows() == before
    assert escape(reason.strip()) in answer.content.decode()


@pytest.mark.parametrize(
    "kept", ["", "{}", "[]", '[["name"]]', '[["a", 1]]', '[["name", "\\ud800"]]', "[" * 5000]
)
def test_what_is_kept_at_the_sign_in_is_not_trusted(kept: str, owner: Person) -> None:
    typed = {"username": "wren", "password": make.PASSWORD, "kept": kept, "kept_to": "/clients/new/"}
    assert Client().post("/sign-in/", typed).status_code in (200, 303)


def test_the_studio_is_as_it_was(workroom: Workroom, owner_page: Client) -> None:
    """An untouched form of the settings changes nothing, not even the revision."""
    form = form_with(owner_page.get("/studio/settings/").content.decode(), "squaring")
    before = rows()
    assert owner_page.post("/studio/settings/", form.values).status_code == 303 and rows() == before
