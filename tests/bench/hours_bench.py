"""How long one week of hours and one project's hours take with 200,000 logs, and how often they ask.

Run: python tests/bench/hours_bench.py. It works in a database of its own, which it removes.
"""

import sys
from datetime import date, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

# First of all, for it sets Django up.
from tests.bench.projects_bench import measure  # noqa: E402, I001

from django.db.models import Count, Sum  # noqa: E402
from django.test import Client as Browser  # noqa: E402
from django.test.runner import DiscoverRunner  # noqa: E402

from projects.models import LabourLog, LabourTotal, Person, Project  # noqa: E402
from tests import make  # noqa: E402

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
    few = {address: measure(page, address) for address in addresses}
    add_logs(MANY, people, projects)
    print(LabourLog.objects.aggregate(logs=Count("pk")), "logs, half of them on one project")
    good = True
    for address in addresses:
        (before, asked), (after, asks) = few[address], measure(page, address)
        fits = after < LIMIT_MS and asks == asked
        good = good and fits
        print(
            f"{address:45} {FEW}: {before:6.1f} ms, {asked} queries   {MANY}: {after:6.1f} ms, {asks} queries"
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
