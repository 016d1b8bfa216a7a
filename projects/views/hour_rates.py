"""What an hour costs: the studio's, each person's, and the overhead on every hour. For owners only."""

from itertools import groupby
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import require_http_methods, require_POST

from projects.activities import hour_rates as activity
from projects.calc.money import format_money
from projects.forms.money import HourRateForm
from projects.models import HourRate, Workroom

from . import access, posts
from .editing import offer_undo, save

PAGE = "studio/hour_rates.html"
TITLES = {"pay": "An hour's work, the studio's", "overhead": "Overhead on every hour"}


def _series() -> list[dict[str, Any]]:
    """Each kind of rate with its figures, newest first; the studio's own two always, though they be empty."""
    rows = HourRate.objects.live().select_related("person")
    rows = rows.order_by("kind", "person__shown_name", "person_id")
    ordered = sorted(rows.order_by("-from_date"), key=_whose)
    found = {key: list(group) for key, group in groupby(ordered, _whose)}
    found = {("", 0, "pay"): [], ("", 0, "overhead"): [], **found}
    today = timezone.localdate()
    return [
        {
            "title": TITLES[key[2]] if not key[1] else f"An hour of {group[0].person}",
            "id": f"{key[2]}-{key[1]}",
            "rates": group,
            "now": next((rate for rate in group if rate.from_date <= today), None),
        }
        for key, group in found.items()
    ]


def _whose(rate: HourRate) -> tuple[str, int, str]:
    return (str(rate.person), rate.person_id, rate.kind) if rate.person_id else ("", 0, rate.kind)


@require_http_methods(["GET", "HEAD", "POST"])
@access.owner_only
def hour_rates(request: HttpRequest) -> HttpResponse:
    """All rates and a form for the next one."""
    if request.method != "POST":
        initial = {"from_date": timezone.localdate(), "whose": request.GET.get("whose", "studio")[:20]}
        form = HourRateForm(workroom=request.workroom, initial=initial)
        return posts.show(request, PAGE, {"form": form, "series": _series()})
    form = HourRateForm(request.POST, workroom=request.workroom)

    def do() -> str:
        data = form.cleaned_data
        figure = {"amount": data["amount"], "from_date": data["from_date"]}
        rate, replaced = activity.set_hour_rate(**form.target, **figure, by=request.user)
        said = f"Saved: {_words(rate, request.workroom)}."
        if replaced is None:
            messages.success(request, said)
        else:
            offer_undo(request, f"{said} It takes the place of another figure.", replaced)
        return reverse("hour_rates")

    context = {"series": _series()}
    return save(request, form, do, page=PAGE, context=context, back=reverse("hour_rates"))


def _words(rate: HourRate, workroom: Workroom) -> str:
    title = f"an hour of {rate.person}" if rate.person_id else TITLES[rate.kind].lower()
    return (
        f"{title}, {format_money(rate.amount, workroom.currency)} from {date_format(rate.from_date, 'j F Y')}"
    )


@require_POST
@access.owner_only
def hour_rate_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the last figure of a kind away."""
    rate = get_object_or_404(HourRate.objects.live().select_related("person"), pk=pk)

    def do() -> str:
        words = _words(rate, request.workroom)
        try:
            deletion = activity.delete_last(rate, by=request.user)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        else:
            offer_undo(request, f"Deleted: {words}.", deletion)
        return reverse("hour_rates")

    return posts.once(request, do)


urlpatterns = [
    path("studio/hour-rates/", hour_rates, name="hour_rates"),
    path("studio/hour-rates/<int:pk>/delete/", hour_rate_delete, name="hour_rate_delete"),
]
