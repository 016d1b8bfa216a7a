"""The rows a plan is made from, fetched in a fixed number of queries whatever the number of pieces."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import TypeVar

from django.db.models import Prefetch, Q, QuerySet, Sum

from projects.calc.under import wanted
from projects.models import (
    ClothLength,
    Edge,
    Fabric,
    KeptLay,
    LabourLog,
    LabourTotal,
    LayCut,
    LayDraft,
    LayLength,
    NotionNeed,
    OwnStage,
    Panel,
    Piece,
    Project,
    Sample,
    Step,
    StepTemplate,
    StockEntry,
    Workroom,
)

from .hands import Spreads, spreads_for
from .learned_rates import Rates, rates_for
from .learned_rates import rates_on as rates_on
from .own_settings import basis_of
from .own_templates import Template, templates_for
from .snapshot import fabric_kept
from .stages import ALL_BUILT_IN, Stage, in_order

Row = TypeVar("Row")
DIRECTIONS = ("across", "along")


@dataclass(frozen=True, slots=True)
class Stock:
    """One length of cloth and what of it this project may use: what is there less what others hold (nm)."""

    length: ClothLength
    free: int


@dataclass(frozen=True)
class Rows:
    """All rows of one plan, by what they are looked up with."""

    project: Project
    workroom: Workroom
    pieces: tuple[Piece, ...] = ()
    panels: dict[int, tuple[Panel, ...]] = field(default_factory=dict)
    samples: tuple[Sample, ...] = ()
    stock: dict[int, tuple[Stock, ...]] = field(default_factory=dict)
    needs: tuple[NotionNeed, ...] = ()
    notions_free: dict[int, int] = field(default_factory=dict)
    lays: dict[int, KeptLay] = field(default_factory=dict)
    """Accepted lays by fabric: the project's own, else one of another project that its panels lie in."""
    drafts: dict[int, LayDraft] = field(default_factory=dict)
    steps: tuple[Step, ...] = ()
    worked: frozenset[int] = frozenset()
    """Keys of the steps that time was logged on."""
    logged: dict[str, int] = field(default_factory=dict)
    rates: Rates = field(default_factory=lambda: Rates({}))
    spreads: Spreads = field(default_factory=Spreads)
    """What check measures say of how far tucks stray."""
    edges: dict[int, tuple[Edge, ...]] = field(default_factory=dict)
    """Edges by piece, in their order."""
    cut_from: dict[int, Fabric] = field(default_factory=dict)
    """Fabrics that panels are cut from, whatever their pieces are planned in now."""
    stages: tuple[Stage, ...] = ALL_BUILT_IN
    templates: tuple[Template, ...] = ()
    """Steps of a studio's own that the project gets, in their order."""

    @cached_property
    def fabrics(self) -> dict[int, Fabric]:
        """The fabrics of the pieces, in the order of the pieces, then those only of what lies under them, of
        edges, and of panels cut before."""
        worn = {p.fabric_id: p.fabric for p in self.pieces if p.fabric_id}
        worn |= {row.pk: row for p in self.pieces for row in beneath(p) if row.pk not in worn}
        bound = {e.fabric_id: e.fabric for p in self.pieces for e in self.edges.get(p.pk, ()) if e.fabric_id}
        return {**worn, **bound, **{key: row for key, row in self.cut_from.items() if key not in worn}}


def load_rows(project: Project, *, today: date | None = None) -> Rows:
    """Fetch everything a plan of ``project`` needs. ``today`` only decides which labour rates hold."""
    pieces = tuple(pieces_of([project]))
    panels = tuple(panels_of([project]))
    cut_from = fabrics_cut(panels)
    edges = edges_of([project])
    strips = {row.fabric_id for rows in edges.values() for row in rows if row.fabric_id}
    fabrics = {*cut_from, *(p.fabric_id for p in pieces if p.fabric_id), *strips}
    fabrics |= {row.pk for piece in pieces for row in beneath(piece)}
    needs = tuple(sorted(needs_of(project), key=lambda need: (need.notion.name, need.pk)))
    basis = basis_of(project, Workroom.load(), rates_for(today=today))
    stages = in_order(OwnStage.objects.all())
    return Rows(
        project=project,
        workroom=basis.workroom,
        pieces=pieces,
        panels=_by(panels, "piece_id"),
        samples=tuple(samples_for(pieces)),
        stock=stock_of(fabrics, project),
        needs=needs,
        notions_free=notions_free([n.notion_id for n in needs], project),
        lays=lays_of(project),
        drafts=drafts_of(project),
        steps=tuple(Step.objects.filter(project=project).order_by("pk")),
        worked=worked_steps(project),
        logged=logged_by_stage(project),
        rates=basis.rates,
        spreads=spreads_for(project),
        edges=edges,
        cut_from=cut_from,
        stages=stages,
        templates=templates_for(project, StepTemplate.objects.live(), stages),
    )


def beneath(piece: Piece) -> list[Fabric]:
    """The fabrics that lie under a piece, by what its recipe's JSON says: whether that can be read is judged
    later."""
    content = piece.version.content if piece.version_id else None
    ratio = content.get("ratio") if isinstance(content, dict) else None
    technique = str(ratio.get("technique")) if isinstance(ratio, dict) else None
    return [row for _, row in chosen_under(piece, technique)]


def chosen_under(piece: Piece, technique: str | None) -> list[tuple[str, Fabric]]:
    """The layers chosen to lie under a piece, role and fabric from the top; none where its technique (that
    of a recipe by ratio) has nothing beneath it."""
    if not wanted(technique):
        return []
    roles = (("wadding", piece.wadding), ("backing", piece.backing))
    return [(role, row) for role, row in roles if row is not None]


def lays_of(project: Project) -> dict[int, KeptLay]:
    """Accepted lays by fabric, with their lengths and the cuts made; the project's own before others'."""
    theirs = KeptLay.others.through.objects.filter(project=project).values("keptlay_id")
    lays = KeptLay.objects.filter(Q(project=project) | Q(pk__in=theirs)).select_related("cloth")
    lays = lays.prefetch_related(
        Prefetch("lengths", LayLength.objects.select_related("cloth")),
        Prefetch("cuts", LayCut.objects.select_related("entry")),
    )
    found = sorted(lays, key=lambda lay: (lay.project_id == project.pk, -lay.pk))
    return {lay.fabric_id: lay for lay in found}


def drafts_of(project: Project) -> dict[int, LayDraft]:
    """Lays of the project being worked on, by fabric, with their lengths and the projects laid together."""
    drafts = LayDraft.objects.filter(project=project).prefetch_related("lengths", "others")
    return {draft.fabric_id: draft for draft in drafts}


def panels_of(projects: Iterable[Project]) -> QuerySet[Panel]:
    """Panels of the living pieces of projects, by piece and number."""
    panels = Panel.objects.filter(piece__project__in=projects, piece__deleted_at=None)
    return panels.order_by("piece_id", "number")


def edges_of(projects: Iterable[Project]) -> dict[int, tuple[Edge, ...]]:
    """Living edges of the living pieces of projects, by piece, in their order; one query."""
    rows = Edge.objects.live().filter(piece__project__in=projects, piece__deleted_at=None)
    return _by(rows.select_related("fabric").order_by("piece_id", "order", "pk"), "piece_id")


def fabrics_cut(panels: Iterable[Panel]) -> dict[int, Fabric]:
    """The fabrics that panels were cut from, as they were kept with them."""
    found = {key for row in panels if (key := fabric_kept(row.kept)) is not None}
    # Sorted here: databases differ in how they sort text, and plans must not.
    rows = sorted(Fabric.objects.filter(pk__in=found), key=lambda fabric: (fabric.name, fabric.pk))
    return {fabric.pk: fabric for fabric in rows}


def pieces_of(projects: Iterable[Project]) -> QuerySet[Piece]:
    """Living pieces of projects in their order, with all that a plan reads of each; one query."""
    pieces = Piece.objects.live().filter(project__in=projects)
    return pieces.select_related("fabric", "wadding", "backing", "version__recipe").order_by("order", "pk")


def needs_of(project: Project) -> QuerySet[NotionNeed]:
    needs = NotionNeed.objects.filter(project=project, notion__deleted_at=None)
    return needs.select_related("notion").order_by("notion__name", "pk")


def worked_steps(project: Project) -> frozenset[int]:
    """Steps that somebody has logged time on."""
    logs = LabourLog.objects.filter(project=project, removed_at=None, step__isnull=False)
    return frozenset(logs.order_by().values_list("step_id", flat=True).distinct())


def samples_for(pieces: Iterable[Piece]) -> QuerySet[Sample]:
    """Samples of every technique the pieces use, on whatever cloth: another cloth tells something too."""
    techniques = {t for piece in pieces if piece.version_id for t in _techniques(piece.version.content)}
    used = Q(across_technique__in=techniques) | Q(along_technique__in=techniques)
    return Sample.objects.live().filter(used).order_by("pk")


def _techniques(content: object) -> list[str]:
    """The techniques a version's JSON names; whether it can be read is judged later."""
    if not isinstance(content, dict):
        return []
    sides = [content.get(d) for d in (*DIRECTIONS, "ratio")]
    return [str(s.get("technique")) for s in sides if isinstance(s, dict)]


def stock_of(fabrics: set[int], project: Project) -> dict[int, tuple[Stock, ...]]:
    """Living lengths of each fabric with what this project may use of them, by label."""
    entries = StockEntry.objects.filter(cloth__fabric__in=fabrics, cloth__deleted_at=None)
    free = _free("cloth", entries, project)
    rows = ClothLength.objects.live().filter(fabric__in=fabrics).prefetch_related("flaws")
    lengths = sorted(rows, key=lambda row: (row.label, row.pk))
    found = [Stock(length, free.get(length.pk, 0)) for length in lengths]
    found = [stock for stock in found if stock.free > 0]
    return {f: tuple(s for s in found if s.length.fabric_id == f) for f in fabrics}


def notions_free(notions: list[int], project: Project) -> dict[int, int]:
    """Thousandths of each notion's unit that this project may use."""
    return _free("notion", StockEntry.objects.filter(notion__in=notions), project)


def _free(what: str, entries: QuerySet[StockEntry], project: Project) -> dict[int, int]:
    """By row: what is on the shelf less what is held for others (held lines are negative)."""
    shelf = Q(kind__in=StockEntry.ON_SHELF)
    others = Q(kind__in=StockEntry.HELD) & (Q(project=None) | ~Q(project=project))
    sums = entries.order_by().values(f"{what}_id")
    sums = sums.annotate(shelf=Sum("amount", filter=shelf), held=Sum("amount", filter=others))
    return {s[f"{what}_id"]: max(0, (s["shelf"] or 0) + (s["held"] or 0)) for s in sums}


def logged_by_stage(project: Project) -> dict[str, int]:
    """Minutes logged by stage, from the stored sums."""
    sums = LabourTotal.objects.filter(project=project).order_by().values("stage").annotate(all=Sum("minutes"))
    return {s["stage"]: s["all"] for s in sums}


def _by(rows: Iterable[Row], name: str) -> dict[int, tuple[Row, ...]]:
    found: dict[int, list[Row]] = {}
    for row in rows:
        found.setdefault(getattr(row, name), []).append(row)
    return {key: tuple(group) for key, group in found.items()}
