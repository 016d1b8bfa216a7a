"""What a new version of a recipe would change in the pieces that use an older one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from projects.calc import labour, ratio_labour
from projects.calc.errors import CalcError
from projects.calc.panels import PanelPlan
from projects.calc.recipe import Recipe
from projects.models import Panel, Piece, Project, Workroom
from projects.models import Recipe as RecipeRow

from .hands import spreads
from .learned_rates import Rates, rates_for
from .load import Rows
from .own_settings import basis_of
from .pieces import Desk, panel_of
from .recipe_trial import samples_of
from .samples import DIRECTIONS, Samples


@dataclass(frozen=True, slots=True)
class Totals:
    """One piece, all its panels: flat square metres, minutes of texture, the size of one panel (nm)."""

    area: Decimal
    minutes: Decimal
    width: int
    length: int


@dataclass(frozen=True, slots=True)
class Consequence:
    """A piece that uses an older version: its numbers now and with the new one, and whether it is ticked.

    `now` or `then` is None where that version can't be cut for the piece; `problem` says why it can't be.
    """

    piece: Piece
    now: Totals | None
    then: Totals | None
    cut: int
    ticked: bool
    problem: str = ""

    @property
    def area_change(self) -> Decimal | None:
        return self.then.area - self.now.area if self.now and self.then else None

    @property
    def minutes_change(self) -> Decimal | None:
        return self.then.minutes - self.now.minutes if self.now and self.then else None


def consequences(
    recipe: RecipeRow, content: Recipe, *, workroom: Workroom, came_from: int | None
) -> list[Consequence]:
    """Every living piece that uses a version of ``recipe``, with what ``content`` would change in it.

    Ticked where nothing is cut in the project ``came_from``, unticked elsewhere. A fixed number of queries.
    """
    pieces = list(_using(recipe))
    cut = _cut([p.pk for p in pieces])
    cut_in = {p.project_id for p in pieces if cut.get(p.pk)}
    desks = _Desks(content, pieces, workroom)
    return [
        desks.consequence(p, cut.get(p.pk, 0), p.project_id == came_from and p.project_id not in cut_in)
        for p in pieces
    ]


def _using(recipe: RecipeRow) -> Iterable[Piece]:
    used = Piece.objects.live().filter(version__recipe=recipe, project__deleted_at=None)
    return used.select_related("project", "fabric", "version__recipe").order_by("project_id", "order", "pk")


def _cut(pieces: list[int]) -> dict[int, int]:
    found: dict[int, int] = {}
    for piece_id in (
        Panel.objects.filter(piece__in=pieces).exclude(cut_at=None).values_list("piece_id", flat=True)
    ):
        found[piece_id] = found.get(piece_id, 0) + 1
    return found


class _Desks:
    """One desk for each way a project washes; samples and rates are fetched once."""

    def __init__(self, content: Recipe, pieces: list[Piece], workroom: Workroom) -> None:
        self.content, self.workroom = content, workroom
        self.old = {p.version_id: _read(p) for p in pieces}
        recipes = [content, *(r for r in self.old.values() if r)]
        self.samples = Samples(samples_of(*recipes), workroom.depth_spread)
        self.rates = rates_for()
        self.spreads = spreads()

    def consequence(self, piece: Piece, cut: int, ticked: bool) -> Consequence:
        basis = basis_of(piece.project, self.workroom, self.rates)
        desk = Desk(
            Rows(
                project=Project(washing=piece.project.washing),
                workroom=basis.workroom,
                rates=basis.rates,
                spreads=self.spreads.used_by(piece.project),
            ),
            self._samples(basis.workroom),
        )
        now, _ = self._totals(piece, self.old[piece.version_id], desk)
        then, problem = self._totals(piece, self.content, desk)
        return Consequence(piece, now, then, cut, ticked and then is not None, problem)

    def _samples(self, workroom: Workroom) -> Samples:
        """The samples as they are read with a project's own settings; mostly the studio's."""
        spread = workroom.depth_spread
        return self.samples if spread == self.samples.depth_spread else Samples(self.samples.rows, spread)

    def _totals(self, piece: Piece, recipe: Recipe | None, desk: Desk) -> tuple[Totals | None, str]:
        if recipe is None:
            return None, ""
        try:
            plan = panel_of(piece, recipe, desk)
        except CalcError as error:
            return None, str(error)
        many = piece.count + piece.spare
        minutes = texture_minutes(plan, many, desk.rows.rates)
        return Totals(plan.area * many, minutes, plan.cut_width, plan.cut_length), ""


def _read(piece: Piece) -> Recipe | None:
    try:
        return Recipe.from_json(piece.version.content) if piece.version else None
    except CalcError:
        return None


def texture_minutes(plan: PanelPlan, panels: int, rates: Rates) -> Decimal:
    """Minutes of marking, sewing and pressing the texture of so many panels, without setting up."""
    return sum((_worked(*part, rates) for part in _textures(plan, panels)), Decimal(0))


def _worked(technique: str, counted: dict[str, Decimal], rates: Rates) -> Decimal:
    lines = labour.lines(counted, rates.of(technique))
    return sum((line.minutes for line in lines if line.key != "setup"), Decimal(0))


def _textures(plan: PanelPlan, panels: int) -> Iterator[tuple[str, dict[str, Decimal]]]:
    """What is counted of each technique on a panel."""
    if plan.work is not None:
        counts = ratio_labour.quantities(plan.work).items()
        yield plan.work.technique, {key: amount * panels for key, amount in counts}
    for name in DIRECTIONS:
        direction, count = plan.side(name).direction, plan.side(name).count * panels
        if direction is None or not count:
            continue
        unit = "pleats" if direction.is_pleats else "tucks"
        counted = {"marks": count, unit: count, "cords": count if direction.technique == "corded" else 0}
        metres = {"metres_sewn": plan.sewn(name) * panels, "metres_pressed": count * plan.run_of(name)}
        yield direction.technique, {
            **{key: Decimal(value) for key, value in counted.items()},
            **{key: labour.metres(nm) for key, nm in metres.items()},
        }
