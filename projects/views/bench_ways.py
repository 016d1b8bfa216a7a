"""Ways back to the bench: from what was photographed or noted at a unit straight to that unit."""

import re
from typing import NamedTuple

from django.urls import reverse

from projects.models import Photo, Project
from projects.planning.run_source import runs_by_key
from projects.planning.runs import RunPlan

from .bench_words import sentence


class Way(NamedTuple):
    """Where the bench stands for a step, in words; ``unit`` None: no unit of its run is meant. ``caption`` is
    what a photograph taken there is called."""

    url: str
    text: str
    unit: int | None
    caption: str


def way_to(project: Project, key: str, unit: str = "", said: str = "") -> Way | None:
    """To the bench of the step ``key``: at ``unit`` as an address gives it, else at the unit a caption begins
    with ("Tuck 17 across"). None where that step has no run in the plan."""
    run = runs_by_key(project).get(key) if key else None
    if run is None:
        return None
    number = _known(run, unit) or unit_said(run, said)
    url = reverse("bench", args=[project.pk, key])
    if number is None:
        return Way(f"{url}#bench", "the bench", None, "")
    name = f"{run.one} {number}"
    caption = sentence(f"{name} {run.direction}".strip())
    return Way(f"{url}?to={number}#bench", f"{name} at the bench", number, caption)


def way_from(photo: Photo) -> Way | None:
    """From a photograph of a step back to where it was taken."""
    if photo.step is None or photo.project is None or not photo.step.key:
        return None
    return way_to(photo.project, photo.step.key, said=photo.caption)


def unit_said(run: RunPlan, text: str) -> int | None:
    """The number of the unit that a caption or note begins with, where the run has it."""
    found = re.match(rf"\W*{re.escape(run.one)}\s+(\d{{1,6}})\b", text, re.IGNORECASE | re.ASCII)
    return _known(run, found[1]) if found else None


def _known(run: RunPlan, text: str) -> int | None:
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 7 else None
    return number if number in run.by_number else None
