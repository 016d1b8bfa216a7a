"""What the edges of a panel are called: on a RIGHT, tucks across are counted from the right."""

from projects.calc.panels import SidePlan


def edges_of(side: SidePlan) -> tuple[str, str]:
    """The edge a direction is counted from and the far one: ("left edge", "right edge")."""
    return f"{side.near.name} edge", f"{side.far.name} edge"


CORNERS = {
    "across": "top left corner along the top edge and on down the right one",
    "along": "bottom left corner up the left edge and on along the top one",
}
"""From where, and along what, slanting lines are counted: those marked along the top edge, and the others."""
