"""Who works at Larkfield Workroom: its owner and two makers."""

from dataclasses import dataclass

from projects.activities.people import make_person
from projects.models import Person


@dataclass(frozen=True, slots=True)
class People:
    owner: Person
    sewer: Person
    cutter: Person


def add_people(owner_password: str) -> People:
    """The owner signs in as ``demo``. The makers have no password, so nobody signs in as them."""
    owner = make_person(username="demo", shown_name="Wren", role=Person.OWNER, password=owner_password)
    return People(owner, _maker("moss", "Moss"), _maker("tansy", "Tansy"))


def _maker(username: str, shown_name: str) -> Person:
    maker = Person(username=username, shown_name=shown_name, role=Person.MAKER)
    maker.set_unusable_password()
    maker.full_clean()
    maker.save()
    return maker
