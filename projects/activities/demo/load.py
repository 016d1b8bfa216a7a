"""Loads the demo studio into an empty one."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from projects.activities.learning import learn_all
from projects.models import Person, Project, Sample, Workroom

from . import clients, notions
from .bag import add_bag
from .bench import add_runs
from .capelet import add_capelet
from .cloth import Cloth, add_cloth
from .coat import add_coat
from .days import Days
from .gown import add_gown
from .hours import add_hours
from .money import add_money
from .people import People, add_people
from .photographs import add_photographs
from .progress import tell_client, tick_bag_sample, tick_samples, work_on_bag, work_on_coat
from .recipes import add_recipes
from .rhythm import add_own_steps, add_rhythm
from .samples import add_bag_sample, add_samples


class NotEmpty(Exception):
    """Somebody works in this studio; the demo must not be mixed with their work."""


def load_demo(*, owner_password: str, now: datetime | None = None) -> None:
    """Make Larkfield Workroom, its owner ``demo`` and its work, dated back from ``now``.

    Raises ``NotEmpty`` in a studio that has people or projects. Pictures are drawn once the rows are there:
    no image is worked on while the database waits.
    """
    with transaction.atomic():
        loaded = _load(owner_password, now)
    add_photographs(*loaded)


def _load(
    owner_password: str, now: datetime | None
) -> tuple[Project, Project, Project, Sample, Cloth, People]:
    """All rows, and what the pictures are drawn from."""
    workroom = Workroom.load()
    if Person.objects.exists() or Project.objects.exists() or workroom.claimed_at:
        raise NotEmpty("The demo can only be loaded into an empty studio; this one has people already.")
    _name(workroom)
    days = Days((now or timezone.now()).astimezone(workroom.zone).date(), workroom.zone)
    people = add_people(owner_password)
    add_rhythm(people, days)
    add_own_steps()
    cloth = add_cloth(people, days)
    recipes = add_recipes(people)
    coat = add_coat(clients.add_choir(people), recipes, cloth, people, days)
    capelet = add_capelet(clients.add_players(people), recipes, cloth, people, days)
    bag = add_bag(recipes, cloth, people, days)
    gown = add_gown(clients.add_family(people), recipes, cloth, people, days)
    drawers = notions.add_notions(people, days)
    notions.coat_needs(drawers, coat, people, days)
    notions.capelet_needs(drawers, capelet)
    notions.bag_needs(drawers, bag)
    notions.gown_needs(drawers, gown)
    tick_samples(coat, capelet, people, days)
    add_samples(recipes, cloth, people, days)
    work_on_coat(coat, cloth, people, days)
    tick_bag_sample(bag, people, days)
    squares = add_bag_sample(recipes, cloth, people, days)
    work_on_bag(bag, cloth, people, days)
    add_hours(coat, capelet, bag, people, days)
    add_runs(coat, bag, people, days)
    learn_all()
    add_money(coat, people, days)
    tell_client(coat, people, days)
    return coat, capelet, bag, squares, cloth, people


def _name(workroom: Workroom) -> None:
    workroom.name, workroom.is_demo, workroom.time_zone = "Larkfield Workroom", True, "Europe/London"
    workroom.currency = "GBP"
    workroom.save()
