"""How long one week of hours and one project's hours take with 200,000 logs, and how often they ask.

Run: python -m tests.bench.hours_bench. It works in a database of its own, which it removes.
"""

from datetime import date, timedelta

# First of all, for it sets Django up.
from tests.bench.common import compare, in_own_database  # isort: skip

from django.db.models import Sum
from django.test import Client as Browser

from projects.models import LabourLog, LabourTotal, Person, Project
from tests import make

LIMIT_MS = 150.0
FEW, MANY, BATCH = 10, 200_000, 20_000
STAGES = ("cut", "mark", "texture", "press", "make_up")
TODAY = date(2026, 11, 25)


def add_logs(number: int, people: list[Person], projects: list[Project]) -> None:
    """``number`` logs over ten years; half of them on the first project; the stored sums beside them."""
    for start in range(0, number, BATCH):
        LabourLog.objects.bulk_create(
            LabourLog(
                person=people[n % len(people)],
                entered_by=people[n % len(people)],
                project=projects[0] if n % 2 else projects[n % len(projects)],
                stage=STAGES[n % len(STAGES)],
                date=TODAY - timedelta(days=n % 3650),
                minutes=5 + n % 200,
            )
            for n in range(start, min(number, start + BATCH))
        )
    LabourTotal.objects.all().delete()
    sums = LabourLog.objects.order_by().values("project", "person", "stage").annotate(m=Sum("minutes"))
    LabourTotal.objects.bulk_create(
        LabourTotal(project_id=s["project"], person_id=s["person"], stage=s["stage"], minutes=s["m"])
        for s in sums
    )


def run() -> bool:
    make.workroom()
    people = [make.person("wren", role=Person.OWNER), *(make.person(f"maker{n}") for n in range(9))]
    projects = [make.project(f"Concert coat {n}") for n in range(50)]
    page = Browser()
    page.force_login(people[0])
    addresses = (
        f"/hours/?week={TODAY}&person=all",
        f"/hours/?week={TODAY}",
        f"/projects/{projects[0].pk}/hours/",
        f"/projects/{projects[0].pk}/hours/?before=2020-01-01.150000",
    )
    add_logs(FEW, people, projects)
    print("half of all logs are on one project")
    return compare(page, addresses, (FEW, MANY), lambda: add_logs(MANY, people, projects), LIMIT_MS)


if __name__ == "__main__":
    raise SystemExit(in_own_database(run))
