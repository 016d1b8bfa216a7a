"""The capelet for a stage play: waiting until its box pleats have been tried."""

from typing import Any

from projects.activities.pieces import create_piece
from projects.activities.projects import create_project
from projects.models import Client, Project

from .cloth import Cloth
from .days import Days
from .measures import CM
from .people import People
from .recipes import Recipes

BRIEF = """A capelet for the lamplighter, to the elbow, that swings when she turns.
Knife pleats fall from the yoke, the frill at the neck is box pleated. Closed with one cloak hook.
Waiting for the players to say which green."""


def add_capelet(client: Client, recipes: Recipes, cloth: Cloth, people: People, days: Days) -> Project:
    capelet = create_project(
        values={
            "title": "Lamplighter's capelet",
            "kind": "garment",
            "client": client,
            "state": "waiting",
            "due": days.ahead(9),
            "brief": BRIEF,
            "washing": "before",
        },
        person=people.owner,
    )
    for values in _pieces(recipes, cloth):
        create_piece(project=capelet, values=values)
    return capelet


def _pieces(recipes: Recipes, cloth: Cloth) -> list[dict[str, Any]]:
    return [
        {
            "name": "Body",
            "across": 100 * CM,
            "along": 36 * CM,
            "allowance_bottom": 4 * CM,
            "fabric": cloth.challis,
            "version": recipes.knife,
        },
        {
            "name": "Yoke",
            "across": 54 * CM,
            "along": 18 * CM,
            "count": 2,
            "drawn_half": True,
            "fabric": cloth.challis,
        },
        {
            "name": "Frill",
            "across": 44 * CM,
            "along": 7 * CM,
            "allowance_bottom": 2 * CM,
            "fabric": cloth.challis,
            "version": recipes.box,
        },
    ]
