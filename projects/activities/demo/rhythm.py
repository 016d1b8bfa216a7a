"""When people usually work, days off, and what the studio adds to steps of its own accord."""

from datetime import timedelta
from decimal import Decimal

from projects.activities.calendar import add_day_off, set_week
from projects.activities.own_steps import add_stage, add_template
from projects.activities.pins import set_pin

from .days import Days
from .people import People

HOUR = 60
WEEKS = {
    "owner": (3, 3, 2, 3, 2),
    "sewer": (6, 6, 6, 6, 4),
    "cutter": (0, 5, 5, 5, 0),
}
"""Hours from Monday to Friday."""
PINS = {"sewer": "2749", "cutter": "8361"}
"""Said where one signs in to the demo. The makers have no password: a PIN opens nothing but the bench."""


def add_rhythm(people: People, days: Days) -> None:
    for who, hours in WEEKS.items():
        minutes = {weekday: HOUR * count for weekday, count in enumerate(hours)}
        set_week(person=getattr(people, who), minutes=minutes)
    for who, pin in PINS.items():
        set_pin(getattr(people, who), pin=pin)
    away = days.ahead(2)
    add_day_off(person=people.sewer, first=away - timedelta(days=1), last=away, note="at her sister's")
    add_day_off(person=None, first=days.ahead(4), last=days.ahead(4), note="the hall's floor is laid")


def add_own_steps() -> None:
    """A stage of the studio's own, and steps by kind of work."""
    hanging = add_stage(title="Hanging", after="make_up")
    add_template(values={
        "kind": "furnishing", "stage": hanging.key, "title": "Hang it overnight before the hem is marked",
        "detail": "Texture drops by its own weight. Measure again in the morning.",
        "minutes": Decimal(20), "per_panel": True,
    })  # fmt: skip
    add_template(values={
        "kind": "sample", "stage": "finish", "title": "Pin the sample to its card", "detail": "",
        "minutes": Decimal(5),
    })  # fmt: skip
