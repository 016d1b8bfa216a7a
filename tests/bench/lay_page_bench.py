"""How long a first lay of 40 panels takes, and the whole request of the page that shows it.

    python -m tests.bench.lay_page_bench

Plain, turning, straight cuts, lengths of the stash, with flaws, and everything at once. Limits are of
processor time: 0.2 s for the planner's call, 0.5 s for the page, with nothing remembered and again, and for
options changed on it. It works in a database of its own, which it removes.
"""

from __future__ import annotations

import statistics
import sys
import time
import uuid
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import partial
from typing import Any

# First of all, for it sets Django up.
from tests.bench.common import in_own_database  # isort: skip

from django.test import Client
from django.urls import reverse

from projects.activities import lay_work
from projects.calc.lay import LayRequest, plan_lay
from projects.calc.lay.cuts import cuts_of
from projects.calc.lay.request import Flaw, Pin, StashLength
from projects.calc.lay.strips import strips_laid
from projects.calc.lengths import NM_PER_MM as MM
from projects.models import ClothFlaw, Fabric, Person, Project
from projects.planning.pieces import remembered, shared_by
from projects.planning.quick_lays import quick_lay
from tests import lay_cases, make

PANELS, BOUND = 40, 3
FIRST_MS, PAGE_MS, RUNS = 200.0, 500.0, 5
LENGTHS = ((1_400, 2_600, "a"), (1_380, 1_900, "a"), (1_400, 900, "a"), (1_120, 3_400, "b"))
FLAWS = (Flaw(300 * MM, 700 * MM, 40 * MM, 60 * MM), Flaw(900 * MM, 1_500 * MM, 20 * MM, 20 * MM))


def spent(work: Callable[[], object]) -> tuple[float, float]:
    """Milliseconds of processor time and on the clock."""
    processor, clock = time.process_time(), time.perf_counter()
    work()
    return (time.process_time() - processor) * 1000, (time.perf_counter() - clock) * 1000


def median(works: Iterable[Callable[[], object]]) -> tuple[float, float]:
    found = [spent(work) for work in works]
    return statistics.median(p for p, _ in found), statistics.median(c for _, c in found)


def kept(what: str, figures: tuple[float, float], limit: float) -> bool:
    good = figures[0] <= limit
    said = f"{figures[0]:6.0f} ms, {figures[1]:6.0f} ms on the clock"
    print(f"{what:58} {said}: {'kept' if good else 'BROKEN'}", flush=True)
    return good


def asked() -> Iterator[tuple[str, LayRequest]]:
    """Requests for 40 panels of every kind there is."""
    for seed in range(3):
        cut, _ = lay_cases.shaved(seed, PANELS)
        yield f"shaved {seed}", cut
        yield f"shaved {seed}, turning", turning(cut)
        yield f"shaved {seed}, straight cuts", replace(cut, straight_cuts=True)
        yield f"shaved {seed}, turning, straight cuts", replace(turning(cut), straight_cuts=True)
        yield f"shaved {seed}, lengths", on_lengths(cut)
        yield f"shaved {seed}, lengths, turning", on_lengths(turning(cut))
        yield f"shaved {seed}, lengths with flaws", on_lengths(cut, flaws=FLAWS)
        yield f"shaved {seed}, lengths, straight cuts", replace(on_lengths(cut), straight_cuts=True)
        full = replace(on_lengths(turning(cut), flaws=FLAWS), straight_cuts=True, one_dye_lot=False)
        yield f"shaved {seed}, all of it", replace(full, gap=4 * MM, end_loss=20 * MM)
        yield f"shaved {seed}, three pinned", pinned(cut)
    garment = lay_cases.garment(4, 4)
    yield "garment, 4 of each", garment
    yield "garment, 4 of each, lengths", on_lengths(garment)
    yield "garment, 4 of each, straight cuts", replace(garment, straight_cuts=True)


def turning(request: LayRequest) -> LayRequest:
    return replace(request, panels=tuple(replace(panel, may_turn=True) for panel in request.panels))


def on_lengths(request: LayRequest, flaws: tuple[Flaw, ...] = ()) -> LayRequest:
    lengths = tuple(
        StashLength(f"length {n}", wide * MM, long * MM, lot, flaws if n == 1 else ())
        for n, (wide, long, lot) in enumerate(LENGTHS, 1)
    )
    return replace(request, lengths=lengths, smallest_remnant=100 * MM)


def pinned(request: LayRequest) -> LayRequest:
    """Held where the planner's own lay has them."""
    first = plan_lay(request).placements[:3]
    pins = tuple(Pin(p.name, p.copy, p.x, p.y, p.turned, p.on) for p in first)
    return replace(request, pins=pins)



def coat(name: str, *, turning: bool = False) -> tuple[Project, Fabric]:
    """A project of as many plain pieces, cut as large as the panels of a shaved strip."""
    request, _ = lay_cases.shaved(1, PANELS)
    project, fabric = make.project(name), make.fabric(name, width=request.width)
    for panel in request.panels:
        size = {"across": panel.width, "along": panel.length, "allowances_drawn": True}
        make.piece(project, name=panel.name, fabric=fabric, may_turn=turning, **size)
    return project, fabric


def stashed(fabric: Fabric) -> None:
    """The lengths on the shelf, the first with flaws."""
    for n, (wide, long, lot) in enumerate(LENGTHS):
        row = make.length(fabric, received=long * MM, width=wide * MM, dye_lot=lot, washed=True)
        for flaw in () if n else FLAWS:
            at = {"across": flaw.x, "along": flaw.y, "width": flaw.width, "length": flaw.length}
            ClothFlaw.objects.create(cloth=row, **at)


def kinds() -> Iterator[tuple[str, Project, Fabric]]:
    """Lays worked on: without a draft, from lengths, with straight cuts, bias strips, another project."""
    yield "quick", *coat("Quick", turning=True)
    project, fabric = coat("Lengths")
    stashed(fabric)
    lay_work.opened(project, fabric)
    yield "from lengths, not kept yet", project, fabric
    project, fabric = coat("Straight", turning=True)
    stashed(fabric)
    values = {"straight_cuts": True, "one_dye_lot": False, "gap": 4 * MM, "end_loss": 20 * MM}
    lay_work.set_options(project=project, fabric=fabric, values=values)
    yield "straight cuts from lengths, kept", project, fabric
    project, fabric = coat("Bound")
    stashed(fabric)
    for n, piece in enumerate(project.pieces.order_by("pk")[:BOUND]):
        make.edge(piece, name="neck", length=(700 + 90 * n) * MM, width=(8 + 2 * n) * MM)
    lay_work.opened(project, fabric)
    yield "from lengths, with bias strips", project, fabric
    project, fabric = coat("Together")
    other = make.project("Capelet")
    for n in range(6):
        make.piece(other, name=f"Yoke {n}", fabric=fabric)
    lay_work.set_options(project=project, fabric=fabric, values={"others": [other]})
    yield "with another project", project, fabric


def options(page: Client, address: str) -> dict[str, Any]:
    """What a browser would send of the options as they are."""
    shown = page.get(address).context
    assert len(shown["places"]) >= PANELS
    posted: dict[str, Any] = {"units": "metric"}
    for field in shown["options"]:
        value = field.value()
        if value not in (None, False, "", []):
            posted[field.html_name] = "on" if value is True else value
    return posted


def changes(page: Client, address: str, options_at: str) -> Iterator[Callable[[], None]]:
    """Posts as the page's own script sends them, each with another gap: answered by the lay made anew."""
    for gap in range(1, RUNS + 1):
        posted = {**options(page, address), "gap": f"{gap}", "op": str(uuid.uuid4())}

        def change(posted: dict[str, Any] = posted) -> None:
            assert page.post(options_at, posted, HTTP_HX_REQUEST="true").status_code == 200

        yield change


def at(name: str, project: Project, fabric: Fabric) -> str:
    return reverse(name, args=[project.pk, fabric.pk])


def pages() -> bool:
    make.workroom()
    page = Client()
    page.force_login(make.person("wren", role=Person.OWNER))
    good = True
    for what, project, fabric in kinds():
        address = at("lay", project, fabric)

        def shown(address: str = address) -> None:
            assert page.get(address).status_code == 200

        for memory in (remembered, shared_by, quick_lay, strips_laid, cuts_of):
            memory.cache_clear()
        good &= kept(f"page, {what}, first seen", spent(shown), PAGE_MS)
        good &= kept(f"page, {what}", median([shown] * RUNS), PAGE_MS)
        again = changes(page, address, at("lay_options", project, fabric))
        good &= kept(f"options changed, {what}", median(again), PAGE_MS)
    return good


def run() -> bool:
    good = True
    for name, request in asked():
        good &= kept(f"first lay, {name}", median([partial(plan_lay, request)] * RUNS), FIRST_MS)
    return pages() and good


if __name__ == "__main__":
    sys.exit(in_own_database(run))
