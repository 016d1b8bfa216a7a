"""How long a tap at the bench takes: a project of 20 panels with 200 tucks each way, beside a bare view.

Run: python -m tests.bench.bench_bench (add "cut" for panels that are cut). It works in a database of its
own, which it removes. All go through the same middleware, sign-in and session, in turns; limits: 50 ms of
processor time, and 8 x a bare view of two rows in the same run, in processor time and on the clock. Medians
of 200 taps; what others hear, and the first answer after a change of the plan, are told beside them.
"""

import json
import statistics
import sys
import time
import uuid
from collections.abc import Callable

# First of all, for it sets Django up.
from tests.bench.common import in_own_database  # isort: skip

from django.http import HttpRequest, HttpResponse
from django.test import Client, override_settings
from django.urls import include, path
from django.utils import timezone

from projects.models import Panel, Person, Piece, Project, Recipe
from projects.planning import plan_project
from projects.planning.snapshot import CALC_VERSION, keep
from tests import make

TAPS, TUCKS, PANELS = 200, 200, 20
LIMIT_MS, LIMIT_TIMES = 50.0, 8.0
Figures = tuple[float, float]


def bare(request: HttpRequest) -> HttpResponse:
    """Reads two rows and says their names."""
    return HttpResponse(f"{Recipe.objects.get(pk=1).name}, {Project.objects.get(pk=1).title}")


urlpatterns = [path("bare/", bare), path("", include("projects.urls"))]


@override_settings(ROOT_URLCONF="tests.bench.bench_bench")
def run() -> bool:
    make.workroom()
    person = make.person("wren", role=Person.OWNER)
    page = Client()
    page.force_login(person)
    piece = studio(person)
    if "cut" in sys.argv:
        cut(piece)
    post = f"/projects/{piece.project_id}/bench/{piece.pk}.1:sew:across:1/facts/"
    order = page.get(post.removesuffix("facts/")).context["data"]["order"]
    seq = iter(order)
    last = [0]

    def tap() -> HttpResponse:
        fact = {"op": str(uuid.uuid4()), "kind": "sewn", "unit": next(seq), "at": timezone.now().isoformat()}
        body = json.dumps({"facts": [fact], "after": last[0]})
        answer = page.post(post, body, content_type="application/json")
        told = answer.json()
        assert not told["refused"] and len(told["facts"]) == 1, told["refused"]
        last[0] = told["seq"]
        return answer

    works = (lambda: page.get("/bare/"), tap, lambda: page.get(f"{post}?after={last[0]}"))
    plain, tapped, asked = medians(len(order), *works)
    state = "cut" if "cut" in sys.argv else "planned"
    print(f"{len(order)} taps on {PANELS} panels of {TUCKS} tucks each way, {state}")
    print(f"bare view of two rows  {plain[0]:7.2f} ms, {plain[1]:7.2f} ms on the clock")
    good = all([said("a tap", tapped, plain), said("what others tapped", asked, plain)])
    Piece.objects.filter(pk=piece.pk).update(revision=99)
    print(f"after a change of the plan {timed(lambda: page.get(post))[1]:7.2f} ms on the clock")
    return good


def studio(person: Person) -> Piece:
    """One project with a piece made 20 times, tucked both ways."""
    way = make.tucks((10, 3), (10, 4))
    recipe = make.recipe(of=make.content(way, way), by=person)
    size = 10 * TUCKS * make.MM
    values = {"version": recipe.versions.get(), "fabric": make.fabric(width=9_000 * make.MM), "count": PANELS}
    return make.piece(make.project(), across=size, along=size, **values)


def cut(piece: Piece) -> None:
    """Book every panel as cut, with its numbers kept."""
    for line in plan_project(piece.project).pieces[0].panels:
        kept = keep(line.hand, line.plan, piece.fabric_id)
        Panel.objects.update_or_create(
            piece=piece, number=line.number,
            defaults={"name": line.name, "cut_at": timezone.now(), "kept": kept,
                      "kept_format": kept["format"], "calc_version": CALC_VERSION},
        )  # fmt: skip


def medians(times: int, *works: Callable[[], HttpResponse]) -> list[Figures]:
    """Of each work, taken in turns so that a busy machine slows them alike."""
    spent: list[list[Figures]] = [[] for _ in works]
    for _ in range(min(TAPS, times)):
        for found, work in zip(spent, works, strict=True):
            found.append(timed(work))
    return [
        (statistics.median(p for p, _ in found), statistics.median(c for _, c in found)) for found in spent
    ]


def timed(work: Callable[[], HttpResponse]) -> Figures:
    processor, clock = time.process_time(), time.perf_counter()
    assert work().status_code == 200
    return (time.process_time() - processor) * 1000, (time.perf_counter() - clock) * 1000


def said(what: str, spent: Figures, plain: Figures) -> bool:
    """Print what a work took beside its limits; whether it kept them."""
    times = [mine / bare for mine, bare in zip(spent, plain, strict=True)]
    figures = f"{spent[0]:7.2f} ms ({times[0]:.1f} x), {spent[1]:7.2f} ms ({times[1]:.1f} x) on the clock"
    print(f"{what:<22} {figures} (limits {LIMIT_MS:.0f} ms, {LIMIT_TIMES:.0f} x)")
    return spent[0] < LIMIT_MS and max(times) < LIMIT_TIMES


if __name__ == "__main__":
    good = in_own_database(run)
    print("OVER A LIMIT" if good else "within its limits")
    sys.exit(good)
