"""A project or a recipe as a file: everything its plan rests on, with ids of the file's own."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any

from django.utils import timezone

from projects.models import (
    ClothLength,
    Edge,
    Fabric,
    KeptLay,
    LabourLog,
    Notion,
    OtherCost,
    Panel,
    Piece,
    Project,
    Recipe,
    RecipeVersion,
    Run,
    Sample,
    Step,
    StepTemplate,
    Workroom,
)
from projects.planning.hands import spreads_for
from projects.planning.learned_rates import rates_for
from projects.planning.load import needs_of, panels_of, pieces_of, samples_for
from projects.planning.own_settings import basis_of
from projects.planning.own_templates import rows_by_key
from projects.planning.snapshot import fabric_kept

from . import nouns
from .budget_rows import stages_in, written_budget
from .hand_rows import techniques_of, written_hands
from .lay_rows import written_flaws, written_lay
from .learned_rows import written_learned
from .own_work import Stages, written_template
from .reading import FORMAT
from .run_rows import written_run
from .step_keys import Keys
from .stock_lines import cloth_to_write, written_stock


def project_text(project: Project, *, today: date | None = None) -> str:
    """The file of a project, each row on a line. ``today`` decides which minutes hold."""
    return _text(project_file(project, today=today))


def recipe_text(recipe: Recipe) -> str:
    return _text(recipe_file(recipe))


def recipe_file(recipe: Recipe) -> dict[str, Any]:
    """A recipe alone, all its versions."""
    return {"foldwright": "recipe", "format": FORMAT, "recipes": _Recipes([recipe]).written}


def project_file(project: Project, *, today: date | None = None) -> dict[str, Any]:
    return _ProjectFile(project).written(today or timezone.localdate())


def _text(file: dict[str, Any]) -> str:
    """JSON with one row a line: short, and two files can be compared line by line."""
    lines = []
    for key, value in file.items():
        if isinstance(value, list) and value:
            rows = ",\n  ".join(_one(row) for row in value)
            lines.append(f" {_one(key)}: [\n  {rows}\n ]")
        else:
            lines.append(f" {_one(key)}: {_one(value)}")
    return "{\n" + ",\n".join(lines) + "\n}\n"


def _one(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(", ", ": "))


class _Recipes:
    """Recipes with all their versions, and the ids of the versions by row."""

    def __init__(self, recipes: Iterable[Recipe]) -> None:
        self.ids: dict[int, str] = {}
        self.written = [self._recipe(n, recipe) for n, recipe in enumerate(recipes, 1)]

    def _recipe(self, number: int, recipe: Recipe) -> dict[str, Any]:
        versions = RecipeVersion.objects.filter(recipe=recipe).order_by("number")
        return {
            "id": f"r{number}",
            **nouns.RECIPE.write(recipe),
            "versions": [self._version(version) for version in versions],
        }

    def _version(self, version: RecipeVersion) -> dict[str, Any]:
        self.ids[version.pk] = ident = f"v{len(self.ids) + 1}"
        return {"id": ident, **nouns.VERSION.write(version), "content": version.content}


class _ProjectFile:
    """The rows of one project, and the id that each is given in the file."""

    def __init__(self, project: Project) -> None:
        self.project = project
        self.pieces = list(pieces_of([project]))
        self.panels = list(panels_of([project]))
        self.edges = list(
            Edge.objects.live().filter(piece__in=self.pieces).order_by("piece_id", "order", "pk")
        )
        self.steps = list(Step.objects.filter(project=project).order_by("pk"))
        lays = KeptLay.objects.filter(project=project).select_related("project").order_by("pk")
        self.lays = list(lays.prefetch_related("lengths", "cuts__entry", "cuts__remnants"))
        self.needs = list(needs_of(project))
        versions = [p.version for p in self.pieces if p.version]
        self.samples = list(samples_for(self.pieces).select_related("version"))
        recipe_ids = {v.recipe_id for v in (*versions, *(s.version for s in self.samples))}
        self.recipes = _Recipes(Recipe.objects.filter(pk__in=recipe_ids).order_by("pk"))
        self._fabrics()
        self.piece_ids = _ids("p", self.pieces)
        self.panel_ids = _ids("c", self.panels)
        self.edge_ids = _ids("e", self.edges)
        self.notion_ids = _ids("n", [need.notion for need in self.needs])
        self.step_ids = _ids("s", self.steps)
        logs = LabourLog.objects.filter(project=project, removed_at=None, minutes__gt=0)
        self.logs = list(logs.select_related("person").order_by("pk"))
        self.templates = rows_by_key(project, StepTemplate.objects.live())
        self.template_ids = {key: f"t{number}" for number, key in enumerate(self.templates, 1)}
        staged = (*self.steps, *self.logs, *self.templates.values())
        self.stages = Stages((*(row.stage for row in staged), *stages_in(project.first_budget)))
        rows = {"": self.piece_ids, "f": self.fabric_ids, "e": self.edge_ids}
        self.keys = Keys(rows, self.template_ids)

    def _fabrics(self) -> None:
        """Fabrics in their own order, and the lengths of those that this project's cloth is cut from."""
        cut = {p.fabric_id for p in self.pieces} | {fabric_kept(p.kept) for p in self.panels}
        cut |= {key for p in self.pieces for key in (p.wadding_id, p.backing_id)}
        cut |= {e.fabric_id for e in self.edges} | {lay.fabric_id for lay in self.lays}
        known = {s.fabric_id for s in self.samples} | _fabrics_of_steps(self.steps)
        wanted = {pk for pk in cut | known if pk is not None}
        self.fabrics = sorted(Fabric.objects.filter(pk__in=wanted), key=lambda f: (f.name, f.pk))
        self.fabric_ids = _ids("f", self.fabrics)
        laid = [x.cloth_id for x in self.lays] + [r.cloth_id for x in self.lays for r in x.lengths.all()]
        self.lengths = cloth_to_write(self.project, {pk for pk in cut if pk}, laid)
        self.length_ids = _ids("l", self.lengths)

    def written(self, today: date) -> dict[str, Any]:
        return {
            "foldwright": "project",
            "format": FORMAT,
            "project": {
                "number": self.project.number,
                **nouns.PROJECT.write(self.project),
                "first_budget": written_budget(self.project.first_budget, self.stages.named),
            },
            "settings": self._settings(today),
            "recipes": self.recipes.written,
            "fabrics": [{"id": self.fabric_ids[f.pk], **nouns.FABRIC.write(f)} for f in self.fabrics],
            "lengths": [self._length(length) for length in self.lengths],
            "notions": [self._notion(need.notion) for need in self.needs],
            "samples": [self._sample(sample) for sample in self.samples],
            "hands": self._hands(),
            "pieces": [self._piece(piece) for piece in self.pieces],
            "needs": [self._need(need) for need in self.needs],
            "lays": [written_lay(lay, self.fabric_ids, self.length_ids) for lay in self.lays],
            "stages": self.stages.written,
            "templates": [
                written_template(self.template_ids[key], row, self.stages)
                for key, row in self.templates.items()
            ],
            "steps": list(self._steps()),
            "hours": list(self._hours()),
            "runs": list(self._runs()),
            "other_costs": [{"what": c.what, "amount": c.amount} for c in _other_costs(self.project)],
        }

    def _settings(self, today: date) -> dict[str, Any]:
        """What the numbers rest on now: the studio's, or those of the file the project came with."""
        basis = basis_of(self.project, Workroom.load(), rates_for(today=today))
        rates = {driver: str(minutes) for driver, minutes in sorted(basis.rates.own.items())}
        learned = list(written_learned(basis.rates.learned, basis.rates.curves))
        return {**nouns.SETTINGS.write(basis.workroom), "rates": rates, "learned": learned}

    def _length(self, length: ClothLength) -> dict[str, Any]:
        return {
            "id": self.length_ids[length.pk],
            "fabric": self.fabric_ids[length.fabric_id],
            **nouns.LENGTH.write(length),
            "deleted": not length.is_live,
            "cut_from": self.length_ids.get(length.cut_from_id),
            "flaws": written_flaws(length),
            **written_stock(length, self.project),
        }

    def _notion(self, notion: Notion) -> dict[str, Any]:
        written = {"id": self.notion_ids[notion.pk], **nouns.NOTION.write(notion)}
        return {**written, **written_stock(notion, self.project)}

    def _sample(self, sample: Sample) -> dict[str, Any]:
        return {
            "version": self.recipes.ids[sample.version_id],
            "fabric": self.fabric_ids[sample.fabric_id],
            "content": sample.content,
            **nouns.SAMPLE.write(sample),
        }

    def _piece(self, piece: Piece) -> dict[str, Any]:
        return {
            "id": self.piece_ids[piece.pk],
            "fabric": self.fabric_ids.get(piece.fabric_id),
            "version": self.recipes.ids.get(piece.version_id),
            **_beneath(piece, self.fabric_ids),
            **nouns.PIECE.write(piece),
            "panels": [self._panel(p) for p in self.panels if p.piece_id == piece.pk],
            "edges": [self._edge(e) for e in self.edges if e.piece_id == piece.pk],
        }

    def _panel(self, panel: Panel) -> dict[str, Any]:
        kept = panel.kept
        if kept is not None:
            kept = {**kept, "fabric": self.fabric_ids.get(fabric_kept(kept))}
        return {"id": self.panel_ids[panel.pk], **nouns.PANEL.write(panel), "kept": kept}

    def _edge(self, edge: Edge) -> dict[str, Any]:
        ids = {"id": self.edge_ids[edge.pk], "fabric": self.fabric_ids.get(edge.fabric_id)}
        return {**ids, **nouns.EDGE.write(edge)}

    def _need(self, need: Any) -> dict[str, Any]:
        return {"notion": self.notion_ids[need.notion_id], "thousandths": need.amount, "why": need.why}

    def _steps(self) -> Iterator[dict[str, Any]]:
        for step in self.steps:
            yield {
                "id": self.step_ids[step.pk],
                "panel": self.panel_ids.get(step.panel_id),
                "key": None if step.key is None else self.keys.to_file(step.key),
                "stage": self.stages.named(step.stage),
                **nouns.STEP.write(step),
            }

    def _hands(self) -> list[dict[str, Any]]:
        """How far tucks of the techniques of its pieces stray, as its margins know it."""
        techniques = techniques_of(piece.version.content for piece in self.pieces if piece.version)
        return list(written_hands(spreads_for(self.project), techniques, self.fabric_ids))

    def _runs(self) -> Iterator[dict[str, Any]]:
        for run in Run.objects.filter(project=self.project).order_by("pk"):
            yield written_run(run, self.keys, self.panel_ids, self.edge_ids)

    def _hours(self) -> Iterator[dict[str, Any]]:
        """Finished hours; a name as text is all that is said of who worked."""
        for log in self.logs:
            named = {"step": self.step_ids.get(log.step_id), "stage": self.stages.named(log.stage)}
            yield {**named, **nouns.LOG.write(log), "worker": log.who[:120]}


def _ids(letter: str, rows: Iterable[Any]) -> dict[int, str]:
    return {row.pk: f"{letter}{number}" for number, row in enumerate(rows, 1)}


def _fabrics_of_steps(steps: Iterable[Step]) -> set[int]:
    """Fabrics whose samples, swatches and washing were ticked, used now or not."""
    heads = (step.key.partition(":")[0] for step in steps if step.key)
    return {int(head[1:]) for head in heads if head[:1] == "f" and head[1:].isdecimal()}


def _other_costs(project: Project) -> Iterable[OtherCost]:
    return OtherCost.objects.live().filter(project=project).order_by("pk")


def _beneath(piece: Piece, ids: dict[int, str]) -> dict[str, str]:
    """Wadding and backing, where they are chosen: a file without them reads in earlier programs too."""
    keys = {"wadding": piece.wadding_id, "backing": piece.backing_id}
    return {name: ids[key] for name, key in keys.items() if key is not None}
