"""A christening gown's yoke with corded tucks: asked about, planned, nothing begun. Made for a child."""

from typing import Any

from projects.activities.pieces import create_piece
from projects.activities.projects import create_project
from projects.models import Client, Edge, Project

from .cloth import Cloth
from .days import Days
from .measures import CM, MM
from .people import People
from .recipes import Recipes

BRIEF = """The yoke and sleeves of a christening gown; the skirt is the grandmother's, to be taken in.
Corded tucks across the front and both backs, soft cotton cord inside, nothing that hangs loose.
Neck bound with the lawn itself. Three small buttons at the back: to be talked over, it is for a child of
seven months."""


def add_gown(client: Client, recipes: Recipes, cloth: Cloth, people: People, days: Days) -> Project:
    gown = create_project(
        values={
            "title": "Christening gown yoke",
            "kind": "garment",
            "client": client,
            "state": "asked",
            "due": days.ahead(13),
            "brief": BRIEF,
            "washing": "before",
            "childrens_wear": True,
        },
        person=people.owner,
    )
    for values, edges in _pieces(recipes, cloth):
        piece = create_piece(project=gown, values=values)
        for number, edge in enumerate(edges):
            Edge.objects.create(piece=piece, order=number, **edge)
    return gown


def _pieces(recipes: Recipes, cloth: Cloth) -> list[tuple[dict[str, Any], list[dict[str, Any]]]]:
    corded = {"fabric": cloth.lawn, "version": recipes.corded, "allowance_sides": CM, "allowance_top": CM}
    neck = {"finish": "bound", "width": 6 * MM, "allowance": 6 * MM}
    return [
        (
            {"name": "Front yoke", "across": 22 * CM, "along": 11 * CM, "allowance_bottom": CM, **corded},
            [{"name": "Neck, front", "length": 15 * CM, **neck}],
        ),
        (
            {
                "name": "Back yoke",
                "across": 125 * MM,
                "along": 11 * CM,
                "count": 2,
                "mirrored": True,
                "allowance_bottom": CM,
                **corded,
            },
            [{"name": "Neck, back", "length": 75 * MM, **neck}],
        ),
        (
            {
                "name": "Sleeve",
                "across": 20 * CM,
                "along": 13 * CM,
                "count": 2,
                "mirrored": True,
                "allowance_sides": CM,
                "allowance_top": CM,
                "allowance_bottom": 15 * MM,
                "fabric": cloth.lawn,
            },
            [{"name": "Wrist", "length": 18 * CM, "finish": "hemmed", "width": 15 * MM, "by_hand": True}],
        ),
    ]
