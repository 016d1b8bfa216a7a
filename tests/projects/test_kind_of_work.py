"""The kind of work is chosen on a project's page, and what hangs on it follows."""

from html.parser import HTMLParser

import pytest
from django.test import Client
from django.urls import reverse

from projects.activities.own_steps import add_template
from projects.models import Project
from projects.planning import plan_project
from tests import make

pytestmark = pytest.mark.django_db


class Controls(HTMLParser):
    """What a browser would post of a page's own form as it stands, and the choices of each select."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.values: dict[str, str] = {}
        self.choices: dict[str, list[str]] = {}
        self._open = ""
        self.feed(page[page.index('<form class="sheet"') :].split("</form>")[0])

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        got = dict(attrs)
        name, value = got.get("name") or "", got.get("value") or ""
        if tag == "select":
            self._open, self.choices[name] = name, []
        elif tag == "option":
            self.choices[self._open].append(value)
            if "selected" in got:
                self.values[self._open] = value
        elif tag == "textarea" or (tag == "input" and (got.get("type") != "checkbox" or "checked" in got)):
            self.values[name] = value

    def handle_endtag(self, tag: str) -> None:
        self._open = "" if tag == "select" else self._open


def controls(page: Client, where: str) -> Controls:
    return Controls(page.get(where).content.decode())


def test_a_project_is_started_as_the_kind_of_work_the_page_offers(owner_page: Client) -> None:
    shown = controls(owner_page, reverse("project_new"))
    assert shown.values["kind"] == "garment"
    assert shown.choices["kind"] == [kind for kind, _ in Project._meta.get_field("kind").choices]
    owner_page.post(reverse("project_new"), {**shown.values, "title": "Curtain", "kind": "furnishing"})
    assert Project.objects.get().kind == "furnishing"


def test_its_kind_is_changed_and_its_steps_follow(owner_page: Client) -> None:
    piece = make.piece(make.project(kind="garment"))
    values = {"kind": "furnishing", "stage": "finish", "title": "Hang it overnight", "detail": ""}
    add_template(values={**values, "minutes": 10})
    project = piece.project
    where = reverse("project_edit", args=[project.pk])
    shown = controls(owner_page, where)
    assert owner_page.post(where, {**shown.values, "kind": "furnishing"}).status_code == 303
    project.refresh_from_db()
    assert project.kind == "furnishing"
    assert "Hang it overnight" in [step.title for step in plan_project(project).steps]


def test_every_field_of_the_form_stands_on_the_page(owner_page: Client) -> None:
    project = make.project()
    for where in (reverse("project_new"), reverse("project_edit", args=[project.pk])):
        answer = owner_page.get(where)
        page = answer.content.decode()
        assert [name for name in answer.context["form"].fields if f'name="{name}"' not in page] == []
