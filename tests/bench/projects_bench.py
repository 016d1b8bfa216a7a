"""How long the list of 5,000 projects takes, and that it asks as often as with 10.

Run: python -m tests.bench.projects_bench. It works in a database of its own, which it removes.
"""

from datetime import date, timedelta

# First of all, for it sets Django up.
from tests.bench.common import compare, in_own_database  # isort: skip

from django.test import Client as Browser

from projects.models import Client, LabourTotal, Person, Project
from tests import make

LIMIT_MS = 150.0
FEW, MANY = 10, 5_000
ADDRESSES = (
    "/projects/",
    "/projects/?state=all",
    "/projects/?state=all&page=90",
    "/projects/?state=all&words=coat",
    "/projects/?state=all&words=nothing+of+the+kind",
    "/",
)


def add_projects(number: int, people: list[Person]) -> None:
    """``number`` projects of many clients in all states, each with hours of two people in three stages."""
    first = Project.objects.count() + 1
    clients = Client.objects.bulk_create(Client(name=f"Client {n}") for n in range(max(1, number // 10)))
    states = [state for state, _ in Project.STATES]
    projects = Project.objects.bulk_create(
        Project(
            number=n,
            title=f"Concert coat {n}",
            client=clients[n % len(clients)],
            state=states[n % len(states)],
            due=date.today() + timedelta(days=n % 400),
            brief="Tucked both ways. " * 20,
        )
        for n in range(first, first + number)
    )
    LabourTotal.objects.bulk_create(
        LabourTotal(project=project, person=person, stage=stage, minutes=60)
        for project in projects
        for person in people
        for stage in ("cut", "mark", "texture")
    )


def run() -> bool:
    make.workroom()
    people = [make.person("wren", role=Person.OWNER), make.person("moss")]
    page = Browser()
    page.force_login(people[0])
    add_projects(FEW, people)
    return compare(page, ADDRESSES, (FEW, MANY), lambda: add_projects(MANY - FEW, people), LIMIT_MS)


if __name__ == "__main__":
    raise SystemExit(in_own_database(run))
