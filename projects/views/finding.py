"""The groups of the search: which rows of a noun are found, and how one of them is shown."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from django.db.models import Count, Model, Q, QuerySet, Window
from django.urls import reverse
from django.utils import dateformat

from projects.activities.finding_cloth import Asked, fabrics, lengths, listed, notions
from projects.calc.units import grouped
from projects.models import Client, ClothLength, Fabric, Notion, Piece, Project, Recipe, Sample, Step
from projects.planning.steps import OWN

from .searching import every_word


@dataclass(frozen=True, slots=True)
class Line:
    """One row found: its name, what stands beside it, and where it leads."""

    name: str
    beside: str
    address: str


@dataclass(frozen=True, slots=True)
class Group:
    """One noun. ``rows(words, owner)`` are the rows found, in order; ``line(row)`` shows one of them."""

    key: str
    title: str
    rows: Callable[[list[str], bool], QuerySet[Any]]
    line: Callable[[Any], Line]
    about: str = ""
    order: str = ""
    """What a noun that can be very many is sorted by; it is then counted only so far."""
    related: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Found:
    """What was found of one group: the lines to show, of ``total``."""

    group: Group
    lines: list[Line]
    total: int
    many: bool = False
    """More than ``total``; counting stopped there."""
    rows: tuple[Any, ...] = ()
    """The rows behind the lines, where they were asked for."""

    @property
    def more(self) -> int:
        return self.total - len(self.lines)

    @property
    def said(self) -> str:
        return f"more than {grouped(self.total)}" if self.many else str(self.total)


def found_in(group: Group, words: list[str], *, owner: bool, first: int) -> Found:
    """The first rows of a group and how many there are, in one query, or in two where they can be many."""
    if group.order:
        page = listed(group.rows(words, owner), group.order, size=first, related=group.related)
        return Found(group, [group.line(row) for row in page.rows], page.total, page.more, tuple(page.rows))
    rows = list(group.rows(words, owner).annotate(total=Window(Count("pk")))[:first])
    return Found(group, [group.line(row) for row in rows], rows[0].total if rows else 0, rows=tuple(rows))


def _at(name: str, row: Model) -> str:
    return reverse(name, args=[row.pk])


def _projects(words: list[str], owner: bool) -> QuerySet[Project]:
    found = Q()
    for word in words:
        number = word.lstrip("#№")
        numbered = Q(number=int(number)) if number.isdecimal() and len(number) < 10 else Q(pk=None)
        referred = every_word([word], ("client__reference",)) & Q(client__deleted_at=None)
        found &= every_word([word], ("title", "brief")) | referred | numbered
    return Project.objects.live().filter(found).select_related("client").order_by("-number")


def _project_line(project: Project) -> Line:
    client = project.client if project.client and project.client.is_live else None
    due = f"due {dateformat.format(project.due, 'j F Y')}" if project.due else "no due date"
    whose = [client.name, client.reference] if client else ["own work"]
    beside = [f"number {project.number}", project.get_state_display().lower(), *whose, due]
    return Line(project.title, ", ".join(filter(None, beside)), _at("project", project))


def _of(project: Project) -> str:
    """A project beside one of its rows: two of one title are told apart by their numbers."""
    return f"{project.title}, number {project.number}"


def _clients(words: list[str], owner: bool) -> QuerySet[Client]:
    fields = ["name", "reference"] + (["email", "telephone", "address", "notes"] if owner else [])
    return Client.objects.live().filter(every_word(words, fields)).order_by("name", "pk")


def _client_line(client: Client) -> Line:
    return Line(client.name, client.reference, _at("client", client))


def _pieces(words: list[str], owner: bool) -> QuerySet[Piece]:
    pieces = Piece.objects.live().filter(project__deleted_at=None)
    pieces = pieces.filter(every_word(words, ("name", "notes", "project__title")))
    return pieces.select_related("project").order_by("-project__number", "order", "pk")


def _piece_line(piece: Piece) -> Line:
    return Line(piece.name, _of(piece.project), _at("piece", piece))


def _steps(words: list[str], owner: bool) -> QuerySet[Step]:
    """Steps that have a row. Others are only in the plan of their project, too dear to make for all."""
    steps = Step.objects.filter(removed_at=None, project__deleted_at=None)
    steps = steps.filter(every_word(words, ("title", "detail", "reason")))
    return steps.select_related("project").order_by("-project__number", "pk")


def _step_line(step: Step) -> Line:
    beside = f"{_of(step.project)}, {step.get_state_display().lower()}"
    at = f"#step-{quote(step.key or f'{OWN}{step.pk}')}"
    return Line(step.title, beside, reverse("steps", args=[step.project_id]) + at)


def _recipes(words: list[str], owner: bool) -> QuerySet[Recipe]:
    return Recipe.objects.live().filter(every_word(words, ("name", "notes"))).order_by("name", "pk")


def _recipe_line(recipe: Recipe) -> Line:
    return Line(recipe.name, "", _at("recipe", recipe))


def _samples(words: list[str], owner: bool) -> QuerySet[Sample]:
    samples = Sample.objects.live().filter(version__recipe__deleted_at=None)
    samples = samples.filter(every_word(words, ("notes", "version__recipe__name", "fabric__name")))
    return samples.select_related("version__recipe", "fabric").order_by("-made_on", "-pk")


def _sample_line(sample: Sample) -> Line:
    name = f"{sample.version.recipe.name}, version {sample.version.number}"
    notes = f": {sample.notes[:80]}" if sample.notes else ""
    return Line(name, f"on {sample.fabric.name}{notes}", _at("sample", sample))


def _fabrics(words: list[str], owner: bool) -> QuerySet[Fabric]:
    return fabrics(Asked(tuple(words))).order_by("name", "pk")


def _fabric_line(fabric: Fabric) -> Line:
    return Line(fabric.name, ", ".join(filter(None, (fabric.colour, fabric.fibre))), _at("fabric", fabric))


def _lengths(words: list[str], owner: bool) -> QuerySet[ClothLength]:
    return lengths(Asked(tuple(words))).select_related("fabric").order_by("label", "pk")


def _length_line(length: ClothLength) -> Line:
    lot = f", dye lot {length.dye_lot}" if length.dye_lot else ""
    return Line(length.label, f"{length.fabric.name}{lot}", _at("length", length))


def _notions(words: list[str], owner: bool) -> QuerySet[Notion]:
    return notions(Asked(tuple(words))).order_by("name", "pk")


def _notion_line(notion: Notion) -> Line:
    beside = ", ".join(filter(None, (notion.get_kind_display(), notion.colour, notion.size)))
    return Line(notion.name, beside, _at("notion", notion))


GROUPS = (
    Group("projects", "Projects", _projects, _project_line),
    Group("clients", "Clients", _clients, _client_line),
    Group("pieces", "Pieces", _pieces, _piece_line),
    Group("steps", "Steps", _steps, _step_line, "those ticked, skipped, moved or added"),
    Group("recipes", "Recipes", _recipes, _recipe_line),
    Group("samples", "Samples", _samples, _sample_line),
    Group("fabrics", "Fabrics", _fabrics, _fabric_line, order="name"),
    Group("lengths", "Lengths of cloth", _lengths, _length_line, order="label", related=("fabric",)),
    Group("notions", "Notions", _notions, _notion_line, order="name"),
)
