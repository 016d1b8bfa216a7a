"""The studio's settings, and how long work takes in it."""

from datetime import date
from decimal import Decimal
from typing import Any, NamedTuple

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import workroom as activity
from projects.calc.driver_units import in_system, kept, shown
from projects.calc.labour import STAGES, Driver
from projects.calc.lengths import System
from projects.forms.workroom import RateForm, WorkroomForm
from projects.models import LabourRate
from projects.planning.rates_shown import Taught, taught_of

from . import access, posts
from .editing import save

CHANGED_MEANWHILE = "Somebody else changed the figures below meanwhile. Look at them, then save again."


@require_http_methods(["GET", "HEAD", "POST"])
@access.owner_only
def settings(request: HttpRequest) -> HttpResponse:
    data = request.POST if request.method == "POST" else None
    form = WorkroomForm(data, instance=request.workroom, workroom=request.workroom)
    if data is None:
        return posts.show(request, "studio/settings.html", {"form": form})

    def do() -> str:
        revision = form.cleaned_data["revision"] or 0
        activity.change_settings(request.workroom, revision=revision, changes=form.changes())
        messages.success(request, "The settings are saved.")
        return reverse("settings")

    return save(request, form, do, page="studio/settings.html", context={}, back=reverse("settings"))


def in_force(day: date) -> dict[str, LabourRate]:
    """The studio's own figures that count on ``day``, by driver."""
    return {rate.driver: rate for rate in LabourRate.objects.filter(from_date__lte=day).order_by("from_date")}


class RateRow(NamedTuple):
    """One part of the work as the studio counts it: minutes it begins from, and what hours taught."""

    driver: Driver
    own: LabourRate | None
    minutes: Decimal
    taught: Taught | None


@require_safe
@access.owner_only
def rates(request: HttpRequest) -> HttpResponse:
    """Every part of the work by stage, or with ``?moved`` those that hours have moved."""
    rows = _rate_rows(System(request.workroom.units))
    moved = [row for row in rows if row.taught]
    shown = moved if "moved" in request.GET else rows
    by_stage = [(title, [row for row in shown if row.driver.stage == stage]) for stage, title in STAGES]
    stages = [
        (title, found, sum(1 for row in found if row.taught), sum(1 for row in found if row.own))
        for title, found in by_stage
        if found
    ]
    own = sum(1 for row in rows if row.own)
    context = {"stages": stages, "own": own, "taught": len(moved), "only_moved": "moved" in request.GET}
    return render(request, "studio/rates.html", context)


def _rate_rows(system: System) -> list[RateRow]:
    own = in_force(timezone.localdate())
    bases = {
        key: shown(driver, own[key].minutes if key in own else driver.minutes, system)
        for key, driver in activity.PARTS.items()
    }
    taught = taught_of(bases)
    return [
        RateRow(in_system(driver, system), own.get(key), bases[key], taught.get(key))
        for key, driver in activity.PARTS.items()
    ]


def _driver(key: str) -> Driver:
    if key not in activity.PARTS:
        raise Http404
    return activity.PARTS[key]


def _seen(history: list[LabourRate]) -> str:
    """What the figures of a driver are, to notice that somebody else changed them."""
    return ";".join(f"{rate.from_date}:{rate.minutes.normalize():f}" for rate in history)


@require_http_methods(["GET", "HEAD", "POST"])
@access.owner_only
def rate(request: HttpRequest, key: str) -> HttpResponse:
    """One part of the work: the studio's own figure from a day on, and the figures there were."""
    driver, today = _driver(key), timezone.localdate()
    history = list(LabourRate.objects.filter(driver=key).order_by("-from_date"))
    present = next((row for row in history if row.from_date <= today), None)
    system = System(request.workroom.units)
    context: dict[str, Any] = {
        "driver": in_system(driver, system),
        "stage": dict(STAGES)[driver.stage],
        "history": history,
        "figures": [(row.from_date, shown(driver, row.minutes, system)) for row in history],
        "present": shown(driver, present.minutes, system) if present else None,
    }
    if request.method != "POST":
        minutes: Decimal = shown(driver, present.minutes if present else driver.minutes, system)
        initial = {"minutes": f"{minutes.normalize():f}", "from_date": today, "seen": _seen(history)}
        form = RateForm(workroom=request.workroom, initial=initial)
        return posts.show(request, "studio/rate.html", {**context, "form": form})
    form = RateForm(request.POST, workroom=request.workroom)
    return _save_rate(request, form, driver, context)


def _save_rate(request: HttpRequest, form: RateForm, driver: Driver, context: dict[str, Any]) -> HttpResponse:
    status = 422
    if form.is_valid():
        data, seen = form.cleaned_data, _seen(context["history"])
        if data["seen"] == seen:
            return posts.once(request, lambda: _set(request, driver, {**data, "system": form.system}))
        status = 409
        form.add_error("minutes", CHANGED_MEANWHILE)
        form.data = {**form.data.dict(), "seen": seen, "op": posts.new_key()}
    return posts.show(request, "studio/rate.html", {**context, "form": form}, status=status)


def _set(request: HttpRequest, driver: Driver, data: dict[str, Any]) -> str:
    system: System = data["system"]
    minutes = kept(driver, data["minutes"], system)
    activity.set_rate(driver=driver.key, minutes=minutes, from_date=data["from_date"])
    one = in_system(driver, system).one
    messages.success(request, f"Saved: {data['minutes'].normalize():f} minutes a {one}.")
    return reverse("rates")


@require_POST
@access.owner_only
def rate_clear(request: HttpRequest, key: str) -> HttpResponse:
    """Back to the starting value."""
    driver = _driver(key)

    def do() -> str:
        activity.clear_rate(driver=key)
        messages.success(request, f"Back to the starting value: {driver.minutes:f} minutes a {driver.one}.")
        return reverse("rates")

    return posts.once(request, do)


urlpatterns = [
    path("studio/settings/", settings, name="settings"),
    path("studio/rates/", rates, name="rates"),
    path("studio/rates/<str:key>/", rate, name="rate"),
    path("studio/rates/<str:key>/clear/", rate_clear, name="rate_clear"),
]
