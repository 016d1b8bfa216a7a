"""What lengths and notions share: the lines of their ledger, and one booking more."""

from collections.abc import Callable
from itertools import pairwise
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Case, F, QuerySet, Sum, Value, When, Window
from django.db.models.functions import Abs
from django.http import HttpRequest

from projects.activities import balances, stock
from projects.forms.stock import KINDS, BookingForm, refused
from projects.models import ClothLength, Notion, Project, StockEntry

PAGE = 50
Row = ClothLength | Notion


def lines(row: Row, number: str | None) -> Page:
    """The ledger, the latest entry first; each line with ``left``, what was on the shelf after it."""
    shelf = Case(When(kind__in=StockEntry.ON_SHELF, then=F("amount")), default=Value(0))
    entries: QuerySet[StockEntry] = row.entries.select_related("project", "person")
    entries = entries.annotate(left=Window(Sum(shelf), order_by="pk"), size=Abs("amount")).order_by("-pk")
    return Paginator(entries, PAGE).get_page(number)


def context(request: HttpRequest, row: Row, form: BookingForm | None = None) -> dict[str, Any]:
    """What the page of a length or notion shows of its stock."""
    balance, rows = balances.balance(row), lines(row, request.GET.get("page"))
    projects = Project.objects.in_bulk(pk for pk in balance.held if pk)
    return {
        "balance": balance,
        "held": [(projects[pk], amount) for pk, amount in balance.held.items() if pk in projects],
        "rows": rows,
        "out_of_order": any(above.at < below.at for above, below in pairwise(rows)),
        "form": form or BookingForm(row=row, workroom=request.workroom, initial=_begun(request)),
    }


def _begun(request: HttpRequest) -> dict[str, Any]:
    """What a link to the form has filled in: ``kind``, ``project``, and ``amount`` as the ledger holds it."""
    begun: dict[str, Any] = {}
    kind, project, amount = (request.GET.get(name, "") for name in ("kind", "project", "amount"))
    if kind in dict(KINDS):
        begun["kind"] = kind
    if project.isdecimal() and len(project) < 19:
        begun["project"] = int(project)
    if amount.isdecimal() and len(amount) < 15 and 0 < int(amount) <= stock.MOST:
        begun["amount"] = int(amount)
    return begun


def book(row: Row, form: BookingForm, request: HttpRequest) -> None:
    """Add the line the form says. Raises ``ValidationError`` for its fields when the ledger refuses it."""
    values = form.cleaned_data
    kind, amount = values["kind"], values["amount"]
    common = {"row": row, "person": request.user, "note": values["note"]}
    if kind not in ("received", "counted"):
        common["project"] = values["project"]
    verbs: dict[str, Callable[..., StockEntry]] = {
        "received": stock.receive,
        "reserved": stock.reserve,
        "released": stock.release,
        "cut": stock.cut,
        "wasted": stock.waste,
        "counted": stock.count,
    }
    try:
        verbs[kind](**common, **{"total" if kind == "counted" else "amount": amount})
    except stock.StockError as error:
        raise refused(form, error) from error
