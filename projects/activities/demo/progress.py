"""How far the work is: samples ticked, a lay kept, the coat's back cut and half sewn."""

from datetime import datetime
from decimal import Decimal

from projects.activities.lays import accept
from projects.activities.sharing import SHOWS, make_link
from projects.activities.steps import add_own, skip, tick
from projects.models import ClothLength, Fabric, Project
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

BAG_DONE = (
    (4, "Press Cotton velvet"),
    (4, "Cut Body 1"),
    (4, "Cut Body 2"),
    (3, "Mark Body 1"),
)


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
    _lay_out(coat, cloth.voile, cloth.lengths["V1"], people, days.at(12, 17))
    keys = keys_by_title(coat)
    for ago, words in BACK_DONE:
        tick(project=coat, key=key_of(keys, words), person=people.sewer, now=days.at(ago, 16))
    skip(
        project=coat,
        key=key_of(keys, "Wash a swatch of Cotton lawn"),
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


def work_on_bag(bag: Project, cloth: Cloth, people: People, days: Days) -> None:
    """What comes before the squares of its front are drawn up."""
    _lay_out(bag, cloth.velvet, cloth.lengths["P1"], people, days.at(5, 17))
    keys = keys_by_title(bag)
    for ago, words in BAG_DONE:
        tick(project=bag, key=key_of(keys, words), person=people.cutter, now=days.at(ago, 17))


def _lay_out(project: Project, fabric: Fabric, length: ClothLength, people: People, at: datetime) -> None:
    """All panels of a fabric on one length, which is long enough."""
    accept(project=project, fabric=fabric, cloth=length, seen=None, person=people.owner, at=at)


def keys_by_title(project: Project) -> dict[str, str]:
    """The keys of the project's steps by title."""
    return {step.title: step.key for step in plan_project(project).steps}


def key_of(keys: dict[str, str], words: str) -> str:
    """The key of the step whose title begins so."""
    return next(key for title, key in keys.items() if title.startswith(words))


def tick_bag_sample(bag: Project, people: People, days: Days) -> None:
    """Before the sample is written down: a step that was ticked stays in the plan."""
    for step in plan_project(bag).steps:
        if step.stage == "sample" and "sample of Lattice smocking" in step.title:
            tick(project=bag, key=step.key, person=people.sewer, now=days.at(4, 16))


def tell_client(coat: Project, people: People, days: Days) -> None:
    """What the choir may read, and for when it was promised. The link itself was handed over long ago."""
    coat.promised = days.ahead(5)
    coat.client_note = (
        "The back is half sewn. Stand it against a lamp at the fitting: where tucks cross, nine layers lie "
        "over one another, and the squares between stay light."
    )
    coat.save(update_fields=["promised", "client_note"])
    make_link(
        project=coat,
        name="The wardrobe keeper",
        expires_at=None,
        shows=dict.fromkeys(SHOWS, True),
        person=people.owner,
    )
