"""Hours, fabrics and notions as CSV, streamed: a large studio takes no more memory than a small one."""

import csv
from collections.abc import Iterable, Iterator
from datetime import date

from django.core.exceptions import BadRequest
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import path
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.views.decorators.http import require_safe

from projects.activities.exchange import tables
from projects.models import Person

MARK = "\ufeff"
"""Tells spreadsheets that what follows is UTF-8."""


class _Echo:
    """What ``csv`` writes to: each row goes straight on."""

    def write(self, text: str) -> str:
        return text


def _lines(rows: Iterable[list[str]]) -> Iterator[str]:
    writer = csv.writer(_Echo())
    yield MARK
    for row in rows:
        yield writer.writerow(row)


def _answer(
    request: HttpRequest, rows: Iterable[list[str]], name: str, *, dated: bool = True
) -> HttpResponseBase:
    """The rows as a file called ``name``, and after today where it holds what there is now (``dated``)."""
    kind = "text/csv; charset=utf-8"
    answer: HttpResponseBase = HttpResponse(content_type=kind)
    if request.method != "HEAD":
        answer = StreamingHttpResponse(_lines(rows), content_type=kind)
    name = f"{name}-{timezone.localdate():%Y-%m-%d}" if dated else name
    answer["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    answer["Cache-Control"] = "private, no-store"
    return answer


def _day(request: HttpRequest, name: str) -> date | None:
    """A date of the address; none given, none meant. Raises BadRequest for what is no date."""
    given = request.GET.get(name, "").strip()
    try:
        found = parse_date(given) if given else None
    except ValueError:
        found = None
    if given and found is None:
        raise BadRequest(f"“{given[:20]}” is no date. Give it as year-month-day, such as 2026-03-02.")
    return found


def _whose(request: HttpRequest) -> Person | None:
    """The person of the address, or None for everybody. Raises Http404 for somebody who was never here."""
    asked = request.GET.get("person", "all")
    if asked in ("all", ""):
        return None
    if not (asked.isascii() and asked.isdecimal() and len(asked) < 19):
        raise Http404
    return get_object_or_404(Person, pk=int(asked))


@require_safe
def hours_csv(request: HttpRequest) -> HttpResponseBase:
    """Makers get their own hours, owners everybody's or ``person``'s; ``from`` and ``to`` are included."""
    person = _whose(request) if request.user.is_owner else request.user
    first, last = _day(request, "from"), _day(request, "to")
    if first and last and first > last:
        raise BadRequest(f"From {first} to {last} is no time. Give the earlier day first, the later as “to”.")
    rows = tables.hours(person=person, first=first, last=last, zone=request.workroom.zone)
    days = [f"from-{first}"] * bool(first) + [f"to-{last}"] * bool(last)
    return _answer(request, rows, "-".join(["hours", *days]), dated=not days)


@require_safe
def fabrics_csv(request: HttpRequest) -> HttpResponseBase:
    rows = tables.fabrics(workroom=request.workroom, prices=request.user.is_owner)
    return _answer(request, rows, "fabrics")


@require_safe
def notions_csv(request: HttpRequest) -> HttpResponseBase:
    rows = tables.notions(workroom=request.workroom, prices=request.user.is_owner)
    return _answer(request, rows, "notions")


urlpatterns = [
    path("hours/csv/", hours_csv, name="hours_csv"),
    path("cloth/csv/", fabrics_csv, name="fabrics_csv"),
    path("cloth/notions/csv/", notions_csv, name="notions_csv"),
]
