"""How far the work is: samples ticked, a lay kept, the coat's back cut and half sewn."""

from decimal import Decimal

from projects.activities import stock
from projects.activities.lays import keep_lay
from projects.activities.steps import add_own, skip, tick
from projects.models import Project
from projects.planning import plan_project

from .cloth import Cloth
from .days import Days
from .people import People

BACK_DONE = (
    (12, "Wash and press Linen voile"),
    (12, "Wash and press Cotton lawn"),
    (11, "Cut Back"),
    (10, "Mark Back across"),
    (8, "Sew Back across"),
    (7, "Press Back across"),
    (5, "Mark Back along"),
)
"""Working days ago, and how the step that was ticked then begins."""


def tick_samples(coat: Project, capelet: Project, people: People, days: Days) -> None:
    """Before the samples are written down: a step that was ticked stays in the plan."""
    for ago, project, words in (
        (13, coat, "on Linen voile"),
        (6, capelet, "Knife pleats, 25 mm on Wool challis"),
    ):
        for step in plan_project(project).steps:
            if step.stage == "sample" and step.title.endswith(words) and "sample of" in step.title:
                tick(project=project, key=step.key, person=people.sewer, now=days.at(ago, 16))


def work_on_coat(coat: Project, cloth: Cloth, people: People, days: Days) -> None:
    _lay_out(coat, cloth, people, days)
    keys = _keys(coat)
    for ago, words in BACK_DONE:
        tick(project=coat, key=_key(keys, words), person=people.sewer, now=days.at(ago, 16))
    _take(coat, cloth, people, days)
    skip(
        project=coat,
        key=_key(keys, "Wash a swatch of Cotton lawn"),
        person=people.owner,
        now=days.at(12, 9),
        reason="The lawn only faces the yoke and collar; it is washed whole with the voile.",
    )
    add_own(
        project=coat,
        stage="make_up",
        title="First fitting with the wardrobe keeper",
        minutes=Decimal(60),
        detail="Shoulders and side seams basted. Take the lamp: look at the grid against the light.",
    )


def _lay_out(coat: Project, cloth: Cloth, people: People, days: Days) -> None:
    """All panels of voile on V1, which is washed and long enough."""
    line = next(fabric for fabric in plan_project(coat).fabrics if fabric.fabric_id == cloth.voile.pk)
    takes = line.lay.length if line.lay else 0
    stock.reserve(
        row=cloth.lengths["V1"],
        project=coat,
        amount=takes,
        person=people.owner,
        at=days.at(12, 17),
        note="for the lay",
    )
    keep_lay(
        project=coat,
        fabric=cloth.voile,
        cloth=cloth.lengths["V1"],
        reserve=True,
        seen=takes,
        person=people.owner,
    )


def _take(coat: Project, cloth: Cloth, people: People, days: Days) -> None:
    """What the back took from V1, off the shelf and off what is reserved."""
    back = next(line for piece in plan_project(coat).pieces for line in piece.panels if line.cut)
    stock.cut(
        row=cloth.lengths["V1"],
        project=coat,
        amount=back.plan.cut_length,
        person=people.cutter,
        at=days.at(11, 15),
        note=back.name,
    )


def _keys(project: Project) -> dict[str, str]:
    """The keys of the project's steps by title."""
    return {step.title: step.key for step in plan_project(project).steps}


def _key(keys: dict[str, str], words: str) -> str:
    """The key of the step whose title begins so."""
    return next(key for title, key in keys.items() if title.startswith(words))
