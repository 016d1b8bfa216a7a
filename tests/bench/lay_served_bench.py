"""What searching for lays costs those who meanwhile use the studio: its memory, and how its pages answer.

    python -m tests.bench.lay_served_bench [seconds per search]

A real server on a port and data folder of its own. Measured: how much its workers grow from before a search
is started until its lay is accepted, the most memory the search's own process holds for 100 panels, and with
two searches running how the main pages answer beside how they do at rest (medians on the clock, taken in
turns, so that what else the machine does slows both alike).
"""

from __future__ import annotations

import os
import statistics
import sys
import time
from collections.abc import Callable

# First of all, for it sets Django up.
from tests.bench.served import Server, prepared  # isort: skip

from django.core.management import call_command
from django.urls import reverse

from projects.activities import lay_process, lay_work
from projects.models import LayDraft, Person, Recipe
from projects.planning import plan_project
from projects.views.lay_shown import signature
from tests import lay_cases, make
from tests.bench.lay_page_bench import stashed
from tests.bench.memory import memory_mb

GROWTH_MB, CHILD_MB, TIMES = 10.0, 400.0, 3.0
MANY, ROUNDS, EACH = 100, 3, 12
WARM_S = 8
"""Workers import what prints need some seconds after their start: that is no growth of a search."""
KINDS = ("as they stand", "straight cuts", "from lengths")


def lay_of(kind: str, panels: int = MANY) -> LayDraft:
    """A draft of so many plain panels, no two of one size."""
    request, _ = lay_cases.shaved(len(kind), panels)
    project, fabric = make.project(f"Lay {kind}"), make.fabric(f"Linen, {kind}", width=request.width)
    for panel in request.panels:
        size = {"across": panel.width, "along": panel.length, "allowances_drawn": True}
        make.piece(project, name=panel.name, fabric=fabric, **size)
    if kind == "from lengths":
        stashed(fabric)
    values = {"straight_cuts": kind == "straight cuts", "use_stash": kind == "from lengths"}
    return lay_work.set_options(project=project, fabric=fabric, values=values)


def at(name: str, draft: LayDraft) -> str:
    return reverse(name, args=[draft.project_id, draft.fabric_id])


def started(server: Server, draft: LayDraft, seconds: float) -> LayDraft:
    server.post(at("lay_improve", draft), seconds=f"{seconds:.0f}")
    draft.refresh_from_db()
    assert draft.state == "running", "nothing to search for: a bench needs a harder lay"
    return draft


def watched(server: Server, draft: LayDraft, look_s: float = 0.5) -> float:
    """Poll as the page does until the search has ended; the most memory its process held (MB)."""
    most, process = 0.0, draft.process or 0
    while draft.state == "running":
        time.sleep(look_s)
        most = max(most, memory_mb(process, "VmHWM"))
        server.page(f"{at('lay_progress', draft)}?shown={signature(draft)}", live=True)
        draft.refresh_from_db()
    return most


def accepted(server: Server, draft: LayDraft) -> None:
    seen = plan_project(draft.project).fabrics[0].lay.length
    server.post(at("lay_accept", draft), seen=f"{seen}", reserve="on")
    assert plan_project(draft.project).fabrics[0].lay_state == "accepted"


def said(what: str, figure: str, good: bool) -> bool:
    print(f"{what:44} {figure}: {'kept' if good else 'BROKEN'}", flush=True)
    return good


def memory(server: Server, seconds: float) -> bool:
    """Start, stop, start again, look to the end, accept; before the first, pages were only looked at."""
    good = True
    time.sleep(WARM_S)
    drafts = [(kind, lay_of(kind)) for kind in KINDS]
    for _ in range(12):  # both workers have shown these pages before anything is measured
        for _, draft in drafts:
            server.page(at("lay", draft))
            server.page(reverse("project", args=[draft.project_id]))
    for kind, draft in drafts:
        before = server.workers()
        started(server, draft, seconds)
        time.sleep(min(2.0, seconds / 4))
        server.post(at("lay_stop", draft))
        most = watched(server, started(server, draft, seconds))
        accepted(server, draft)
        now = server.workers()
        grown = max(now[pid] - held for pid, held in before.items())
        figure = f"{grown:5.1f} MB, to {max(now.values()):.0f} MB"
        good &= said(f"{kind}: a worker grew by", figure, grown < GROWTH_MB)
        good &= said(f"{kind}: the search held at most", f"{most:5.1f} MB", 0 < most < CHILD_MB)
    return good


def answers(server: Server, pages: dict[str, str], found: dict[str, list[float]]) -> None:
    for _ in range(EACH):
        for name, address in pages.items():
            start = time.perf_counter()
            server.page(address)
            found.setdefault(name, []).append((time.perf_counter() - start) * 1000)


def pages_of(draft: LayDraft) -> dict[str, str]:
    return {
        "today": reverse("today"),
        "project": reverse("project", args=[draft.project_id]),
        "lay": at("lay", draft),
        "recipe": reverse("recipe", args=[Recipe.objects.live().first().pk]),
        "stash": reverse("cloth"),
    }


def busy(server: Server) -> bool:
    """The main pages at rest and with two searches running, in turns."""
    searches = [lay_of("as they stand, searched"), lay_of("straight cuts, searched")]
    pages = pages_of(lay_of("as it was", 40))
    rest: dict[str, list[float]] = {}
    while_two: dict[str, list[float]] = {}
    answers(server, pages, {})
    for _ in range(ROUNDS):
        answers(server, pages, rest)
        for draft in searches:
            started(server, draft, 600)
        time.sleep(3)  # the solver is loaded by then
        answers(server, pages, while_two)
        for draft in searches:
            draft.refresh_from_db()
            assert lay_process.goes_on(draft.run, draft.process), "a search ended before the pages were seen"
            server.post(at("lay_stop", draft))
    good = True
    for name in pages:
        calm, now = statistics.median(rest[name]), statistics.median(while_two[name])
        figure = f"{calm:5.0f} ms at rest, {now:5.0f} ms, {now / calm:.2f} times"
        good &= said(f"{name} with two searches", figure, now <= TIMES * calm)
    return good


def with_load(run: Callable[[], bool]) -> bool:
    before = os.getloadavg()[0]
    good = run()
    print(f"load of the machine: {before:.1f} before, {os.getloadavg()[0]:.1f} after", flush=True)
    return good


def main() -> int:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 20.0
    prepared()
    call_command("load_demo", verbosity=0)
    make.workroom()
    with Server(make.person("bench", role=Person.OWNER)) as server:
        try:
            good = with_load(lambda: memory(server, seconds))
            return 0 if with_load(lambda: busy(server)) and good else 1
        finally:
            for draft in LayDraft.objects.filter(state="running"):
                lay_process.end(draft.run, draft.process)


if __name__ == "__main__":
    sys.exit(main())
