"""The Cloth page: one place to look through fabrics, lengths and notions, for a project or for itself."""

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import path
from django.views.decorators.http import require_safe

from projects.activities.stash_needs import needs_of
from projects.calc.lengths import System
from projects.forms.stash import StashForm, open_projects
from projects.models import Fabric, Notion, Project

from . import posts
from .searching import words_of
from .stash_lines import groups

PAGE, FRAGMENT = "stash/stash.html", "stash/_found.html"
NARROWER = ("grams_from", "grams_to", "pieces", "place")
"""Fields that are folded away until one of them is used."""
MOST_PAGES = 10**6


def _number(text: str) -> int:
    return min(int(text), MOST_PAGES) if text.isdecimal() and len(text) < 10 else 1


def _form(request: HttpRequest, what: str) -> StashForm:
    data = request.GET.copy()
    if what:
        data["what"] = what
    return StashForm(data, workroom=request.workroom)


def _kept(form: StashForm, *but: str) -> str:
    """What was asked, as it stands in an address, without what is empty; ready for another parameter."""
    pairs = {name: form.data.get(name, "").strip() for name in form.fields if name not in but}
    kept = urlencode({name: value for name, value in pairs.items() if value})
    return f"{kept}&" if kept else ""


def _found(form: StashForm, data: QueryDict) -> dict[str, Any]:
    """What the lists show. What can't be read is said, and nothing is listed meanwhile."""
    if not form.is_valid():
        problems = [(form.fields[name].label, errors) for name, errors in form.errors.items()]
        return {"groups": [], "problems": problems, "total": 0}
    asked, what = form.asked(words_of(form.cleaned_data["words"])), form.cleaned_data["what"]
    found = groups(asked, what, _number(data.get("page", "")))
    total = sum(group.listed.total for group in found)
    return {
        "groups": found,
        "what": what,
        "asked": not asked.nothing,
        "total": total,
        "more": any(group.listed.more for group in found),
    }


def _project(text: str) -> Project | None:
    if not text.isdecimal() or len(text) > 18:
        return None
    return Project.objects.live().filter(pk=int(text)).first()


def _around(request: HttpRequest, form: StashForm) -> dict[str, Any]:
    """What stands around the lists: projects to choose from, and what the chosen one needs."""
    chosen, projects = _project(form.data.get("project", "")), open_projects()
    if chosen and chosen not in projects:
        projects.append(chosen)
    form.offer(projects)
    return {
        "chosen": chosen,
        "projects": projects,
        "needs": needs_of(chosen, System(request.workroom.units)) if chosen else None,
    }


def _show(request: HttpRequest, what: str = "") -> HttpResponse:
    form = _form(request, what)
    context = {"form": form, **_found(form, request.GET)}
    context |= {"keep": _kept(form), "keep_all": _kept(form, "what"), "keep_project": _kept(form, "words")}
    status = 422 if form.errors else 200
    if request.htmx:
        answer = posts.show(request, PAGE, context, fragment=FRAGMENT, status=status)
        answer["HX-Replace-Url"] = "/cloth/" + f"?{_kept(form)}".rstrip("?&")
        return answer
    context |= _around(request, form)
    context["narrowed"] = any(form.data.get(name) for name in NARROWER)
    context["bare"] = not (Fabric.objects.live().exists() or Notion.objects.live().exists())
    return posts.show(request, PAGE, context, status=status)


@require_safe
def cloth(request: HttpRequest) -> HttpResponse:
    return _show(request)


@require_safe
def notions(request: HttpRequest) -> HttpResponse:
    """The same, among notions."""
    return _show(request, "notions")


urlpatterns = [
    path("cloth/", cloth, name="cloth"),
    path("cloth/notions/", notions, name="notions"),
]
