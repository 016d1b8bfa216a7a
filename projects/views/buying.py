"""What to buy for a project: cloth rounded up with its reasons, and the notions it needs."""

from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from projects.activities import notions as activity
from projects.calc.lengths import System
from projects.drawings.bias import blanks_of
from projects.forms.project import NeedForm
from projects.models import Notion, Project, Workroom
from projects.planning.making import plan_project
from projects.planning.own_settings import basis_of
from projects.planning.wanted import also_wanted

from . import posts
from .editing import save
from .projects import living


@require_http_methods(["GET", "HEAD", "POST"])
def project_buy(request: HttpRequest, pk: int) -> HttpResponse:
    project = living(pk)
    form = NeedForm(request.POST or None, workroom=request.workroom)
    page, back = "projects/buy.html", reverse("project_buy", args=[pk])
    context = _context(project, form, request.workroom)
    if request.method != "POST":
        return posts.show(request, page, context)

    def do() -> str:
        values = form.cleaned_data
        try:
            activity.set_need(
                notion=values["notion"], project=project, amount=values["amount"], why=values["why"]
            )
        except activity.stock.StockError as error:
            raise ValidationError({"amount": str(error)}) from error
        return back

    return save(request, form, do, page=page, context=context, back=back)


def _context(project: Project, form: NeedForm, workroom: Workroom) -> dict[str, Any]:
    plan, system = plan_project(project), System(workroom.units)
    fabrics = {line.fabric_id for line in plan.fabrics}
    return {
        "project": project,
        "plan": plan,
        "blanks": blanks_of(plan, system),
        "buy_step": basis_of(project, workroom, {}).workroom.buy_step,
        "wanted": also_wanted(project, fabrics, today=timezone.localdate()),
        "form": form,
        "any_notions": Notion.objects.live().exists(),
    }


@require_POST
def need_remove(request: HttpRequest, pk: int, notion_pk: int) -> HttpResponse:
    project = living(pk)
    notion = get_object_or_404(Notion, pk=notion_pk)

    def do() -> str:
        activity.drop_need(notion=notion, project=project)
        return reverse("project_buy", args=[pk])

    return posts.once(request, do)


urlpatterns = [
    path("projects/<int:pk>/buy/", project_buy, name="project_buy"),
    path("projects/<int:pk>/buy/notions/<int:notion_pk>/remove/", need_remove, name="need_remove"),
]
