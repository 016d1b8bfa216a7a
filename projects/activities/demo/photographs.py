"""Photographs of the demo: drawn by ``pictures`` from the plans, kept like any other."""

from PIL import Image

from projects.activities.photos import add_drawn
from projects.calc.panels import PanelPlan
from projects.models import Project, Sample
from projects.planning import plan_project

from . import pictures
from .cloth import Cloth
from .measures import MM
from .people import People


def add_photographs(
    coat: Project, capelet: Project, bag: Project, squares: Sample, cloth: Cloth, people: People
) -> None:
    """Some the client may see, one that is printed on the job sheet, one of a sample and of each cloth."""
    back, sleeve = _panel(coat, "Back"), _panel(coat, "Sleeve")
    _of_coat(coat, back, sleeve, people)
    body = pictures.on_the_table(_panel(capelet, "Body"), pictures.CHALLIS, 320 * MM)
    add_drawn(body, person=people.cutter, caption="Knife pleats, basted twice", project=capelet)
    drawn_up = pictures.drawn_up_squares(pictures.VELVET)
    add_drawn(drawn_up, person=people.sewer, caption="Nine squares by six, drawn up", sample=squares)
    add_drawn(
        drawn_up, person=people.sewer, caption="The squares, seen from the face", project=bag, for_client=True
    )
    for fabric, look in (
        (cloth.voile, pictures.VOILE),
        (cloth.challis, pictures.CHALLIS),
        (cloth.lawn, pictures.LAWN),
        (cloth.velvet, pictures.VELVET),
    ):
        add_drawn(_folded(look), person=people.owner, caption=f"{fabric.name} on its shelf", fabric=fabric)


def _of_coat(coat: Project, back: PanelPlan, sleeve: PanelPlan, people: People) -> None:
    add_drawn(
        pictures.against_the_light(back, pictures.VOILE, 240 * MM),
        person=people.sewer,
        caption="The grid before the lamp",
        project=coat,
        for_client=True,
        on_sheet=True,
    )
    add_drawn(
        pictures.on_the_table(sleeve, pictures.VOILE, 220 * MM),
        person=people.sewer,
        caption="Back, tucks across sewn and pressed",
        project=coat,
        for_client=True,
    )


def _folded(look: pictures.Look) -> Image.Image:
    return pictures.folded_lengths([look.colour] * 3)


def _panel(project: Project, name: str) -> PanelPlan:
    """The first panel of a piece, as planned."""
    pieces = plan_project(project).pieces
    return next(piece for piece in pieces if piece.name == name).panels[0].plan
