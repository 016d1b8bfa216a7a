"""After the last unit of a run: what was finished, how long it took, what comes next in the working order."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db.models import Sum
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils.timezone import localtime
from django.views.decorators.http import require_safe

from projects.activities.bench import Bench, NoRun, look
from projects.calc.bench_state import SEWS
from projects.models import LabourLog, Person, Project, Step
from projects.planning import plan_project
from projects.planning.after_run import After, after_run
from projects.planning.plan import PlannedStep
from projects.planning.run_source import runs_by_key

from . import posts
from .bench_page import runs_listed, title_of
from .bench_person import bench_person
from .timer import clock


@dataclass(frozen=True, slots=True)
class Finished:
    """What ``bench/_after.html`` says: minutes ``logged`` on the step by all and ``planned`` for it, the days
    of its first and last tap, since when the ``timer`` of whoever is here runs on it; ``step`` is the next
    step of all, ``run`` the next run as the list of runs has it, ``missing`` what is open before that of its
    own panel, and ``more`` how many others."""

    logged: int
    planned: Decimal
    first: date | None
    last: date | None
    timer: datetime | None
    step: PlannedStep | None
    run: dict[str, Any] | None
    missing: tuple[PlannedStep, ...]
    more: int

    @property
    def at_once(self) -> bool:
        """Whether the next step of all is that run."""
        return self.step is not None and self.step.at_bench


def finished_of(request: HttpRequest, bench: Bench, step: Step | None) -> Finished:
    """All of it, by planning the project once; a fixed number of queries."""
    after = after_run(plan_project(bench.project), bench.key)
    first, last = _days(bench)
    shown, run = clock(request), _next_run(bench.project, after, bench_person(request))
    missing = run["run"].before if run else ()
    return Finished(
        logged=_logged(step),
        planned=bench.run.minutes if bench.run else Decimal(0),
        first=first,
        last=last,
        timer=shown.log.started_at if shown and step and shown.log.step_id == step.pk else None,
        step=after.step,
        run=run,
        missing=missing,
        more=len({step.key for step in after.between} - {step.key for step in missing}),
    )


def _logged(step: Step | None) -> int:
    logs = LabourLog.objects.filter(step=step, removed_at=None) if step else LabourLog.objects.none()
    minutes: int | None = logs.aggregate(minutes=Sum("minutes"))["minutes"]
    return minutes or 0


def _days(bench: Bench) -> tuple[date, date] | tuple[None, None]:
    taps = [fact.at for fact in bench.state.live if fact.kind in SEWS]
    if not taps:
        return None, None
    days = [localtime(datetime.fromisoformat(at)).date() for at in (taps[0], taps[-1])]
    return days[0], days[1]


def _next_run(project: Project, after: After, person: Person) -> dict[str, Any] | None:
    run = runs_by_key(project).get(after.run.key) if after.run else None
    return runs_listed(project, {run.key: run}, person)[0] if run else None


@require_safe
def bench_after(request: HttpRequest, pk: int, key: str) -> HttpResponse:
    """The same for a device that tapped the last unit; asked by itself it leads to the bench."""
    project = get_object_or_404(Project.objects.live(), pk=pk)
    try:
        bench = look(project=project, key=key)
    except NoRun:
        raise Http404("no such run") from None
    if not request.htmx or bench.run is None:
        return posts.go(request, reverse("bench", args=[pk, key]))
    step = Step.objects.filter(project=project, key=key).first()
    context = {
        "project": project, "bench": bench, "run": bench.run, "step": step, "title": title_of(bench, step),
        "after": finished_of(request, bench, step),
    }  # fmt: skip
    return posts.show(request, "bench/_after.html", context)


def next_place(project: Project, key: str, wanted: str) -> tuple[str, str]:
    """Where ticking at the bench leads, and the key of the step it is: to the run ``wanted``, else to the
    bench of the next step where it has one, else to that step among the steps ("" where none is left)."""
    if wanted and wanted in runs_by_key(project):
        return f"{reverse('bench', args=[project.pk, wanted])}#bench", wanted
    step = after_run(plan_project(project), key).step
    if step is not None and step.at_bench:
        return f"{reverse('bench', args=[project.pk, step.key])}#bench", step.key
    return f"{reverse('steps', args=[project.pk])}#step-{step.key if step else key}", step.key if step else ""


urlpatterns = [path("projects/<int:pk>/bench/<str:key>/after/", bench_after, name="bench_after")]
