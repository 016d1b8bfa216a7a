"""Hours a week and days off: each person's own; an owner sees everybody's."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.db.models import Sum
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import require_http_methods, require_POST

from projects.activities import calendar as activity
from projects.forms.calendar import DayOffForm, WeekForm
from projects.models import DayOff, Person

from . import access, posts

PAGE = "hours/calendar.html"


@require_http_methods(["GET", "HEAD", "POST"])
def calendar(request: HttpRequest) -> HttpResponse:
    """One's own hours a week and days off."""
    return _page(request, request.user)


@require_http_methods(["GET", "HEAD", "POST"])
@access.owner_only
def calendar_of(request: HttpRequest, pk: int) -> HttpResponse:
    """The same of anybody, for owners."""
    return _page(request, get_object_or_404(Person, pk=pk))


def _page(request: HttpRequest, person: Person) -> HttpResponse:
    week = activity.week_of(person)
    if request.method != "POST":
        return _show(request, person, WeekForm(workroom=request.workroom, week=week))
    form = WeekForm(request.POST, workroom=request.workroom, week=week)
    status = 422
    if form.is_valid():
        try:
            return posts.once(request, lambda: _set_week(request, person, form))
        except activity.Changed as changed:
            form.show_changed(changed.week)
            status = 409
    return _show(request, person, form, status=status)


def _set_week(request: HttpRequest, person: Person, form: WeekForm) -> str:
    activity.set_week(person=person, minutes=form.minutes, seen=form.was())
    messages.success(request, "The hours are saved.")
    return _link(request, person)


def _link(request: HttpRequest, person: Person) -> str:
    return reverse("calendar") if person == request.user else reverse("calendar_of", args=[person.pk])


def _show(
    request: HttpRequest, person: Person, week: WeekForm, off: DayOffForm | None = None, status: int = 200
) -> HttpResponse:
    today, now = timezone.localdate(), timezone.now()
    form = off or DayOffForm(workroom=request.workroom, of=person, by=request.user, prefix="off")
    rows = list(activity.days_off(person, today=today, now=now))
    context: dict[str, Any] = {
        "person": person,
        "form": week,
        "off_form": form,
        "off_link": _off_link(request, person),
        "days_off": [row for row in rows if row.removed_at is None],
        "removed": [row for row in rows if row.removed_at is not None and _may_change(request, row)],
        "people": _people(request),
        "week_total": sum(activity.week_of(person)),
    }
    return posts.show(request, PAGE, context, status=status)


def _off_link(request: HttpRequest, person: Person) -> str:
    return reverse("day_off_new") if person == request.user else reverse("day_off_of", args=[person.pk])


def _people(request: HttpRequest) -> list[Person]:
    """Everybody who is here, with their minutes a week; for owners."""
    if not request.user.is_owner:
        return []
    people = Person.objects.filter(is_active=True).annotate(week=Sum("week_hours__minutes"))
    return list(people.order_by("shown_name", "pk"))


@require_POST
def day_off_new(request: HttpRequest) -> HttpResponse:
    return _add(request, request.user)


@require_POST
@access.owner_only
def day_off_of(request: HttpRequest, pk: int) -> HttpResponse:
    return _add(request, get_object_or_404(Person, pk=pk))


def _add(request: HttpRequest, person: Person) -> HttpResponse:
    form = DayOffForm(request.POST, workroom=request.workroom, of=person, by=request.user, prefix="off")
    if form.is_valid():
        try:
            return posts.once(request, lambda: _save_off(request, person, form))
        except ValidationError as error:
            form.add_error(None, error)
    week = WeekForm(workroom=request.workroom, week=activity.week_of(person))
    return _show(request, person, week, form, status=422)


def _save_off(request: HttpRequest, person: Person, form: DayOffForm) -> str:
    data = form.cleaned_data
    row = activity.add_day_off(person=form.person, first=data["first"], last=data["last"], note=data["note"])
    messages.success(request, f"Off: {days(row)}.")
    return _link(request, person)


def days(row: DayOff) -> str:
    """ "24 December 2026", or "24 December 2026 to 3 January 2027"."""
    first, last = (date_format(day, "j F Y") for day in (row.first, row.last))
    return first if first == last else f"{first} to {last}"


def _may_change(request: HttpRequest, row: DayOff) -> bool:
    return request.user.is_owner or (row.person_id is not None and row.person_id == request.user.pk)


@require_POST
def day_off_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a day off out, or put it back (``back`` in the form)."""
    row = get_object_or_404(DayOff.objects.select_related("person"), pk=pk)
    if not _may_change(request, row):
        raise PermissionDenied("These days are the studio's or somebody else's; an owner can change them.")
    if request.POST.get("back"):
        activity.put_back(row)
        messages.success(request, f"Off again: {days(row)}.")
    else:
        activity.remove_day_off(row, now=timezone.now())
        messages.success(request, f"No longer off: {days(row)}. It stands below and can be put back.")
    asked = request.POST.get("of", "")
    mine = not request.user.is_owner or not asked.isdecimal() or len(asked) > 18
    whose = None if mine else Person.objects.filter(pk=int(asked)).first()
    return posts.go(request, _link(request, whose or request.user))


urlpatterns = [
    path("hours/a-week/", calendar, name="calendar"),
    path("hours/a-week/<int:pk>/", calendar_of, name="calendar_of"),
    path("hours/days-off/", day_off_new, name="day_off_new"),
    path("hours/days-off/of/<int:pk>/", day_off_of, name="day_off_of"),
    path("hours/days-off/<int:pk>/", day_off_remove, name="day_off_remove"),
]
