"""Signing in and out: plain answers, no guessing, nothing typed is lost."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from projects.activities import signing_in
from projects.models import Fabric, Person, SignInTries, Workroom
from tests import make


def sign_in(page: Client, name: str = "wren", password: str = make.PASSWORD, **more: str):
    return page.post("/sign-in/", {"username": name, "password": password, **more})


def test_the_right_password_leads_where_one_was_going(owner: Person) -> None:
    page = Client()
    assert page.get("/deleted/")["Location"] == "/sign-in/?next=/deleted/"
    answer = sign_in(page, next="/deleted/")
    assert (answer.status_code, answer["Location"]) == (303, "/deleted/")
    assert page.get("/sign-in/")["Location"] == "/"


@pytest.mark.parametrize("next_page", ["https://example.org/", "//example.org", "javascript:alert(1)", ""])
def test_never_leads_out_of_the_studio(owner: Person, next_page: str) -> None:
    assert sign_in(Client(), next=next_page)["Location"] == "/"


@pytest.mark.parametrize("name", ["wren", "nobody", "x" * 10_000, "\x00", "ẅrén\u202e"])
def test_a_wrong_password_gets_one_answer_and_keeps_the_name(owner: Person, name: str) -> None:
    answer = sign_in(Client(), name=name, password="wrong")
    assert answer.status_code == 422
    assert b"wrong" not in answer.content
    assert name[:40].replace("\x00", "") in answer.content.decode()


def test_who_is_switched_off_gets_the_same_answer(owner: Person, maker: Person) -> None:
    Person.objects.filter(pk=maker.pk).update(is_active=False)
    answer = sign_in(Client(), name="moss")
    assert answer.status_code == 422 and b"don&#x27;t belong together" in answer.content


def test_after_five_wrong_passwords_the_right_one_waits_too(owner: Person, maker: Person) -> None:
    page = Client()
    for _ in range(5):
        assert sign_in(page, password="wrong").status_code == 422
    answer = sign_in(page)
    assert answer.status_code == 429 and 1 <= int(answer["Retry-After"]) <= 15
    assert b"Too many wrong passwords" in answer.content and b'value="wren"' in answer.content
    assert sign_in(Client(), name="moss").status_code == 303
    assert sign_in(Client(REMOTE_ADDR="192.0.2.7")).status_code == 303


def test_capitals_and_spaces_are_no_way_round_the_pause(owner: Person) -> None:
    for name in ("wren", "WREN", " Wren", "wren ", "wReN"):
        sign_in(Client(), name=name, password="wrong")
    assert sign_in(Client()).status_code == 429


def test_the_pause_ends_and_the_right_password_forgets_it(owner: Person) -> None:
    for _ in range(5):
        sign_in(Client(), password="wrong")
    SignInTries.objects.update(last_at=timezone.now() - timedelta(seconds=16))
    assert sign_in(Client()).status_code == 303
    assert not SignInTries.objects.exists()


def test_the_pause_doubles_up_to_a_quarter_of_an_hour() -> None:
    waits = [signing_in.wait_after(n).total_seconds() for n in range(4, 14)]
    assert waits == [0, 15, 30, 60, 120, 240, 480, 900, 900, 900]


def test_old_tries_are_cleared_away(owner: Person) -> None:
    sign_in(Client(), name="moss", password="wrong")
    SignInTries.objects.update(last_at=timezone.now() - timedelta(hours=2))
    sign_in(Client(), name="ash", password="wrong")
    assert SignInTries.objects.count() == 1


def test_signing_out_ends_the_session(owner_page: Client) -> None:
    assert owner_page.get("/sign-out/").status_code == 405
    assert owner_page.post("/sign-out/")["Location"] == "/sign-in/"
    assert owner_page.get("/account/")["Location"].startswith("/sign-in/")


def hint(workroom: Workroom) -> bool:
    return b"and the password <b>demo</b>" in Client().get("/sign-in/").content


def test_the_demo_says_how_to_get_in_only_while_that_works(owner: Person, workroom: Workroom) -> None:
    demo = make.person("demo", password="demo", role=Person.OWNER)
    assert not hint(workroom)
    Workroom.objects.update(is_demo=True)
    assert hint(workroom)
    demo.set_password("another one")
    demo.save()
    assert not hint(workroom)
    demo.set_password("demo")
    demo.is_active = False
    demo.save()
    assert not hint(workroom)


def test_a_form_posted_after_sign_out_is_kept_and_can_be_sent_again(owner: Person) -> None:
    page = Client()
    fields = {"name": "Linen <voile>", "width": "140", "notes": "kept\nwhole", "op": "", "password": "secret"}
    answer = page.post("/cloth/fabrics/new/", fields)
    text = answer.content.decode()
    assert answer.status_code == 403 and "was not saved" in text and "secret" not in text
    assert not Fabric.objects.exists()
    kept = answer.context["form"].initial
    again = sign_in(page, kept=kept["kept"], kept_to=kept["kept_to"])
    text = again.content.decode()
    assert again.status_code == 200 and 'action="/cloth/fabrics/new/"' in text
    assert "Linen &lt;voile&gt;" in text and 'name="width" value="140"' in text
    assert not Fabric.objects.exists()


def test_what_was_typed_outlives_a_wrong_password(owner: Person) -> None:
    answer = sign_in(Client(), password="wrong", kept='[["name","Linen"]]', kept_to="/cloth/fabrics/new/")
    assert b"Linen" in answer.content and b"was not saved" in answer.content


@pytest.mark.parametrize(
    ("kept", "kept_to"),
    [
        ('[["a","b"]]', "https://example.org/"), ('[["a","b"]]', "//example.org/x"), ("[" * 5000, "/x/"),
        ('{"a":1}', "/x/"), ("[[1,2]]", "/x/"), ("nonsense", "/x/"), ('[["a","b"]]', "javascript:alert(1)"),
    ],
)
def test_anything_else_kept_is_left_alone(owner: Person, kept: str, kept_to: str) -> None:
    assert sign_in(Client(), kept=kept, kept_to=kept_to).status_code == 303
