"""Help pages: short, in plain words, with drawings made by what draws the studio's own."""

from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import path
from django.views.decorators.http import require_safe

from projects.calc.lengths import System

from . import posts
from .help_drawn import EXAMPLES


@dataclass(frozen=True, slots=True)
class HelpPage:
    """One page: ``name`` in its address and of its template, what it is called, what it tells in a line."""

    name: str
    title: str
    about: str


PAGES = (
    HelpPage("sample", "Measure a sample", "What to sew, where to measure, what the figures tell."),
    HelpPage("sheet", "Read the job sheet", "Panels, marks, check measures: what each number on it is."),
    HelpPage("bench", "At the bench", "One unit after the other, with a connection or without."),
    HelpPage("checks", "Check measures and corrections", "Two readings, and what to do about them."),
    HelpPage("hours", "Hours and the timer", "Timing, typing minutes, forgotten timers, rework, the week."),
    HelpPage("estimates", "Estimates and promise dates", "How hours teach, and what a date means."),
    HelpPage("numbers", "What the numbers rest on", "Take-up, margins, starting values, ranges, rounding."),
    HelpPage("photographs", "Photographs and sharing", "Taking them in, a page for the client."),
    HelpPage("file_format", "Files of projects and recipes", "What travels, and how a file is written."),
    HelpPage("keyboard", "By keyboard and by phone", "Moving about, typing lengths, the studio on a phone."),
)
BY_NAME = {page.name: page for page in PAGES}


@require_safe
def help_index(request: HttpRequest) -> HttpResponse:
    return posts.show(request, "help/index.html", {"pages": PAGES})


@require_safe
def help_page(request: HttpRequest, page: str) -> HttpResponse:
    here = BY_NAME.get(page)
    if here is None:
        raise Http404
    system = System(request.workroom.units)
    draw = EXAMPLES.get(page)
    context = {"here": here, "others": [other for other in PAGES if other is not here]}
    if draw is not None:
        context["example"] = draw(system)
    return posts.show(request, f"help/{page}.html", context)


urlpatterns = [
    path("help/", help_index, name="help"),
    path("help/<slug:page>/", help_page, name="help_page"),
]
