"""Who worked on what in the last three weeks. Nothing is being timed now."""

from projects.activities.logs import log_by_hand
from projects.models import Person, Project

from .days import Days
from .people import People

SEWER, CUTTER, OWNER = "sewer", "cutter", "owner"
COAT = (
    (16, SEWER, "sample", 95, "tucks across only"),
    (14, SEWER, "sample", 160, "both ways, first try"),
    (13, SEWER, "sample", 135, "both ways, with a damp cloth between"),
    (12, CUTTER, "prepare", 55, "V1 washed at 40 °C and pressed damp"),
    (11, CUTTER, "cut", 35, "back"),
    (10, CUTTER, "mark", 70, "back, across"),
    (9, SEWER, "texture", 150, "back, across, tucks 1 to 24"),
    (8, SEWER, "texture", 125, "back, across, the rest"),
    (7, SEWER, "press", 80, "back, across"),
    (5, CUTTER, "mark", 65, "back, along; slower through three layers"),
    (4, SEWER, "texture", 75, "back, along, tucks 1 to 15"),
    (1, OWNER, "texture", 60, "back, along, to tuck 28"),
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
    for project, lines in ((coat, COAT), (capelet, CAPELET), (bag, BAG), (None, NO_PROJECT)):
        for ago, who, stage, minutes, note in lines:
            person: Person = getattr(people, who)
            log_by_hand(
                person=person,
                entered_by=person,
                project=project,
                stage=stage,
                on=days.ago(ago),
                minutes=minutes,
                note=note,
            )
