"""A project of tucked hangings and the two lengths it is cut from: they hold it, once a search has worked."""

from projects.activities.panels import sync_panels
from projects.models import Fabric, Person, Project
from tests import make

MM = make.MM
PROJECT, FABRIC, RECIPE, COUNT = "Stage hangings", "Silk organza", "Fine tucks", 12
SHELF = {"Bolt 3": 1_300 * MM, "Bolt 4": 1_800 * MM}


def hangings(person: Person) -> tuple[Project, Fabric]:
    """Twelve pieces of odd sizes by one recipe, tucked across."""
    project, fabric = make.project(PROJECT), make.fabric(FABRIC)
    version = make.recipe(RECIPE, of=make.content(make.tucks((22, 4))), by=person).versions.get()
    for i in range(COUNT):
        across, along = 130 * MM + 47_310_007 * i % (170 * MM), 311 * MM + 73_130_011 * i % (420 * MM)
        size = {"across": across, "along": along}
        sync_panels(make.piece(project, name=f"Hanging {i + 1}", fabric=fabric, version=version, **size))
    for label, received in SHELF.items():
        make.length(fabric, label=label, dye_lot="A", received=received)
    return project, fabric
