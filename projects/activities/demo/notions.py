"""What lies in the drawers, and what the projects need of it."""

from decimal import Decimal
from typing import Any

from projects.activities import stock
from projects.activities.notions import add_notion, set_need
from projects.calc.lengths import UNITS, ceil_div
from projects.models import Notion, Project
from projects.planning.making import plan_project

from .days import Days
from .measures import M, each
from .people import People

NOTIONS: dict[str, tuple[float, dict[str, Any]]] = {
    "buttons": (
        12,
        {
            "name": "Shell buttons",
            "kind": "button",
            "colour": "white",
            "family": "white",
            "size": "15 mm",
            "price": Decimal("0.95"),
            "place": "Drawer 3",
        },
    ),
    "linen thread": (
        1,
        {
            "name": "Fine cotton thread",
            "kind": "thread",
            "colour": "chalk white",
            "family": "white",
            "size": "500 m",
            "holds": 500 * M,
            "price": Decimal("4.20"),
            "unit": "spools",
            "place": "Drawer 1",
        },
    ),
    "silk thread": (
        2,
        {
            "name": "Silk thread",
            "kind": "thread",
            "colour": "bottle green",
            "family": "green",
            "size": "200 m",
            "holds": 200 * M,
            "price": Decimal("5.60"),
            "unit": "spools",
            "place": "Drawer 1",
        },
    ),
    "interfacing": (
        0.4,
        {
            "name": "Cotton interfacing",
            "kind": "interfacing",
            "colour": "white",
            "family": "white",
            "size": "90 cm wide",
            "price": Decimal("6.40"),
            "unit": "metres",
            "place": "Shelf 1",
        },
    ),
    "hooks": (
        6,
        {
            "name": "Cloak hooks and bars",
            "kind": "other",
            "colour": "black",
            "family": "black",
            "size": "25 mm",
            "price": Decimal("1.80"),
            "unit": "pairs",
            "place": "Drawer 4",
        },
    ),
    "cord": (
        20,
        {
            "name": "Cotton cord",
            "kind": "cord",
            "colour": "white",
            "family": "white",
            "size": "2 mm",
            "price": Decimal("0.60"),
            "unit": "metres",
            "place": "Drawer 2",
        },
    ),
    "waxed thread": (
        1,
        {
            "name": "Waxed linen thread",
            "kind": "thread",
            "colour": "plum",
            "family": "purple",
            "size": "50 m",
            "holds": 50 * M,
            "price": Decimal("3.90"),
            "unit": "spools",
            "place": "Drawer 1",
        },
    ),
}


def add_notions(people: People, days: Days) -> dict[str, Notion]:
    found = {}
    for key, (count, values) in NOTIONS.items():
        found[key] = add_notion(values=values, received=None, person=people.owner)
        stock.receive(row=found[key], amount=each(count), person=people.owner, at=days.at(18, 11))
    stock.count(
        row=found["hooks"], total=each(5), person=people.owner, at=days.at(9, 17), note="one pair is odd"
    )
    return found


def coat_needs(notions: dict[str, Notion], coat: Project, people: People, days: Days) -> None:
    set_need(notion=notions["buttons"], project=coat, amount=each(7), why="six down the front, one spare")
    set_need(
        notion=notions["linen thread"], project=coat, amount=each(2), why="some 230 m of tucks, and the seams"
    )
    set_need(
        notion=notions["interfacing"], project=coat, amount=each(0.6), why="yoke, collar and front edges"
    )
    stock.reserve(
        row=notions["buttons"], project=coat, amount=each(7), person=people.owner, at=days.at(13, 12)
    )


def capelet_needs(notions: dict[str, Notion], capelet: Project) -> None:
    set_need(notion=notions["hooks"], project=capelet, amount=each(1), why="at the neck")
    set_need(
        notion=notions["silk thread"], project=capelet, amount=each(1), why="basting by hand, and the hem"
    )


def gown_needs(notions: dict[str, Notion], gown: Project) -> None:
    metres = ceil_div(sum(cord.need for cord in plan_project(gown).cords), UNITS["m"])
    set_need(notion=notions["cord"], project=gown, amount=each(metres), why="one length in every tuck")
    set_need(notion=notions["linen thread"], project=gown, amount=each(1), why="tucks and seams")


def bag_needs(notions: dict[str, Notion], bag: Project) -> None:
    set_need(notion=notions["waxed thread"], project=bag, amount=each(1), why="drawing the squares up")
