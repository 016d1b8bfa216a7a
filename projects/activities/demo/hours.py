"""Who worked on what in the last three weeks. Nothing is being timed now."""

from projects.activities.first_budgets import settle
from projects.activities.logs import log_by_hand
from projects.activities.steps import row_for
from projects.models import Person, Project

from .days import Days
from .people import People
from .progress import key_of, keys_by_title

SEWER, CUTTER, OWNER = "sewer", "cutter", "owner"
COAT = (
    (16, SEWER, "sample", 95, "tucks across only"),
    (14, SEWER, "sample", 160, "both ways, first try"),
    (13, SEWER, "sample", 135, "both ways, with a damp cloth between"),
    (12, CUTTER, "prepare", 55, "V1 washed at 40 °C and pressed damp", "Wash and press Linen voile"),
    (11, CUTTER, "cut", 35, "back", "Cut Back"),
    (10, CUTTER, "mark", 70, "back, across", "Mark Back across"),
    (9, SEWER, "texture", 150, "back, across, tucks 1 to 24", "Sew Back across"),
    (8, SEWER, "texture", 125, "back, across, the rest", "Sew Back across"),
    (7, SEWER, "press", 80, "back, across", "Press Back across"),
    (5, CUTTER, "mark", 65, "back, along; slower through three layers", "Mark Back along"),
    (4, SEWER, "texture", 75, "back, along, tucks 1 to 15", "Sew Back along"),
    (1, OWNER, "texture", 60, "back, along, to tuck 28", "Sew Back along"),
)
CAPELET = (
    (6, CUTTER, "sample", 70, "knife pleats"),
    (2, OWNER, "", 25, "greens to show the players"),
)
BAG = (
    (4, SEWER, "sample", 110, "nine squares by six"),
    (3, CUTTER, "mark", 40, "dots on the back of the velvet"),
)
NO_PROJECT = (
    (9, OWNER, "", 45, "counted the shelves"),
    (2, CUTTER, "", 30, "oiled and cleaned the machines"),
)


def add_hours(coat: Project, capelet: Project, bag: Project, people: People, days: Days) -> None:
    keys = keys_by_title(coat)
    for project, lines in ((coat, COAT), (capelet, CAPELET), (bag, BAG), (None, NO_PROJECT)):
        for ago, who, stage, minutes, note, *step in lines:
            person: Person = getattr(people, who)
            log_by_hand(
                person=person,
                entered_by=person,
                project=project,
                stage=stage,
                on=days.ago(ago),
                minutes=minutes,
                note=note,
                step=row_for(project=coat, key=key_of(keys, *step)) if step else None,
            )
        if project:
            began = days.ago(max(line[0] for line in lines))
            Project.objects.filter(pk=project.pk, state="in_hand").update(in_hand_from=began)
            settle(project.pk, today=began)
