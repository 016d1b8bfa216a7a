"""The numbered cuts of an accepted lay: what each takes off its length, frees and leaves, and which are made.

Places are whole nm of cloth as it is worked, from the cut end and the left selvedge of the length or roll.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from django.db.models import Q, QuerySet

from projects.calc.lay import Lay, LayRequest
from projects.calc.lay.cuts import Cut, Remnant, cuts_of
from projects.models import ClothLength, Fabric, KeptLay, LayCut, Project, StockEntry

from .cloth import Washing
from .fabric_plan import FabricPlan, LayPart
from .lay_json import read_kept
from .lay_request import joint_name
from .making import plan_project
from .plan import Plan

SMALLEST: Final = 100_000_000
"""The smallest remnant of lays that were accepted before one could say (nm)."""
ROLL: Final = ""
Piece = tuple[str, int]
"""A panel in a lay: its name there, and which of those of this name."""


@dataclass(frozen=True, slots=True)
class CutStep:
    """One cut to make, from ``cloth`` (None: the roll, still to buy).

    The first cut of each length or roll ``takes`` what the lay uses off the shelf (nm as on the shelf); with
    ``cuts_off`` it parts that from the rest. ``frees`` is what the lay calls all that comes free, ``keeps``
    the remnants it leaves beside the rest of the length. ``needs`` are the numbers that come first.
    """

    cut: Cut
    cloth: ClothLength | None
    takes: int
    cuts_off: bool
    frees: tuple[str, ...]
    keeps: tuple[Remnant, ...]
    needs: tuple[int, ...]
    made: LayCut | None

    @property
    def number(self) -> int:
        return self.cut.number

    @property
    def takes_all(self) -> bool:
        """Whether nothing is cut: the whole length is one panel."""
        return self.cuts_off and bool(self.cut.on) and self.cut.y1 == self.cut.part.length


@dataclass(frozen=True)
class Cutting:
    """An accepted lay being cut. ``changed``: the plan asks for something else by now, so nothing of it
    should be cut any more. ``request`` is what the lay was found for; ``owners`` says which panel row each
    part of the lay belongs to (None: the blank of strips)."""

    kept: KeptLay
    lay: Lay
    request: LayRequest
    washing: Washing
    steps: tuple[CutStep, ...]
    owners: Mapping[Piece, int | None]
    changed: bool

    @cached_property
    def made(self) -> frozenset[int]:
        return frozenset(step.number for step in self.steps if step.made)

    @property
    def next(self) -> CutStep | None:
        """The first cut that is not made."""
        return next((step for step in self.steps if not step.made), None)

    @property
    def last(self) -> CutStep | None:
        """The cut that was made last."""
        done = [step for step in self.steps if step.made]
        return max(done, key=lambda step: step.made.pk if step.made else 0) if done else None

    def step(self, number: int) -> CutStep | None:
        return next((step for step in self.steps if step.number == number), None)

    def waits_for(self, step: CutStep) -> tuple[int, ...]:
        """Numbers of cuts that must be made before this one and are not."""
        return tuple(n for n in step.needs if n not in self.made)

    def made_from(self, step: CutStep) -> tuple[int, ...]:
        """Numbers of cuts that were made in what this one left."""
        return tuple(s.number for s in self.steps if s.made and step.number in s.needs)

    def panels_of(self, step: CutStep) -> frozenset[int]:
        """Panel rows of which this cut frees something."""
        rows = (self.owners.get(piece) for piece in step.cut.frees)
        return frozenset(pk for pk in rows if pk is not None)

    def steps_freeing(self, panel_id: int) -> tuple[CutStep, ...]:
        """The cuts that free the parts of a panel; none where it doesn't lie in the lay."""
        return tuple(step for step in self.steps if panel_id in self.panels_of(step))

    def steps_to(self, panel_id: int) -> tuple[CutStep, ...]:
        """All cuts that must be made to have a panel, in order."""
        wanted = {n for step in self.steps_freeing(panel_id) for n in (*step.needs, step.number)}
        return tuple(step for step in self.steps if step.number in wanted)

    def width(self, on: str) -> int:
        """Usable width of a length, or of the roll (nm)."""
        widths = {length.name: length.width for length in self.request.lengths}
        return widths.get(on, self.request.width)


def accepted_lay(project: Project, fabric: Fabric) -> KeptLay | None:
    """The accepted lay in which a project's panels of a fabric lie: its own, or one laid together."""
    found = lays_of([project.pk]).filter(fabric=fabric).order_by("-pk")
    return min(found, key=lambda lay: lay.project_id != project.pk, default=None)


def lays_of(projects: Iterable[int]) -> "QuerySet[KeptLay]":
    """Accepted lays with panels of these projects."""
    keys = list(projects)
    rows = KeptLay.objects.filter(Q(project__in=keys) | Q(others__in=keys)).distinct()
    return rows.select_related("project", "fabric", "cloth__fabric")


def cutting_of(kept: KeptLay) -> Cutting:
    """The cuts of a lay, from its rows and the plans of the projects on it, in few queries each."""
    others = list(kept.others.order_by("number"))
    plans = [plan_project(project) for project in (kept.project, *others)]
    lines = [(plan, _line(plan, kept.fabric_id)) for plan in plans]
    read = read_kept(kept.inputs, kept.result)
    lay, request = read.lay, read.request
    washing = Washing.of(kept.fabric, kept.project)
    return Cutting(
        kept=kept,
        lay=lay,
        request=request,
        washing=washing,
        steps=tuple(_steps(kept, lay, request, washing)),
        owners=_owners(lay, lines, joint=bool(read.projects)),
        changed=not all(line is not None and line.kept_lay for _, line in lines),
    )


def _line(plan: Plan, fabric_id: int) -> FabricPlan | None:
    return next((line for line in plan.fabrics if line.fabric_id == fabric_id), None)


def _owners(
    lay: Lay, lines: Iterable[tuple[Plan, FabricPlan | None]], *, joint: bool
) -> dict[Piece, int | None]:
    """Which panel row each part of a lay belongs to. Names tell, and of equal names the order."""
    rows: dict[str, list[LayPart]] = {}
    for plan, line in lines:
        for part in line.parts if line else ():
            name = joint_name(plan.facts.number, part.panel.name) if joint else part.panel.name
            rows.setdefault(name, []).append(part)
    found: dict[Piece, int | None] = {}
    for placed in lay.placements:
        own = rows.get(placed.name, [])
        part = own[min(placed.copy, len(own)) - 1] if own else None
        found[placed.name, placed.copy] = part.panel_id if part else None
    return found


def _steps(kept: KeptLay, lay: Lay, request: LayRequest, washing: Washing) -> Iterator[CutStep]:
    clothes, takes = _clothes(kept, washing, lay)
    rows = kept.cuts.select_related("cut_by", "entry").prefetch_related("remnants")
    made = {row.number: row for row in rows}
    for step in steps_of(lay, request):
        on = step.cut.on
        taken = 0 if step.needs else takes.get(on, 0)
        yield replace(step, cloth=clothes.get(on), takes=taken, made=made.get(step.number))


def steps_of(lay: Lay, request: LayRequest) -> tuple[CutStep, ...]:
    """The cuts of any lay, none of them made; what they take off which row is not told."""
    cuts = cuts_of(lay, replace(request, smallest_remnant=request.smallest_remnant or SMALLEST))
    found = []
    for cut in cuts:
        needs = tuple(c.number for c in cuts if c.number < cut.number and c.on == cut.on and _holds(c, cut))
        off = not needs and cut.y1 == cut.y2 == _used(lay, cut.on)
        keeps = tuple(left for left in cut.leaves if not (off and left.y >= cut.y1))
        found.append(CutStep(cut, None, 0, off, tuple(name for name, _ in cut.frees), keeps, needs, None))
    return tuple(found)


def _used(lay: Lay, on: str) -> int:
    return max((p.y + p.length for p in lay.placements if p.on == on), default=0)


def _holds(outer: Cut, inner: Cut) -> bool:
    """Whether the part that one cut divides is, or lies in, the part that another divides."""
    a, b = outer.part, inner.part
    across = a.x <= b.x and b.x + b.width <= a.x + a.width
    return across and a.y <= b.y and b.y + b.length <= a.y + a.length


def _clothes(
    kept: KeptLay, washing: Washing, lay: Lay
) -> tuple[dict[str, ClothLength | None], dict[str, int]]:
    """By name in the lay: the length that it is, and what the lay takes off it (nm as on the shelf)."""
    rows = list(kept.lengths.select_related("cloth__fabric"))
    clothes: dict[str, ClothLength | None] = {str(row.place): row.cloth for row in rows}
    takes = {str(row.place): row.used for row in rows}
    clothes[ROLL] = kept.cloth
    if kept.cloth is not None:
        whole = lay.length if kept.cloth.washed else washing.to_buy(lay.length)
        takes[ROLL] = max(0, whole - _taken_before(kept))
    return clothes, takes


def _taken_before(kept: KeptLay) -> int:
    """What an earlier release took off the length, stretch by stretch, and has not put back (nm)."""
    lines = StockEntry.objects.filter(cloth=kept.cloth_id, project=kept.project_id, at__gte=kept.kept_at)
    lines = lines.filter(note__startswith="stretch ", kind__in=("cut", "counted"), lay_cuts=None)
    return max(0, -sum(lines.values_list("amount", flat=True)))


def made_cuts(project: Project) -> dict[int, frozenset[int]]:
    """Numbers of the cuts that are made of each accepted lay of a project, by fabric; one query."""
    rows = LayCut.objects.filter(Q(lay__project=project) | Q(lay__others=project)).distinct()
    found: dict[int, set[int]] = {}
    for fabric_id, number in rows.values_list("lay__fabric_id", "number"):
        found.setdefault(fabric_id, set()).add(number)
    return {key: frozenset(numbers) for key, numbers in found.items()}

