"""Loads the demo studio into an empty one."""

from django.db import transaction

from projects.models import Person, Workroom


class NotEmpty(Exception):
    """Somebody works in this studio; the demo must not be mixed with their work."""


@transaction.atomic
def load_demo(*, owner_password: str) -> None:
    """Make Larkfield Workroom and its owner ``demo``. Raises ``NotEmpty`` in a studio that has people."""
    if Person.objects.exists():
        raise NotEmpty("The demo studio can only be loaded into an empty studio; this one has people already.")
    workroom = Workroom.load()
    workroom.name, workroom.is_demo, workroom.time_zone = "Larkfield Workroom", True, "Europe/London"
    workroom.currency = "GBP"
    workroom.save()
    owner = Person(username="demo", shown_name="Wren Larkfield", role=Person.OWNER)
    owner.set_password(owner_password)
    owner.full_clean()
    owner.save()
