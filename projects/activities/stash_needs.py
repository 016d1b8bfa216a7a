"""What a project needs, against the stash: needed, held for it, free, to buy, and what else would serve."""

from dataclasses import dataclass

from projects.calc.lengths import NM_PER_INCH, NM_PER_MM, System
from projects.models import ClothLength, Fabric, Notion, NotionNeed, Project
from projects.planning import plan_project
from projects.planning.cloth import Washing
from projects.planning.plan import FabricPlan, NotionPlan
from projects.planning.serving import Serving, Wanted, serving

from .balances import Balance, balances

STEPS = {System.METRIC: NM_PER_MM, System.INCH: NM_PER_INCH // 8}
"""What a person can measure: amounts to reserve are rounded up to it."""
SHOWN = 20


@dataclass(frozen=True, slots=True)
class Lying:
    """A length of the project's own fabric: free of it, held of it for the project, worth reserving (nm)."""

    length: ClothLength
    free: int
    held: int
    reserve: int


@dataclass(frozen=True, slots=True)
class Other:
    """A length of another fabric that would serve, with how much to reserve (nm)."""

    serving: Serving
    reserve: int

    @property
    def weight(self) -> str:
        """How its weight compares, in words."""
        if self.serving.heavier is None:
            return "weight not known"
        share = round(self.serving.heavier * 100)
        if not share:
            return "the same weight"
        return f"{abs(share)}\N{NO-BREAK SPACE}% {'heavier' if share > 0 else 'lighter'}"

    @property
    def colour(self) -> str:
        known = {True: "the same colour family", False: "another colour family"}
        return known.get(self.serving.alike, "colour family not known")


@dataclass(frozen=True, slots=True)
class ClothNeed:
    line: FabricPlan
    held: int
    free: int
    lengths: tuple[Lying, ...]
    others: tuple[Other, ...]

    @property
    def reservable(self) -> bool:
        return any(length.reserve for length in self.lengths)


@dataclass(frozen=True, slots=True)
class NotionNeeded:
    """A notion: ``reserve`` thousandths of its unit are worth reserving."""

    line: NotionPlan
    row: Notion
    held: int
    free: int
    reserve: int


@dataclass(frozen=True, slots=True)
class Needs:
    cloth: tuple[ClothNeed, ...]
    notions: tuple[NotionNeeded, ...]

    @property
    def anything(self) -> bool:
        return bool(self.cloth or self.notions)


def needs_of(project: Project, system: System) -> Needs:
    """The project's fabrics and notions beside the stash, in one number of queries."""
    plan, step = plan_project(project), STEPS[system]
    fabrics = Fabric.objects.in_bulk([line.fabric_id for line in plan.fabrics])
    lines = [line for line in plan.fabrics if line.fabric_id in fabrics]
    short = [line for line in lines if line.buy_exact and line.for_panels and not line.problem]
    others = serving((Wanted.of(x, fabrics[x.fabric_id], project) for x in short), project)
    lying = _lying(fabrics)
    cloth = tuple(
        _cloth(line, fabrics[line.fabric_id], lying, others.get(line.fabric_id, ()), project, step)
        for line in lines
    )
    return Needs(cloth, _notions(plan.notions, project))


Lies = list[tuple[ClothLength, Balance]]


def _lying(fabrics: dict[int, Fabric]) -> dict[int, Lies]:
    """Living lengths with something on them, by fabric, with whom they are held for."""
    rows = list(ClothLength.objects.live().filter(fabric__in=fabrics, shelf__gt=0).order_by("label", "pk"))
    known, found = balances(rows), dict[int, Lies]()
    for row in rows:
        found.setdefault(row.fabric_id, []).append((row, known[row.pk]))
    return found


def _cloth(
    line: FabricPlan,
    fabric: Fabric,
    lying: dict[int, Lies],
    others: tuple[Serving, ...],
    project: Project,
    step: int,
) -> ClothNeed:
    rows, washing = lying.get(line.fabric_id, []), Washing.of(fabric, project)
    held = sum(balance.reserved_for(project) for _, balance in rows)
    missing = max(0, line.need - held) if not line.problem else 0
    lengths = []
    for row, balance in rows:
        reserve = typeable(missing, balance.free, step) if washing.serves(row) else 0
        missing -= min(missing, reserve)
        lengths.append(Lying(row, balance.free, balance.reserved_for(project), reserve))
    free = sum(balance.free for _, balance in rows)
    served = tuple(Other(s, typeable(s.takes, s.free, step)) for s in others)
    return ClothNeed(line, held, free, tuple(lengths[:SHOWN]), served)


def typeable(wanted: int, free: int, step: int) -> int:
    """``wanted`` rounded up to what can be measured, but no more than is free, rounded down (nm)."""
    return min(-(-wanted // step) * step, free - free % step)


def _notions(lines: tuple[NotionPlan, ...], project: Project) -> tuple[NotionNeeded, ...]:
    rows = Notion.objects.in_bulk([line.notion_id for line in lines])
    known = balances(rows.values())
    amounts = dict(NotionNeed.objects.filter(project=project).values_list("notion_id", "amount"))
    found = []
    for line in lines:
        row, balance = rows[line.notion_id], known[line.notion_id]
        held = balance.reserved_for(project)
        missing = max(0, amounts.get(row.pk, 0) - held)
        found.append(NotionNeeded(line, row, held, balance.free, min(missing, balance.free)))
    return tuple(found)
