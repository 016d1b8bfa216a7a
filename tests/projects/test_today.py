"""Today: what runs, what is next, what is late; and where a new studio begins."""

import re
from datetime import timedelta
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from projects.activities import timing
from projects.activities.pieces import create_piece
from projects.calc.promise import Promise
from projects.planning.making import plan_project
from projects.planning.promises import InHand, look_ahead
from projects.templatetags.dates import on_day
from tests import make

pytestmark = pytest.mark.django_db
MM = make.MM


def shown(page):
    return page.get(reverse("today")).content.decode()


def test_a_new_studio_is_told_where_to_begin(owner_page):
    page = shown(owner_page)
    assert all(words in page for words in ("Make a recipe", "Add a fabric", "Start a project"))
    assert page.count('class="button go"') == 1
    make.version()
    make.fabric()
    page = shown(owner_page)
    assert "Make a recipe" not in page and "Start a project" in page
    make.project()
    assert "To begin with" not in shown(owner_page)


def test_the_next_step_is_the_plan_s_own(owner_page, owner):
    fabric = make.fabric()
    project = make.project(due=timezone.localdate() + timedelta(days=3))
    values = {
        "name": "Front",
        "across": 300 * MM,
        "along": 300 * MM,
        "version": make.version(),
        "fabric": fabric,
    }
    create_piece(project=project, values=values)
    empty = make.project("Nothing yet")
    today = timezone.localdate()
    plan = plan_project(project)
    first = next(step for step in plan.steps if step.state == "open")
    found = look_ahead([project, empty], today=today).projects
    assert {pk: left.next_step for pk, left in found.items()} == {project.pk: first, empty.pk: None}
    assert found[project.pk].forecast.budget == plan.minutes and found[empty.pk].forecast is None
    assert first.title in shown(owner_page)
    make.step(project, key=first.key, title=first.title, stage=first.stage, state="done")
    second = next(step for step in plan_project(project).steps if step.state == "open")
    left = look_ahead([project], today=today).projects[project.pk]
    assert left.next_step.key == second.key != first.key
    assert left.forecast.left < found[project.pk].forecast.left


def test_hours_left_stand_beside_days_left(owner_page):
    project = make.project(due=timezone.localdate() + timedelta(days=37))
    make.step(project, minutes=95)
    make.step(project, minutes=30, state="done")
    page = shown(owner_page)
    assert "1 h 35 min" in page and "in 37 days" in page


def test_the_timer_started_here_hangs_on_the_step_it_stands_beside(owner_page, owner):
    project = make.project()
    make.step(project, title="Press the cotton velvet", stage="prepare")
    page = shown(owner_page)
    start = reverse("step_time", args=[project.pk])
    key = re.search(f'action="{start}".*?name="key" value="([^"]+)"', page)[1]
    assert owner_page.post(start, {"key": key, "back": "/"})["Location"] == "/"
    running = timing.running(owner)
    assert (running.step.title, running.stage) == ("Press the cotton velvet", "prepare")
    assert f"project={project.pk}&amp;step={key.replace(':', '%3A')}" in page


def test_of_a_step_begun_at_the_bench_what_is_left_is_told():
    step = SimpleNamespace(minutes=Decimal(181), stage="texture")
    begun = InHand(step, None, units=52, sewn=28, pace=Decimal("3.48"))
    assert begun.units_left == 24 and 83 < begun.next_minutes < 84
    assert InHand(step, None).next_minutes == 181 and InHand(None, None).next_minutes == 0


def test_a_project_without_steps_has_a_timer_all_the_same(owner_page, owner):
    project = make.project()
    assert f'name="project" value="{project.pk}"' in shown(owner_page)
    owner_page.post(reverse("timer_start"), {"project": project.pk, "back": "/"})
    assert timing.running(owner).project == project


def test_where_work_is_in_hand_nobody_is_told_to_begin(owner_page):
    make.project()
    assert "To begin with" not in shown(owner_page)


def test_a_date_of_another_year_has_its_year():
    today = timezone.localdate()
    this, other = today.replace(month=12, day=4), today.replace(year=today.year + 2, month=2, day=9)
    assert (on_day(this), on_day(other), on_day(None)) == ("4 December", f"9 February {other.year}", "")
    assert on_day(this, other) == f"4 December {today.year}"
    new = {"minutes": 600, "promise": Promise(other, other.replace(month=8))}
    assert f"(9 February {other.year} likely" in render_to_string("today/_promise.html", {"new": new})


def test_waiting_projects_are_listed(owner_page):
    make.project("At rest", state="waiting")
    make.project("Long done", state="finished")
    answer = owner_page.get(reverse("today"))
    assert [p.title for p in answer.context["waiting"]] == ["At rest"]
    assert "At rest" in answer.content.decode() and "Long done" not in answer.content.decode()


def test_late_and_soon_are_told_apart(owner_page):
    today = timezone.localdate()
    make.project("Late one", due=today - timedelta(days=2))
    make.project("Soon one", due=today + timedelta(days=14), state="waiting")
    make.project("Far one", due=today + timedelta(days=15), state="asked")
    make.project("Done one", due=today - timedelta(days=2), state="finished")
    context = owner_page.get(reverse("today")).context
    assert [p.title for p in context["late"]] == ["Late one"]
    assert [p.title for p in context["soon"]] == ["Soon one"]


def test_the_running_timer_can_be_stopped_from_here(owner_page, owner):
    project = make.project()
    timing.start(person=owner, project=project, now=timezone.now(), zone=make.workroom().zone)
    page = shown(owner_page)
    assert "The timer runs" in page and reverse("timer_stop") in page
    owner_page.post(reverse("timer_stop"), {"back": "/"})
    assert "The timer runs" not in shown(owner_page)


def test_somebody_else_s_timer_is_theirs(maker_page, owner):
    timing.start(person=owner, project=make.project(), now=timezone.now(), zone=make.workroom().zone)
    assert "The timer runs" not in shown(maker_page)
