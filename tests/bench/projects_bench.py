"""How long the list of 5,000 projects takes, and that it asks as often as with 10.

Run: python tests/bench/projects_bench.py. It works in a database of its own, which it removes.
"""

import os
import statistics
import sys
import time
from datetime import date, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django  # noqa: E402

django.setup()

from django.db import connection  # noqa: E402
from django.test import Client as Browser  # noqa: E402
from django.test.runner import DiscoverRunner  # noqa: E402
from django.test.utils import CaptureQueriesContext  # noqa: E402

from projects.models import Client, LabourTotal, Person, Project  # noqa: E402
from tests import make  # noqa: E402

LIMIT_MS = 150.0
FEW, MANY, RUNS = 10, 5_000, 15
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


def measure(page: Browser, address: str) -> tuple[float, int]:
    """Median milliseconds of computing an answer, and its queries. The database is in this process.

    Computing and not waiting: what else the machine does is not what is asked.
    """
    page.get(address)
    with CaptureQueriesContext(connection) as seen:
        assert page.get(address).status_code == 200
    asked = len(seen)
    times = []
    for _ in range(RUNS):
        start = time.process_time()
        page.get(address)
        times.append((time.process_time() - start) * 1000)
    return statistics.median(times), asked


def run() -> bool:
    make.workroom()
    people = [make.person("wren", role=Person.OWNER), make.person("moss")]
    page = Browser()
    page.force_login(people[0])
    add_projects(FEW, people)
    few = {address: measure(page, address) for address in ADDRESSES}
    add_projects(MANY - FEW, people)
    good = True
    for address in ADDRESSES:
        (before, asked), (after, asks) = few[address], measure(page, address)
        fits = after < LIMIT_MS and asks == asked
        good = good and fits
        print(
            f"{address:50} {FEW}: {before:6.1f} ms, {asked} queries   {MANY}: {after:6.1f} ms, {asks} queries"
            f"   limit {LIMIT_MS:.0f} ms, same queries: {'kept' if fits else 'BROKEN'}"
        )
    return good


def main() -> int:
    runner = DiscoverRunner(verbosity=0, interactive=False)
    runner.setup_test_environment()
    databases = runner.setup_databases()
    try:
        return 0 if run() else 1
    finally:
        runner.teardown_databases(databases)
        runner.teardown_test_environment()


if __name__ == "__main__":
    raise SystemExit(main())
