"""What a project costs, what to ask for it, and what an hour earns at a price. For owners only."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from projects.activities import other_costs as activity
from projects.calc.price import Earning, earnings, net_of
from projects.forms.money import OtherCostForm, TriedPriceForm
from projects.models import OtherCost, Project, Workroom
from projects.planning.cost_lines import Missing
from projects.planning.costs import Costs, plan_costs
from projects.planning.making import plan_project

from . import access, posts
from .editing import offer_undo, save
from .projects import living

EDIT = "costs/other.html"
CASES = ("If it goes quickly, 1 of 10 times", "As likely more as less", "If it goes slowly, 1 of 10 times")


@require_safe
@access.owner_only
def costs(request: HttpRequest, pk: int) -> HttpResponse:
    """The table, and what an hour earns at a price: the one typed, else the one reckoned."""
    project = living(pk)
    found = plan_costs(project, plan_project(project), workroom=request.workroom)
    reckoned = found.price_in_the_end.total
    data = request.GET if "price" in request.GET else None
    form = TriedPriceForm(data, workroom=request.workroom, initial={"price": reckoned})
    tried: int | None = reckoned
    if data is not None:
        given = form.cleaned_data["price"] if form.is_valid() else None
        tried = reckoned if given is None and form.is_valid() else given
    context = {
        "project": project,
        "costs": found,
        "form": form,
        "missing": [(line.text, _settled_at(line, project)) for line in found.missing],
        "tried": tried,
        **_earning(tried, found, request.workroom),
    }
    status = 422 if form.errors else 200
    return posts.show(request, "costs/costs.html", context, fragment="costs/_earns.html", status=status)


def _earning(tried: int | None, found: Costs, workroom: Workroom) -> dict[str, Any]:
    """What an hour earns if the work takes the hours of the 10th, 50th and 90th percentile."""
    if tried is None:
        return {}
    net, hours = net_of(tried, workroom.tax), found.hours
    each: tuple[Earning, ...] = earnings(
        net,
        materials=found.in_the_end.materials,
        overhead=found.overhead_rate or 0,
        minutes=(hours.low, hours.middle, hours.high),
    )
    return {"net": net, "tax": tried - net, "earnings": list(zip(CASES, each, strict=True))}


def _settled_at(missing: Missing, project: Project) -> str:
    """The page where what is missing can be said."""
    names = {"fabric": "fabric_edit", "notion": "notion_edit", "piece": "piece_edit"}
    if missing.where in names:
        return reverse(names[missing.where], args=[missing.pk])
    if missing.where == "lay":
        return reverse("lay", args=[project.pk, missing.pk])
    return reverse("project_buy", args=[project.pk]) if missing.where == "needs" else reverse("hour_rates")


@require_http_methods(["GET", "HEAD", "POST"])
@access.owner_only
def other_cost_new(request: HttpRequest, pk: int) -> HttpResponse:
    project, back = living(pk), reverse("costs", args=[pk])
    form = OtherCostForm(request.POST or None, workroom=request.workroom)
    context = {"project": project, "form": form, "back": back}
    if request.method != "POST":
        return posts.show(request, EDIT, context)

    def do() -> str:
        activity.add_other_cost(project=project, values=form.changes())
        return back

    return save(request, form, do, page=EDIT, context=context, back=back)


def _cost_of(project: Project, pk: int) -> OtherCost:
    return get_object_or_404(OtherCost.objects.live(), project=project, pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
@access.owner_only
def other_cost_edit(request: HttpRequest, pk: int, cost_pk: int) -> HttpResponse:
    project, back = living(pk), reverse("costs", args=[pk])
    row = _cost_of(project, cost_pk)
    form = OtherCostForm(request.POST or None, instance=row, workroom=request.workroom)
    context = {"project": project, "form": form, "back": back, "row": row}
    if request.method != "POST":
        return posts.show(request, EDIT, context)

    def do() -> str:
        activity.change_other_cost(row, values=form.changes(), revision=form.cleaned_data["revision"] or 0)
        return back

    return save(request, form, do, page=EDIT, context=context, back=back)


@require_POST
@access.owner_only
def other_cost_delete(request: HttpRequest, pk: int, cost_pk: int) -> HttpResponse:
    row = _cost_of(living(pk), cost_pk)

    def do() -> str:
        deletion = activity.delete_other_cost(row, person=request.user)
        offer_undo(request, f"{row.what} was deleted.", deletion)
        return reverse("costs", args=[pk])

    return posts.once(request, do)


urlpatterns = [
    path("projects/<int:pk>/costs/", costs, name="costs"),
    path("projects/<int:pk>/costs/new/", other_cost_new, name="other_cost_new"),
    path("projects/<int:pk>/costs/<int:cost_pk>/", other_cost_edit, name="other_cost"),
    path("projects/<int:pk>/costs/<int:cost_pk>/delete/", other_cost_delete, name="other_cost_delete"),
]
