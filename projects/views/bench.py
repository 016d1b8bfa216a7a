"""The bench: one run, one unit at a time. What is tapped comes as JSON from a device or as a plain form."""

import json
from typing import Any

from django.contrib import messages
from django.core.exceptions import RequestDataTooBig, ValidationError
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import bench as activity
from projects.activities import steps
from projects.activities.bench_reading import MOST_FACTS
from projects.calc.lengths import System
from projects.models import Project
from projects.planning.run_source import runs_by_key

from . import posts, timer
from .access import answers_json
from .bench_after import finished_of
from .bench_data import answer_data, fact_data
from .bench_page import next_of, page_of, runs_listed
from .bench_person import bench_person
from .bench_worker import bench_worker, kept_for

ORDINARY = "The timer goes on as ordinary work: what was sewn again is logged as rework."
TYPED = ("depth", "near", "far", "near_end", "far_end", "text")


def _project(pk: int) -> Project:
    return get_object_or_404(Project.objects.live(), pk=pk)


def _look(project: Project, key: str) -> activity.Bench:
    try:
        return activity.look(project=project, key=key)
    except activity.NoRun:
        raise Http404("no such run") from None


@require_safe
def bench_list(request: HttpRequest, pk: int) -> HttpResponse:
    """The runs of a project."""
    project = _project(pk)
    rows = runs_listed(project, dict(runs_by_key(project)), bench_person(request))
    context = {"project": project, "rows": rows, "next": next_of(rows)}
    return posts.show(request, "bench/list.html", context)


@require_safe
def bench(request: HttpRequest, pk: int, key: str) -> HttpResponse:
    """One run; ``to`` in the address is the unit the maker says to be at."""
    return _page(request, _look(_project(pk), key))


def _page(request: HttpRequest, found: activity.Bench, status: int = 200, **extra: Any) -> HttpResponse:
    page = "bench/bench.html" if found.run else "bench/gone.html"
    context = page_of(request, found, **extra)
    if found.finished:
        context["after"] = finished_of(request, found, context["step"])
    answer = posts.show(request, page, context, status=status)
    answer["Cache-Control"] = "no-store"
    if found.run and status == 200:
        kept_for(request, answer)
    return answer


@answers_json
@require_http_methods(["GET", "HEAD", "POST"])
def bench_facts(request: HttpRequest, pk: int, key: str) -> HttpResponse:
    """What a device sends and hears. Facts that can't be taken are named with a reason; the rest is kept."""
    project = Project.objects.live().filter(pk=pk).first()
    if project is None:
        return _says(404, "This project is no longer there. What waits here stays.")
    try:
        if request.method == "POST":
            return _taken(request, project, key)
        found = activity.look(project=project, key=key)
        return _answer(request, found, _number(request.GET.get("after")))
    except activity.NoRun:
        return _says(404, "This run is no longer there. What waits here stays.")


def _taken(request: HttpRequest, project: Project, key: str) -> HttpResponse:
    try:
        body = json.loads(request.body)
    except RequestDataTooBig:
        return _says(400, f"That is too much at once. Send at most {MOST_FACTS} taps.")
    except (ValueError, RecursionError):
        activity.look(project=project, key=key)
        return _says(400, "What was sent can't be read. It has to be JSON.")
    facts = body.get("facts") if isinstance(body, dict) else None
    if not isinstance(facts, list) or len(facts) > MOST_FACTS:
        return _says(400, f"Facts come as a list of at most {MOST_FACTS}.")
    person, whose = bench_person(request), body.get("person")
    if whose is not None and whose != person.pk:
        why = f"These taps are somebody else's; here it is {person} now. They wait for their own."
        return JsonResponse({"why": why, "person": person.pk}, status=409)
    recorded = activity.record(
        project=project, key=key, facts=facts, person=person, now=timezone.now(),
        system=System(request.workroom.units), device=str(body.get("device") or ""),
    )  # fmt: skip
    refused = [{"op": one.op, "why": one.why} for one in recorded.refused]
    said = [ORDINARY] if recorded.ordinary else []
    return _answer(request, recorded.bench, _number(body.get("after")), refused=refused, said=said)


def _answer(
    request: HttpRequest, found: activity.Bench, after: int, **said: Any
) -> HttpResponse:
    system = System(request.workroom.units)
    told = answer_data(found, bench_person(request), system)
    facts = [fact_data(fact, system) for fact in found.facts if fact.seq > after]
    answer = JsonResponse({**told, "facts": facts, "refused": [], "said": [], **said})
    answer["Cache-Control"] = "no-store"
    return answer


def _says(status: int, why: str) -> HttpResponse:
    return JsonResponse({"why": why}, status=status)


def _number(given: object) -> int:
    text = str(given)
    return int(text) if text.isascii() and text.isdigit() and len(text) < 19 else 0


@require_POST
def bench_tap(request: HttpRequest, pk: int, key: str) -> HttpResponse:
    """One fact from a plain form, then the page again; what is wrong is said and what was typed stays."""
    project, given = _project(pk), _from_form(request.POST)
    try:
        recorded = activity.record(
            project=project, key=key, facts=[given], person=bench_person(request),
            now=timezone.now(), system=System(request.workroom.units), device="page",
        )  # fmt: skip
    except activity.NoRun:
        raise Http404("no such run") from None
    if recorded.refused:
        typed = {name: request.POST.get(name, "") for name in TYPED}
        problem = {"problem": recorded.refused[0].why, "problem_kind": given["kind"], "typed": typed}
        return _page(request, recorded.bench, 422, **problem)
    if recorded.ordinary:
        messages.success(request, ORDINARY)
    return posts.go(request, f"{reverse('bench', args=[pk, key])}#bench")


def _from_form(data: Any) -> dict[str, Any]:
    """A form's fields as a device would send them."""
    given: dict[str, Any] = {name: data.get(name, "") for name in ("op", "kind", "unit", "undoes", *TYPED)}
    given["also"] = [part for part in data.get("also", "").split(",") if part]
    given["refused"] = bool(data.get("refused"))
    if data.get("asked"):
        try:
            given["asked"] = json.loads(data["asked"])
        except (ValueError, RecursionError):
            given["asked"] = None
    return given


@require_POST
def bench_placing(request: HttpRequest, pk: int, key: str) -> HttpResponse:
    """What the seams of this run are placed by."""
    project = _project(pk)
    try:
        activity.place_by(project=project, key=key, placing=request.POST.get("placing", ""))
    except activity.NoRun:
        raise Http404("no such run") from None
    except ValidationError as error:
        problem = {"problem": " ".join(error.messages), "problem_kind": "placing"}
        return _page(request, _look(project, key), 422, **problem)
    return posts.go(request, reverse("bench", args=[pk, key]))


@require_POST
def bench_time(request: HttpRequest, pk: int, key: str) -> HttpResponse:
    """Start the timer on this run's step; ``rework``: sewing again what was sewn wrong."""
    project = _project(pk)
    try:
        step = steps.row_for(project=project, key=key)
    except steps.StepGone:
        raise Http404("no such step") from None
    rework = bool(request.POST.get("rework"))
    back = reverse("bench", args=[pk, key])
    return timer.start(request, project=project, stage=step.stage, step=step, rework=rework, back=back)


urlpatterns = [
    path("projects/bench-worker.js", bench_worker, name="bench_worker"),
    path("projects/<int:pk>/bench/", bench_list, name="bench_list"),
    path("projects/<int:pk>/bench/<str:key>/", bench, name="bench"),
    path("projects/<int:pk>/bench/<str:key>/facts/", bench_facts, name="bench_facts"),
    path("projects/<int:pk>/bench/<str:key>/tap/", bench_tap, name="bench_tap"),
    path("projects/<int:pk>/bench/<str:key>/placing/", bench_placing, name="bench_placing"),
    path("projects/<int:pk>/bench/<str:key>/time/", bench_time, name="bench_time"),
]
