"""A velvet evening bag in lattice smocking: the studio's own work, to have one to show."""

from typing import Any

from projects.activities.pieces import create_piece
from projects.activities.projects import create_project
from projects.models import Edge, Project

from .cloth import Cloth
from .days import Days
from .measures import CM, MM
from .people import People
from .recipes import Recipes

BRIEF = """A small bag that holds its shape: velvet drawn up in squares, lined with lawn.
Our own, for the table at the spring fair, so the price must be found before it is sewn a second time.
The nap runs down on both sides."""


def add_bag(recipes: Recipes, cloth: Cloth, people: People, days: Days) -> Project:
    bag = create_project(
        values={
            "title": "Velvet evening bag",
            "kind": "accessory",
            "client": None,
            "state": "in_hand",
            "due": days.ahead(3),
            "brief": BRIEF,
            "washing": "never",
        },
        person=people.owner,
    )
    for values, edges in _pieces(recipes, cloth):
        piece = create_piece(project=bag, values=values)
        for number, edge in enumerate(edges):
            Edge.objects.create(piece=piece, order=number, **edge)
    return bag


def _pieces(recipes: Recipes, cloth: Cloth) -> list[tuple[dict[str, Any], list[dict[str, Any]]]]:
    seams = {"allowance_sides": CM, "allowance_top": CM, "allowance_bottom": CM}
    top = {"name": "Top edge", "length": 26 * CM, "finish": "band", "width": 12 * MM, "on_the_bias": False}
    body = {"name": "Body", "across": 26 * CM, "along": 20 * CM, "count": 2}
    lining = {"name": "Lining", "across": 26 * CM, "along": 20 * CM, "count": 2, "may_turn": True}
    return [
        ({**body, "fabric": cloth.velvet, "version": recipes.lattice, **seams}, [top]),
        ({**lining, "fabric": cloth.lawn, **seams}, []),
    ]
