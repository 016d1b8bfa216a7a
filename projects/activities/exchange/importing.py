"""A file brought into the studio: all of it in one transaction, or nothing."""

from __future__ import annotations

import logging
from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import IntegrityError, models, transaction
from django.utils import timezone

from projects.activities import bench, deleting
from projects.activities.panels import sync_panels
from projects.activities.projects import numbered
from projects.activities.samples import check_sample
from projects.calc.lengths import System
from projects.models import (
    ClothLength,
    Edge,
    Fabric,
    LabourLog,
    LabourTotal,
    Notion,
    NotionNeed,
    OtherCost,
    Panel,
    Person,
    Piece,
    Project,
    Recipe,
    RecipeVersion,
    Sample,
    Step,
    Workroom,
)
from projects.planning import own_settings, plan_project

from . import matching, own_work
from .budget_rows import first_kept
from .errors import at, refuse
from .hand_rows import hands_kept
from .lay_rows import bring_flaws, bring_lay
from .reading import File, Row
from .run_rows import bring_runs
from .step_keys import from_file
from .stock_lines import book, book_more

HIGHEST_NUMBER = 100_000
"""A project keeps its number below this where nobody has it; a studio's next number follows the highest."""
log = logging.getLogger(__name__)


@dataclass(slots=True)
class Brought:
    """What came in. ``used`` counts what was here already, by noun; ``renamed`` are new names that differ."""

    project: Project | None = None
    recipes: list[Recipe] = field(default_factory=list)
    used: Counter[str] = field(default_factory=Counter)
    renamed: list[str] = field(default_factory=list)
    prices: bool = True
    """Whether prices came along: only where both count in one currency."""
    stages: own_work.Arrived = field(default_factory=own_work.Arrived)
    """What became of stages of a studio's own."""


def bring_recipe(file: File, *, person: Person | None) -> Brought:
    """The recipe of a file; one that is here already with all its versions is used."""
    with transaction.atomic():
        arriving = _Arriving(file, person, False, timezone.now())
        arriving.recipes()
        return arriving.brought


def bring_project(file: File, *, person: Person | None, own: bool, now: datetime | None = None) -> Brought:
    """The project of a file with all it needs. ``own``: planned with the settings of its file, else with the
    studio's. Raises Unreadable where the studio's own rules refuse something; nothing is saved then."""
    with transaction.atomic():
        arriving = _Arriving(file, person, own, now or timezone.now())
        arriving.recipes()
        arriving.cloth()
        arriving.stages()
        arriving.project()
        arriving.stock()
        arriving.samples()
        arriving.pieces()
        arriving.lays()
        arriving.steps()
        arriving.hours()
        arriving.runs()
        arriving.costs()
        _plannable(arriving.brought.project)
        return arriving.brought


def _plannable(project: Project | None) -> None:
    """Numbers may pass one by one and not go together; then nothing of the file is taken in."""
    try:
        found = Project.objects.get(pk=project.pk if project else None)
        plan_project(found)
        for run in found.runs.all():
            bench.look(project=found, key=run.key)
    except Exception:
        log.warning("A project's file could not be planned.", exc_info=True)
        refuse("pieces", "A project that can't be planned", "numbers that belong together")


class _Arriving:
    def __init__(self, file: File, person: Person | None, own: bool, now: datetime) -> None:
        self.file, self.person, self.own, self.now = file, person, own, now
        self.rows = file.rows
        self.brought = Brought()
        if file.settings:
            self.brought.prices = file.currency == Workroom.load().currency

    def _named(self, model: type[models.Model], row: Row, before: set[matching.Told]) -> dict[str, Any]:
        """A row's fields, its name changed where another row could not be told from it."""
        name = matching.free_name(model, row.values, before)
        if name != row.values["name"]:
            self.brought.renamed.append(name)
        return {**row.values, "name": name}

    def recipes(self) -> None:
        before = matching.told(Recipe)
        for row in self.file.recipes:
            row.saved = matching.same_recipe(row)
            if row.saved:
                self.brought.used["recipes"] += 1
            else:
                row.saved = Recipe.objects.create(**self._named(Recipe, row, before))
                self._versions(row)
            self.brought.recipes.append(row.saved)

    def _versions(self, row: Row) -> None:
        for version in row.parts["versions"]:
            version.saved = RecipeVersion.objects.create(
                recipe=row.saved, content=version.content, made_by=self.person, **version.values
            )

    def cloth(self) -> None:
        if not self.brought.prices:
            for row in (*self.rows["fabrics"], *self.rows["notions"]):
                row.values["price"] = None
        before, there = matching.told(Fabric), matching.Cloth(self.rows, prices=self.brought.prices)
        for row in self.rows["fabrics"]:
            row.saved = there.find(row)
            if row.saved:
                self.brought.used["fabrics"] += 1
            else:
                row.saved = Fabric.objects.create(**self._named(Fabric, row, before))

    def stages(self) -> None:
        self.brought.stages = own_work.bring_stages(self.rows["stages"], self.person)

    def project(self) -> None:
        given = dict(self.file.project.values)
        number = given.pop("number")
        # Here it is in hand from today on: weeks in which nobody here could work on it must not count.
        since = timezone.localdate(self.now) if given["state"] == "in_hand" else None
        [begun] = self.file.project.parts["first_budget"]
        kept = {"own_settings": self._own_settings(), "first_budget": first_kept(begun)}
        project = Project(**given, **kept, in_hand_from=since)
        self.brought.project = self.file.project.saved = _with_number(project, number)

    def _own_settings(self) -> dict[str, Any]:
        return {
            "format": own_settings.FORMAT,
            "used": self.own,
            "came": timezone.localdate(self.now).isoformat(),
            "settings": self.file.settings,
            "rates": {driver: str(minutes) for driver, minutes in self.file.rates.items()},
            "learned": self.file.learned,
            "templates": own_work.bring_templates(self.rows["templates"]),
            "hands": hands_kept(self.rows["hands"]),
        }

    def stock(self) -> None:
        for row in self.rows["lengths"]:
            self._book(row, lambda row=row: self._new_length(row), "lengths")
            if row.content:
                self._delete(row.saved)
        for row in self.rows["lengths"]:
            if row.link("cut_from") and row.saved.cut_from_id is None:
                ClothLength.objects.filter(pk=row.saved.pk).update(cut_from=row.link("cut_from"))
        before, taken = matching.told(Notion), set[int]()
        for row in self.rows["notions"]:
            row.saved = matching.same_notion(row, taken, prices=self.brought.prices)
            taken |= {row.saved.pk} if row.saved else set()
            self._book(
                row, lambda row=row: Notion.objects.create(**self._named(Notion, row, before)), "notions"
            )
        for row in self.rows["needs"]:
            NotionNeed.objects.create(project=self.brought.project, notion=row.link("notion"), **row.values)

    def _new_length(self, row: Row) -> ClothLength:
        length = ClothLength.objects.create(fabric=row.link("fabric"), **row.values)
        bring_flaws(row, length)
        return length

    def _book(self, row: Row, make: Any, what: str) -> None:
        """The ledger of a new row, or more lines on one that is here."""
        there, project = row.saved is not None, self.brought.project
        self.brought.used[what] += there
        row.saved = row.saved or make()
        if row.stock and project:
            (book_more if there else book)(row.saved, project, row.stock, person=self.person, now=self.now)

    def _delete(self, length: ClothLength) -> None:
        what = f"length {length.label} of {length.fabric}, deleted where its file comes from"
        deleting.delete([length], what=what, person=self.person)

    def samples(self) -> None:
        here = list(Sample.objects.live().filter(fabric__in=[f.saved for f in self.rows["fabrics"]]))
        for row in self.rows["samples"]:
            same = (s for s in here if s.fabric_id == row.link("fabric").pk and matching.same_sample(s, row))
            found = next(same, None)
            if found:
                here.remove(found)
                self.brought.used["samples"] += 1
                continue
            links = {name: row.link(name) for name in ("version", "fabric")}
            sample = Sample(content=row.content, person=None, **links, **row.values)
            with at(row.place):
                check_sample(sample, System(self.file.settings["units"]))
            sample.save()

    def pieces(self) -> None:
        for row in self.rows["pieces"]:
            links = {name: row.link(name) for name in ("version", "fabric", "wadding", "backing")}
            row.saved = piece = Piece(project=self.brought.project, **links, **row.values)
            piece.save()
            for part in row.parts["panels"]:
                part.saved = Panel.objects.create(piece=piece, kept=_kept(part), **part.values)
            for part in row.parts["edges"]:
                part.saved = Edge.objects.create(piece=piece, fabric=part.link("fabric"), **part.values)
            sync_panels(piece)

    def lays(self) -> None:
        for row in self.rows["lays"]:
            bring_lay(row, self.brought.project, self.person)

    def steps(self) -> None:
        by_id = {ident: row.saved for ident, row in self.file.by_id.items()}
        steps = []
        for row in self.rows["steps"]:
            key = None if row.content is None else from_file(f"{row.place}.key", row.content, by_id)
            links = {"project": self.brought.project, "panel": row.link("panel")}
            row.saved = Step(key=key, **links, **{**row.values, "stage": own_work.key_named(row)})
            steps.append(row.saved)
        Step.objects.bulk_create(steps, batch_size=500)

    def hours(self) -> None:
        project, totals = self.brought.project, Counter[tuple[str, str]]()
        logs = []
        for row in self.rows["hours"]:
            given = {**row.values, "stage": own_work.key_named(row)}
            logs.append(LabourLog(project=project, step=row.link("step"), entered_by=self.person, **given))
            totals[given["worker"], given["stage"]] += given["minutes"]
        LabourLog.objects.bulk_create(logs, batch_size=500)
        LabourTotal.objects.bulk_create(
            LabourTotal(project=project, worker=worker, stage=stage, minutes=minutes)
            for (worker, stage), minutes in totals.items()
        )

    def runs(self) -> None:
        by_id = {ident: row.saved for ident, row in self.file.by_id.items()}
        if self.brought.project:
            bring_runs(self.rows["runs"], self.brought.project, by_id, self.now)

    def costs(self) -> None:
        for row in self.rows["other_costs"] if self.brought.prices else ():
            OtherCost.objects.create(project=self.brought.project, **row.values)


def _kept(part: Row) -> dict[str, Any] | None:
    fabric = part.link("fabric")
    return None if part.content is None else {**part.content, "fabric": fabric.pk if fabric else None}


def _with_number(project: Project, number: int) -> Project:
    """Under the number on its prints where it is free here, else under the next one."""
    taken = number >= HIGHEST_NUMBER or Project.objects.filter(number=number).exists()
    if not taken:
        project.number = number
        try:
            with transaction.atomic():
                project.save(force_insert=True)
            return project
        except IntegrityError:
            project.pk = None
    return numbered(project)
