"""At the table: the cuts of an accepted lay, the next one large, ticked off in order."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import path, reverse
from django.utils import timezone
from django.utils.safestring import SafeString
from django.views.decorators.http import require_POST, require_safe

from projects.activities import lay_cutting as activity
from projects.activities.stock import StockError
from projects.calc.lengths import Rounding, System, rounded_up
from projects.drawings.lay_part import part
from projects.models import Fabric, Project
from projects.planning.lay_cuts import CutStep, Cutting, accepted_lay, cutting_of
from projects.printing.lay_cuts import TO_BUY, CutWords, words_of

from . import posts
from .cutting_said import refused, ticked

PAGE, PART = "lays/table.html", "lays/_cutting.html"
TALLEST = 300
"""The drawing in pixels, so that a phone shows all of it with the figure to measure above."""


@dataclass(frozen=True, slots=True)
class Line:
    """One cut of the list: ``waits`` are the numbers that come first, ``last`` the one that was made last."""

    step: CutStep
    words: CutWords
    waits: tuple[int, ...]
    last: bool


def _rows(pk: int, fabric_id: int) -> tuple[Project, Fabric]:
    return get_object_or_404(Project.objects.live(), pk=pk), get_object_or_404(Fabric, pk=fabric_id)


def _context(request: HttpRequest, project: Project, fabric: Fabric) -> dict[str, Any]:
    kept, system = accepted_lay(project, fabric), System(request.workroom.units)
    context: dict[str, Any] = {"project": project, "fabric": fabric, "kept": kept}
    if kept is None:
        return context
    cutting = cutting_of(kept)
    lines = [_line(cutting, step, system) for step in cutting.steps]
    now = next((line for line in lines if not line.step.made), None)
    return context | {
        "cutting": cutting,
        "lines": lines,
        "now": now,
        "made": len(cutting.made),
        "last": cutting.last,
        "before_wash": _before_wash(cutting, now.step, system) if now else "",
        "wash_first": now is not None and _wash_first(cutting, now.step),
        "drawing": _drawn(cutting, now.step, system) if now else "",
        "remnants": [remnant for step in cutting.steps if step.made for remnant in step.made.remnants.all()],
    }


def _line(cutting: Cutting, step: CutStep, system: System) -> Line:
    words = words_of(step, step.cloth.label if step.cloth else TO_BUY, system)
    return Line(step, words, cutting.waits_for(step), step is cutting.last)


def _wash_first(cutting: Cutting, step: CutStep) -> bool:
    """Whether the first cut would be made in cloth that its project washes before cutting, and that isn't
    said to be washed: all that is cut of it counts as washed from then on."""
    unwashed = step.cloth is not None and not step.cloth.washed
    return unwashed and not step.needs and cutting.washing.when == "before"


def _before_wash(cutting: Cutting, step: CutStep, system: System) -> str:
    """What to cut off cloth that is to be washed first, for what the cut says to be left of it; empty where
    the wash takes nothing that is known."""
    if not step.cuts_off or step.takes_all or not _wash_first(cutting, step):
        return ""
    bought = cutting.washing.to_buy(step.cut.y1)
    return rounded_up(bought, Rounding.PANEL, system) if bought != step.cut.y1 else ""


def _drawn(cutting: Cutting, step: CutStep, system: System) -> SafeString:
    title = f"The part that cut {step.number} divides, with the line to cut"
    return part(cutting.lay, step.cut, system=system, title=title, tallest=TALLEST)


@require_safe
def lay_table(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    return posts.show(request, PAGE, _context(request, *_rows(pk, fabric_id)))


def _number(request: HttpRequest) -> int:
    text = request.POST.get("number", "")
    return int(text) if text.isdecimal() and len(text) < 6 else 0


def _change(
    request: HttpRequest, pk: int, fabric_id: int, change: Callable[..., activity.Ticked]
) -> HttpResponse:
    """Tick one cut or take it back, once; what can't be done is said where it was asked."""
    project, fabric = _rows(pk, fabric_id)
    system, back = System(request.workroom.units), reverse("lay_table", args=[pk, fabric_id])

    def do() -> str:
        kept = accepted_lay(project, fabric)
        try:
            if kept is None:
                raise ValidationError("Nothing was booked: this lay is not accepted any more.")
            done = change(kept=kept, number=_number(request), person=request.user, now=timezone.now())
            messages.success(request, ticked(done, system, made=change is activity.tick))
        except StockError as error:
            messages.error(request, f"Nothing was booked. {refused(error, system)}")
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        return back

    answer = posts.once(request, do)
    if not request.htmx:
        return answer
    said = list(messages.get_messages(request))
    return posts.show(request, PAGE, _context(request, project, fabric) | {"said": said}, fragment=PART)


@require_POST
def lay_cut_made(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    return _change(request, pk, fabric_id, activity.tick)


@require_POST
def lay_cut_back(request: HttpRequest, pk: int, fabric_id: int) -> HttpResponse:
    return _change(request, pk, fabric_id, activity.untick)


urlpatterns = [
    path("projects/<int:pk>/lay/<int:fabric_id>/cut/", lay_table, name="lay_table"),
    path("projects/<int:pk>/lay/<int:fabric_id>/cut/made/", lay_cut_made, name="lay_cut_made"),
    path("projects/<int:pk>/lay/<int:fabric_id>/cut/back/", lay_cut_back, name="lay_cut_back"),
]
