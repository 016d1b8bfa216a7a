"""The concert coat for the Quayside Choir: what was asked for, and its pieces."""

from typing import Any

from projects.activities.pieces import create_piece
from projects.activities.projects import create_project
from projects.models import Client, Project

from .cloth import Cloth
from .days import Days
from .measures import CM, MM
from .people import People
from .recipes import Recipes

BRIEF = """A short, open coat for the spring concert, to be seen against the lamps at the back of the stage.
Tucks both ways in front and back, so that a grid shows when the light comes through.
Sleeves tucked across only.
Chest 104 cm, worn loose. First fitting three weeks before the concert."""


def add_coat(client: Client, recipes: Recipes, cloth: Cloth, people: People, days: Days) -> Project:
    coat = create_project(
        values={
            "title": "Concert coat",
            "kind": "garment",
            "client": client,
            "state": "in_hand",
            "due": days.ahead(5),
            "brief": BRIEF,
            "washing": "before",
        },
        person=people.owner,
    )
    for values in _pieces(recipes, cloth):
        create_piece(project=coat, values=values)
    return coat


def _pieces(recipes: Recipes, cloth: Cloth) -> list[dict[str, Any]]:
    both = {"fabric": cloth.voile, "version": recipes.tucks_both, "allowance_bottom": 3 * CM}
    plain = {"fabric": cloth.lawn, "count": 2, "may_turn": True, "allowance_bottom": 15 * MM}
    return [
        {"name": "Back", "across": 54 * CM, "along": 62 * CM, "drawn_half": True, **both},
        {"name": "Front", "across": 27 * CM, "along": 62 * CM, "count": 2, "mirrored": True, **both},
        {
            "name": "Sleeve",
            "across": 40 * CM,
            "along": 48 * CM,
            "count": 2,
            "mirrored": True,
            **both,
            "version": recipes.tucks_across,
            "notes": "Tucked across only, so that the arm can bend.",
        },
        {"name": "Yoke", "across": 46 * CM, "along": 16 * CM, **plain},
        {"name": "Collar", "across": 48 * CM, "along": 9 * CM, **plain},
    ]
