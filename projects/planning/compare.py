"""Recipes side by side on one piece and cloth: each is planned as if nothing else were made or cut yet."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from projects.calc.errors import CalcError
from projects.calc.lengths import UNITS
from projects.calc.money import half_up_minor, minor
from projects.calc.needle import Stack
from projects.calc.panels import PanelPlan
from projects.calc.price import worked
from projects.calc.recipe import Recipe
from projects.calc.sampling import ANOTHER_CLOTH, NO_SAMPLE, THIS_CLOTH
from projects.calc.under import lacking
from projects.models import Edge, Fabric, Piece, Project, RecipeVersion, Workroom

from .advice import SampleNeeded
from .hands import spreads_for
from .hour_rates import HourRates
from .learned_rates import rates_for
from .load import Rows
from .making import plan_rows
from .materials import AND_SWATCH, SWATCH_ONLY
from .own_settings import basis_of
from .plan import FabricPlan, PiecePlan, Plan
from .recipe_trial import samples_of
from .samples import Samples

LEAST, MOST = 2, 6
SURENESS = (THIS_CLOTH, ANOTHER_CLOTH, NO_SAMPLE)
"""What take-up may rest on, the best first."""


@dataclass(frozen=True, slots=True)
class Money:
    """Cloth and hours of one recipe in minor units; None where a price or rate is not known.

    ``known`` is what is known of the cloth, ``lacking`` why the rest of it isn't, in words.
    """

    cloth: int | None
    hours: int | None
    known: int = 0
    lacking: tuple[str, ...] = ()

    @property
    def total(self) -> int | None:
        return None if self.cloth is None or self.hours is None else self.cloth + self.hours

    @property
    def at_least(self) -> int:
        """All that is known of both."""
        return self.known + (self.hours or 0)


@dataclass(frozen=True, slots=True)
class Column:
    """One recipe on the piece. Lengths nm, areas m2; None where unknown. ``problem`` says why nothing is."""

    version: RecipeVersion
    kind: str
    problem: str = ""
    panel: PanelPlan | None = None
    panels: int = 0
    cloth: FabricPlan | None = None
    under: tuple[tuple[str, FabricPlan], ...] = ()
    """Fabrics, other than the cloth, that lie under it where it is quilted, each with its roles in words."""
    grams: Decimal | None = None
    sample: SampleNeeded | None = None
    rests_on: str = NO_SAMPLE
    enough: bool = False
    """Whether samples of this cloth settle it, so that one more would tell little."""
    minutes: Decimal | None = None
    low: Decimal = Decimal(0)
    high: Decimal = Decimal(0)
    starting: bool = False
    money: Money | None = None
    best: frozenset[str] = frozenset()
    """Of "area", "length", "minutes", "cost", "thickness", "weight", those where no other does better."""

    @property
    def area(self) -> Decimal | None:
        """Flat square metres of all panels."""
        return None if self.panel is None else self.panel.area * self.panels

    @property
    def length(self) -> int | None:
        """Cloth to take from the roll for all panels and a sample still to make."""
        if self.cloth is None or self.cloth.problem or self.panel is None:
            return None
        return self.cloth.for_all_panels + self.for_sample

    @property
    def for_sample(self) -> int:
        return self.cloth.need - self.cloth.for_panels if self.cloth else 0

    @property
    def sampled_for(self) -> str:
        """What that is for: a sample, a swatch to wash, or both."""
        why = " ".join(line.why for line in self.cloth.lines) if self.cloth else ""
        if SWATCH_ONLY in why:
            return "a wash swatch"
        return "a sample and a wash swatch" if AND_SWATCH in why else "a sample"

    @property
    def layers(self) -> int | None:
        return None if self.panel is None else self.panel.layers_max

    @property
    def thickness(self) -> int | None:
        return None if self.panel is None else self.panel.thickness

    @property
    def weight(self) -> Decimal | None:
        """Grams of all that is finished, wadding and backing with it, without a spare."""
        return self.grams

    @property
    def lacking(self) -> tuple[str, ...]:
        """Wadding, backing or filling that cost, thickness and weight leave out: nobody has chosen it."""
        by = self.panel.by_ratio if self.panel else None
        return lacking(by.technique, self.panel.cloth.under) if by is not None and self.panel else ()

    @property
    def padded(self) -> bool:
        return bool(self.lacking)

    @property
    def cost(self) -> int | None:
        return self.money.total if self.money else None

    @property
    def stack(self) -> Stack | None:
        """The most that ever lies under the needle."""
        stacks = self.panel.stacks if self.panel else ()
        return max(stacks, key=lambda s: (s.over, s.layers), default=None)

    def ratio(self, name: str) -> Decimal | None:
        """Flat for one finished, of the textured cloth of one direction ("across" or "along")."""
        if self.panel is None:
            return None
        side = self.panel.side(name)
        return Decimal(side.textured) / side.need


@dataclass(frozen=True, slots=True)
class Comparison:
    """What is compared, on what: ``piece`` is the row itself, or one nobody saved for a free size."""

    piece: Piece
    fabric: Fabric | None
    columns: tuple[Column, ...]
    money: bool


def compare(
    piece: Piece, versions: Sequence[RecipeVersion], *, workroom: Workroom, today: date, money: bool = False
) -> Comparison:
    """Plan ``piece`` with each version (at most six). A fixed number of queries; nothing is saved.

    With ``money`` cloth and hours are priced; without it no price is even looked at.
    """
    recipes = [recipe for version in versions if (recipe := _read(version)) is not None]
    project = piece.project if piece.project_id else Project(washing="before")
    basis = basis_of(project, workroom, rates_for(today=today))
    rows = Rows(
        project=project,
        workroom=basis.workroom,
        samples=tuple(samples_of(*recipes)),
        rates=basis.rates,
        spreads=spreads_for(project),
        edges=_edges(piece),
    )
    price = _prices(piece, workroom, today) if money else None
    columns = tuple(_column(piece, version, rows, price) for version in versions[:MOST])
    return Comparison(piece, piece.fabric, tuple(_judged(columns)), money)


def _edges(piece: Piece) -> dict[int, tuple[Edge, ...]]:
    """The edges of a piece of a project; a piece nobody saved has none."""
    if not piece.pk:
        return {}
    rows = Edge.objects.live().filter(piece=piece).select_related("fabric").order_by("order", "pk")
    return {piece.pk: tuple(rows)}


def _read(version: RecipeVersion) -> Recipe | None:
    try:
        return Recipe.from_json(version.content)
    except CalcError:
        return None


def _column(
    piece: Piece, version: RecipeVersion, rows: Rows, price: Callable[[Column], Money] | None
) -> Column:
    recipe = _read(version)
    bare = Column(version, recipe.kind_name() if recipe else "can't be read")
    trial = copy.copy(piece)
    trial.version, trial.name = version, piece.name or "This piece"
    plan = plan_rows(replace(rows, pieces=(trial,)))
    part = plan.pieces[0]
    if part.problem or not part.panels:
        return replace(bare, problem=part.problem or "It makes no panels.")
    column = replace(_worked(bare, plan, part), enough=_enough(piece, recipe, rows))
    return replace(column, money=price(column)) if price else column


def _enough(piece: Piece, recipe: Recipe | None, rows: Rows) -> bool:
    samples = Samples(rows.samples, rows.workroom.depth_spread)
    return recipe is not None and samples.enough(piece.fabric_id, recipe)


def _worked(bare: Column, plan: Plan, part: PiecePlan) -> Column:
    cloth = next((f for f in plan.fabrics if f.fabric_id == part.fabric_id), None)
    samples = [s for s in cloth.samples if not s.over] if cloth else []
    return replace(
        bare,
        panel=part.panels[0].plan,
        panels=len(part.panels),
        cloth=cloth,
        under=_under(plan, part),
        grams=_grams(part),
        sample=samples[0] if samples else None,
        rests_on=_rests_on(part.panels[0].plan),
        minutes=plan.minutes,
        low=plan.low,
        high=plan.high,
        starting=any(stage.starting for stage in plan.budget),
    )


def _under(plan: Plan, part: PiecePlan) -> tuple[tuple[str, FabricPlan], ...]:
    roles: dict[int, list[str]] = {}
    for layer in part.under:
        roles.setdefault(layer.fabric_id, []).append(layer.role)
    return tuple(
        (" and ".join(roles[f.fabric_id]), f)
        for f in plan.fabrics
        if f.fabric_id in roles and f.fabric_id != part.fabric_id
    )


def _grams(part: PiecePlan) -> Decimal | None:
    weights = [line.plan.weight for line in part.panels if not line.spare]
    return None if None in weights else sum((w for w in weights if w is not None), Decimal(0))


def _rests_on(panel: PanelPlan) -> str:
    """What the less sure of the two directions rests on; a direction by ratio tells it of its ratio."""
    found = [getattr(side, "ratio", None) or (side.direction and side.take_up) for side in panel.both]
    bases = [known.basis for known in found if known]
    return max(bases, key=SURENESS.index, default=NO_SAMPLE)


def _prices(piece: Piece, workroom: Workroom, today: date) -> Callable[[Column], Money]:
    """What prices a column: cloth, and what lies under it, at its fabric's price; hours at the studio's rate
    of today."""
    rate = HourRates.load().work(today)
    fabrics = {row.pk: row for row in (piece.fabric, piece.wadding, piece.backing) if row is not None}

    def worth(plan: FabricPlan | None, length: int | None) -> Decimal | None:
        fabric = fabrics.get(plan.fabric_id) if plan else None
        if fabric is None or fabric.price is None or length is None or (plan and plan.problem):
            return None
        return minor(fabric.price, workroom.currency) * length / UNITS[fabric.price_per]

    def price(column: Column) -> Money:
        taken = [(column.cloth, column.length), *((plan, plan.for_all_panels) for _, plan in column.under)]
        parts = [worth(plan, length) for plan, length in taken]
        known = half_up_minor(sum((part for part in parts if part is not None), Decimal(0)))
        lacking = [_lack(plan) for (plan, _), part in zip(taken, parts, strict=True) if part is None]
        hours = (
            None if rate is None or column.minutes is None else half_up_minor(worked(column.minutes, rate))
        )
        return Money(None if lacking else known, hours, known, tuple(dict.fromkeys(lacking)))

    return price


def _lack(plan: FabricPlan | None) -> str:
    """Why nobody knows what a cloth costs."""
    if plan is None:
        return "no cloth is chosen"
    return f"{plan.name} can't be laid" if plan.problem else f"{plan.name} has no price"


JUDGED: dict[str, Callable[[Column], Decimal | int | None]] = {
    "area": lambda column: column.area,
    "length": lambda column: column.length,
    "minutes": lambda column: column.minutes,
    "cost": lambda column: column.cost,
    "thickness": lambda column: column.layers,
    "weight": lambda column: column.weight,
}


LEFT_OUT = ("cost", "thickness", "weight")
"""What wadding and backing would add to."""


def _judged(columns: Sequence[Column]) -> Iterable[Column]:
    """Each with what it is best at; where all are alike nobody is, nor where one can't be judged."""
    shown = [column for column in columns if not column.problem]
    best = {name: _least([value(c) for c in shown]) for name, value in JUDGED.items()}
    for name in LEFT_OUT:
        if any(c.padded and JUDGED[name](c) == best[name] for c in shown):
            best[name] = None  # what leads may not, once its wadding is counted
    for column in columns:
        won = {
            name for name, value in JUDGED.items() if best[name] is not None and value(column) == best[name]
        }
        yield replace(column, best=frozenset(won))


def _least(values: list[Decimal | int | None]) -> Decimal | int | None:
    known = [value for value in values if value is not None]
    return min(known) if len(known) == len(values) and len(set(known)) > 1 else None
