"""What ``up`` does before the first page: the demo on first use, a claim code, the demo's password."""

import argparse
import io

import pytest
from django.core.management import CommandError, call_command

from projects.activities import opening
from projects.activities import workroom as studio
from projects.activities.demo import load_demo
from projects.models import Person, Workroom
from studio.bootstrap import doors, network
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def demo(db: None) -> Person:
    """The demo studio's owner."""
    load_demo(owner_password="demo")
    return Person.objects.get(username="demo")


def chosen(host: str = "127.0.0.1", no_demo: bool = False) -> argparse.Namespace:
    return argparse.Namespace(host=host, port=8471, no_demo=no_demo)


def test_the_first_start_loads_the_demo() -> None:
    assert opening.open_studio(demo=True, at_home=True) == opening.Entrance(name="demo", password="demo")
    assert Workroom.load().is_demo and Person.objects.get(username="demo").is_owner


def test_a_second_start_changes_nothing(demo: Person) -> None:
    people, password = Person.objects.count(), demo.password
    opening.open_studio(demo=True, at_home=True)
    demo.refresh_from_db()
    assert (Person.objects.count(), demo.password) == (people, password)


def test_in_the_house_the_demo_has_a_fresh_password(demo: Person) -> None:
    first = opening.open_studio(demo=True, at_home=False).password
    second = opening.open_studio(demo=True, at_home=False).password
    demo.refresh_from_db()
    assert first != second and len(second) >= 12 and demo.check_password(second)
    assert not demo.check_password("demo")
    # Back at home nothing is said that would not open the door.
    assert opening.open_studio(demo=True, at_home=True) == opening.Entrance(name="demo")
    assert "new_password demo" in doors.sign_in(chosen())[0]


def test_without_the_demo_a_code_claims_the_studio_once() -> None:
    first = opening.open_studio(demo=False, at_home=True).claim_code
    second = opening.open_studio(demo=True, at_home=True).claim_code  # it stays without the demo
    row = Workroom.load()
    assert not row.is_demo and not Person.objects.exists()
    assert second not in row.claim_hash and len(row.claim_hash) == 64
    assert studio.is_claim_code(second, row) and not studio.is_claim_code(first, row)


def test_the_code_is_printed_with_its_page() -> None:
    lines = doors.sign_in(chosen(no_demo=True))
    assert "http://127.0.0.1:8471/claim/" in lines[0]
    assert studio.is_claim_code(lines[1].split(": ")[1], Workroom.load())


def test_an_owned_studio_is_left_alone(workroom: Workroom, owner: Person) -> None:
    assert opening.open_studio(demo=True, at_home=False) == opening.Entrance()
    assert opening.open_studio(demo=False, at_home=True) == opening.Entrance()
    assert Person.objects.count() == 1


def test_addresses_for_the_house(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(network, "house_address", lambda: "192.0.2.7")
    text = "\n".join(doors.addresses(chosen("0.0.0.0")))
    assert "http://192.0.2.7:8471/" in text and "█" in text
    monkeypatch.setattr(network, "house_address", lambda: "")
    assert "in no network" in "\n".join(doors.addresses(chosen("0.0.0.0")))
    assert doors.addresses(chosen()) == ["", "The studio is open: http://127.0.0.1:8471/"]


def test_the_qr_code_reads_as_the_address() -> None:
    import segno

    assert doors.qr("http://192.0.2.7:8000/") != doors.qr("http://192.0.2.8:8000/")
    size = segno.make("http://192.0.2.7:8000/", error="m").symbol_size(border=2)[0]
    lines = doors.qr("http://192.0.2.7:8000/").splitlines()
    assert len(lines) == (size + 1) // 2


def test_load_demo_refuses_a_studio_with_people(owner: Person) -> None:
    with pytest.raises(CommandError, match="people already"):
        call_command("load_demo")


def test_a_new_password_lets_in_who_was_locked_out(owner: Person) -> None:
    out = io.StringIO()
    call_command("new_password", owner.username.upper(), stdout=out)
    password = out.getvalue().split("the password ")[1].split()[0]
    owner.refresh_from_db()
    assert owner.check_password(password)


@pytest.mark.parametrize(("typed", "told"), [
    ("wrne", "Names like it: wren"), ("Wren T", "Names like it: wren"),
    ("zzzzzz", "Names in this studio: moss, wren"),
    ("x" * 10_000, "Names in this studio"),
])
def test_an_unknown_name_is_told_with_those_like_it(owner: Person, typed: str, told: str) -> None:
    make.person("moss", shown_name="Moss")
    with pytest.raises(CommandError, match=told) as error:
        call_command("new_password", typed)
    assert error.value.returncode == 1 and len(str(error.value)) < 300
