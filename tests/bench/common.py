"""What every benchmark shares: Django set up on the tests' settings, a database of its own, figures."""

import os
import statistics
import time
from collections.abc import Callable

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django

django.setup()

from django.db import connection  # noqa: E402
from django.test import Client  # noqa: E402
from django.test.runner import DiscoverRunner  # noqa: E402
from django.test.utils import CaptureQueriesContext  # noqa: E402

RUNS = 15


def in_own_database(run: Callable[[], bool]) -> int:
    """Run a benchmark in a database made for it and removed afterwards; the exit code of the script."""
    runner = DiscoverRunner(verbosity=0, interactive=False)
    runner.setup_test_environment()
    databases = runner.setup_databases()
    try:
        return 0 if run() else 1
    finally:
        runner.teardown_databases(databases)
        runner.teardown_test_environment()


def measure(page: Client, address: str) -> tuple[float, int]:
    """Median milliseconds of computing an answer, and its queries. The database is in this process.

    Computing and not waiting: what else the machine does is not what is asked.
    """
    page.get(address)
    with CaptureQueriesContext(connection) as seen:
        assert page.get(address).status_code == 200
    asked = len(seen)  # counted now: the next request empties the log they are counted in
    times = []
    for _ in range(RUNS):
        start = time.process_time()
        page.get(address)
        times.append((time.process_time() - start) * 1000)
    return statistics.median(times), asked


def compare(
    page: Client,
    addresses: tuple[str, ...],
    sizes: tuple[int, int],
    grow: Callable[[], None],
    limit_ms: float,
) -> bool:
    """Each address with few rows and, once ``grow`` has run, with many: below the limit, the same queries?"""
    few = {address: measure(page, address) for address in addresses}
    grow()
    print(f"limit {limit_ms:.0f} ms, and the same queries for {sizes[0]:,} rows as for {sizes[1]:,}")
    good = True
    for address in addresses:
        (before, asked), (after, asks) = few[address], measure(page, address)
        kept = after < limit_ms and asks == asked
        good = good and kept
        figures = f"{before:6.1f} ms, {asked} queries; {after:6.1f} ms, {asks} queries"
        print(f"{address:52} {figures}: {'kept' if kept else 'BROKEN'}")
    return good
