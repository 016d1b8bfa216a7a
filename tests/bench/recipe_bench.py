"""How long a recipe takes to be recalculated while somebody types, beside a bare view that reads two rows.

Run: python tests/bench/recipe_bench.py. It works in a database of its own, which it removes. Both go through
the same middleware, sign-in and session; limits: 10 x the bare view in the same run, and 60 ms. Both are
processor time, so that what else the machine does counts for nothing; time on the clock is printed beside it.
"""

import os
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django  # noqa: E402

django.setup()

from django.http import HttpRequest, HttpResponse  # noqa: E402
from django.test import Client, override_settings  # noqa: E402
from django.test.runner import DiscoverRunner  # noqa: E402
from django.urls import include, path  # noqa: E402

from projects.models import Fabric, Person, Recipe  # noqa: E402
from tests import make  # noqa: E402
from tests.recipes.posts import fields  # noqa: E402

LIMIT_TIMES, LIMIT_MS, RUNS = 10.0, 60.0, 60


def bare(request: HttpRequest) -> HttpResponse:
    """Reads two rows and says their names."""
    return HttpResponse(f"{Recipe.objects.get(pk=1).name}, {Fabric.objects.get(pk=1).name}")


urlpatterns = [path("bare/", bare), path("", include("projects.urls"))]


Figures = tuple[float, float]
"""Median milliseconds of processor time, and on the clock."""


def medians(*works: Callable[[], HttpResponse]) -> list[Figures]:
    """Of each work, taken in turns so that a busy machine slows them alike."""
    spent: list[list[Figures]] = [[] for _ in works]
    for work in works:
        assert work().status_code == 200
    for _ in range(RUNS):
        for found, work in zip(spent, works, strict=True):
            processor, clock = time.process_time(), time.perf_counter()
            work()
            found.append(((time.process_time() - processor) * 1000, (time.perf_counter() - clock) * 1000))
    return [
        (statistics.median(p for p, _ in found), statistics.median(c for _, c in found)) for found in spent
    ]


@override_settings(ROOT_URLCONF="tests.bench.recipe_bench")
def run() -> bool:
    make.workroom()
    page = Client()
    page.force_login(make.person("wren", role=Person.OWNER))
    side = make.tucks(*make.GRADUATED)
    recipe = make.recipe(of=make.content(side, side))
    fabric = make.fabric(thickness=155_000, light="0.78")
    for _ in range(6):
        make.sample(recipe.versions.get(), fabric)
    posted = fields(page.get(f"/recipes/{recipe.pk}/"))
    live = {"HTTP_HX_REQUEST": "true"}
    owned = posted | {"mode": "cloth", "flat.across": "140", "flat.along": "210"}
    owned |= {"find.along": "spacing", "size.along": "90"}
    plain, typed, backwards = medians(
        lambda: page.get("/bare/"),
        lambda: page.post("/recipes/work-out/", posted, **live),
        lambda: page.post("/recipes/work-out/", owned, **live),
    )
    print(f"bare view of two rows   {plain[0]:7.2f} ms, {plain[1]:7.2f} ms on the clock")
    within = [said("recalculating a recipe", typed, plain), said("from the cloth owned", backwards, plain)]
    return all(within)


def said(what: str, spent: Figures, plain: Figures) -> bool:
    """Print what a work took beside its limits; whether it kept them."""
    times = [mine / bare for mine, bare in zip(spent, plain, strict=True)]
    print(f"{what:<22}  {spent[0]:7.2f} ms, {spent[1]:7.2f} ms on the clock (limit {LIMIT_MS:.0f} ms)")
    ratios = f"{times[0]:7.2f} x,  {times[1]:7.2f} x  on the clock"
    print(f"{'which is':<22}  {ratios} (limit {LIMIT_TIMES:.0f} x)")
    return times[0] <= LIMIT_TIMES and spent[0] <= LIMIT_MS


def main() -> int:
    runner = DiscoverRunner(verbosity=0, interactive=False)
    databases = runner.setup_databases()
    try:
        good = run()
    finally:
        runner.teardown_databases(databases)
    print("within its limits" if good else "OVER A LIMIT")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
