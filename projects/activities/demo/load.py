"""Loads the demo studio into an empty one."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from projects.models import Person, Project, Workroom

from . import clients, notions
from .capelet import add_capelet
from .cloth import add_cloth
from .coat import add_coat
from .days import Days
from .hours import add_hours
from .people import add_people
from .progress import tick_samples, work_on_coat
from .recipes import add_recipes
from .samples import add_samples


class NotEmpty(Exception):
    """Somebody works in this studio; the demo must not be mixed with their work."""


@transaction.atomic
def load_demo(*, owner_password: str, now: datetime | None = None) -> None:
    """Make Larkfield Workroom, its owner ``demo`` and its work, dated back from ``now``.

    Raises ``NotEmpty`` in a studio that has people or projects.
    """
    workroom = Workroom.load()
    if Person.objects.exists() or Project.objects.exists() or workroom.claimed_at:
        raise NotEmpty("The demo can only be loaded into an empty studio; this one has people already.")
    _name(workroom)
    days = Days((now or timezone.now()).astimezone(workroom.zone).date(), workroom.zone)
    people = add_people(owner_password)
    cloth = add_cloth(people, days)
    recipes = add_recipes(people)
    coat = add_coat(clients.add_choir(people), recipes, cloth, people, days)
    capelet = add_capelet(clients.add_players(people), recipes, cloth, people, days)
    drawers = notions.add_notions(people, days)
    notions.coat_needs(drawers, coat, people, days)
    notions.capelet_needs(drawers, capelet)
    tick_samples(coat, capelet, people, days)
    add_samples(recipes, cloth, people, days)
    work_on_coat(coat, cloth, people, days)
    add_hours(coat, capelet, people, days)


def _name(workroom: Workroom) -> None:
    workroom.name, workroom.is_demo, workroom.time_zone = "Larkfield Workroom", True, "Europe/London"
    workroom.currency = "GBP"
    workroom.save()
