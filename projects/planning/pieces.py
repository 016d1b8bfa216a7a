"""One piece as it is planned: its recipe, what samples say, and the numbers of each of its panels."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property, lru_cache

from projects.calc.errors import CalcError
from projects.calc.panels import Cloth, DrawIns, PanelPlan, PieceSize, Sizing, TakeUps, panel
from projects.calc.ratio_samples import RatioUps
from projects.calc.recipe import Direction, Recipe
from projects.calc.sampling import TakeUp
from projects.calc.turning import mirrored
from projects.models import Panel, Piece, RecipeVersion

from . import notes
from .cloth import Washing
from .edges_plan import plan_edges
from .hands import Spread
from .load import Rows
from .naming import PanelName, panel_names
from .plan import PanelLine, PiecePlan
from .samples import DIRECTIONS, FIRST, SECOND, Samples, other, side
from .snapshot import UnknownFormat, changes, fabric_kept, read_kept
from .under import layers_of, under_of

MARGIN_AT = {"both": "both", "start": "first", "end": "far"}


@dataclass
class Desk:
    """What is looked up again and again while the pieces of one plan are worked out."""

    rows: Rows
    samples: Samples
    recipes: dict[int, Recipe] = field(default_factory=dict)
    shared: dict[tuple[object, ...], "Shared"] = field(default_factory=dict)

    @classmethod
    def of(cls, rows: Rows) -> "Desk":
        return cls(rows, Samples(rows.samples, rows.workroom.depth_spread))

    def recipe(self, version: RecipeVersion) -> Recipe:
        """The checked content of a version. Raises RecipeError."""
        if version.pk not in self.recipes:
            self.recipes[version.pk] = Recipe.from_json(version.content)
        return self.recipes[version.pk]


@dataclass(frozen=True, slots=True, eq=False)
class Shared:
    """What pieces of one recipe and one cloth share. Equal ones are one and the same, see ``shared_by``, so
    that they are compared and looked up by identity."""

    recipe: Recipe | None
    sizing: Sizing
    take_ups: TakeUps
    cloth: Cloth
    draw_ins: DrawIns
    ratios: RatioUps | None = None

    @staticmethod
    def of(piece: Piece, recipe: Recipe | None, desk: Desk) -> "Shared":
        return shared_by(
            recipe,
            _sizing(piece, recipe, desk.rows),
            _take_ups(recipe, piece.fabric_id, desk.samples),
            _cloth(piece, recipe, desk.rows),
            _draw_ins(recipe, piece.fabric_id, desk.samples),
            desk.samples.ratios(piece.fabric_id, recipe.ratio) if recipe and recipe.ratio else None,
        )


@lru_cache(maxsize=64)
def shared_by(
    recipe: Recipe | None,
    sizing: Sizing,
    take_ups: TakeUps,
    cloth: Cloth,
    draw_ins: DrawIns,
    ratios: RatioUps | None,
) -> Shared:
    return Shared(recipe, sizing, take_ups, cloth, draw_ins, ratios)


@dataclass(frozen=True, slots=True)
class Worked:
    """A piece's numbers before its panels are named: as drawn, and why there are none."""

    recipe: Recipe | None = None
    take_ups: Mapping[str, TakeUp] = field(default_factory=dict)
    ratios: RatioUps | None = None
    plan: PanelPlan | None = None
    problem: str = ""


def plan_piece(piece: Piece, desk: Desk) -> PiecePlan:
    """One piece with its panels. What can't be planned says why; panels that are cut stay as kept."""
    worked = work(piece, desk)
    lines, unread = _lines(piece, worked.plan, desk.rows)
    version = piece.version
    return PiecePlan(
        piece_id=piece.pk,
        name=piece.name,
        count=piece.count,
        pair=piece.mirrored and piece.count > 1,
        across=piece.across,
        along=piece.along,
        fabric_id=piece.fabric_id,
        fabric=piece.fabric.name if piece.fabric else "",
        recipe_id=version.recipe_id if version else None,
        recipe_name=version.recipe.name if version else "",
        version=version.number if version else None,
        recipe=worked.recipe,
        take_up_across=worked.take_ups.get("across"),
        take_up_along=worked.take_ups.get("along"),
        ratios=worked.ratios,
        panels=lines,
        notes=(
            *notes.cut_too_small(lines, desk.rows.workroom),
            *notes.squares(piece, worked.plan, desk.rows.workroom),
            *notes.of_piece(piece, worked.recipe, worked.plan, desk.rows),
        ),
        problem=" ".join(text for text in (worked.problem, *unread) if text),
        edges=plan_edges(piece, desk.rows),
        hand_tucks=spread_for(piece, worked.recipe, desk.rows).tucks,
        under=under_of(piece, worked.recipe),
    )


def work(piece: Piece, desk: Desk) -> Worked:
    """The numbers of one panel of a piece as drawn."""
    recipe = None
    try:
        recipe = desk.recipe(piece.version) if piece.version else None
        plan = panel_of(piece, recipe, desk)
    except CalcError as error:
        return Worked(recipe, problem=f"{piece.name} can't be planned. {error}")
    used = {d: plan.side(d).take_up for d in DIRECTIONS if recipe and side(recipe, d)}
    ratios = RatioUps(plan.across.ratio, plan.along.ratio) if plan.across.ratio and plan.along.ratio else None
    if plan.joins and plan.joins.refusal:
        return Worked(recipe, used, ratios, None, notes.too_wide(piece, plan, desk.rows.workroom))
    return Worked(recipe, used, ratios, plan)


def panel_of(piece: Piece, recipe: Recipe | None, desk: Desk) -> PanelPlan:
    """Raises CalcError when the numbers can't be cut or folded."""
    key = (recipe, piece.fabric_id, piece.wadding_id, piece.backing_id, piece.bordered)
    if key not in desk.shared:
        desk.shared[key] = Shared.of(piece, recipe, desk)
    return remembered(desk.shared[key], piece.centring, size_of(piece))


@lru_cache(maxsize=128)
def remembered(shared: Shared, centring: str, size: PieceSize) -> PanelPlan:
    """A panel is pure given these values and never changes: pages ask for the same few again and again."""
    recipe = _centred(shared.recipe, centring)
    return panel(recipe, size, shared.sizing, shared.take_ups, shared.cloth, shared.draw_ins, shared.ratios)


def _centred(recipe: Recipe | None, centring: str) -> Recipe | None:
    """The piece's own wish comes before the recipe's."""
    if recipe is None or recipe.ratio is not None or not centring:
        return recipe
    sides = {d: _centre(side(recipe, d), centring) for d in DIRECTIONS}
    return replace(recipe, **sides)


def _centre(direction: Direction | None, centring: str) -> Direction | None:
    if direction is None or direction.is_pleats:
        return direction
    return replace(direction, centring=centring)


def size_of(piece: Piece) -> PieceSize:
    """The piece in calc's words. Allowances drawn in add nothing, but tucks are still caught in them."""
    edges = {
        "left": piece.allowance_sides,
        "right": piece.allowance_sides,
        "top": piece.allowance_top,
        "bottom": piece.allowance_bottom,
    }
    where = "inside" if piece.allowances_drawn else "allowance"
    return PieceSize(
        piece.across,
        piece.along,
        **{f"{where}_{edge}": length for edge, length in edges.items()},
        whole_repeats=piece.whole_repeats,
        caught=piece.caught,
        margin_at=MARGIN_AT[piece.margin_at],
        work_order=piece.work_order,
    )


def _sizing(piece: Piece, recipe: Recipe | None, rows: Rows) -> Sizing:
    studio = rows.workroom
    return Sizing(
        squaring=studio.squaring,
        border=studio.border if piece.bordered else 0,
        depth_spread=spread_for(piece, recipe, rows).spread,
        check_every=studio.check_every,
        wash=rows.project.washing,
        needle_lift=studio.needle_lift,
    )


def spread_for(piece: Piece, recipe: Recipe | None, rows: Rows) -> Spread:
    """How far tucks of a piece stray: as check measures say, moved from the studio's setting; of two
    directions by different techniques the one that strays more."""
    start = rows.workroom.depth_spread
    sewn = [side(recipe, d) for d in DIRECTIONS] if recipe else []
    found = [rows.spreads.of(s.technique, piece.fabric_id, start) for s in sewn if s]
    return max(found, key=lambda known: known.spread, default=Spread(start))


def _cloth(piece: Piece, recipe: Recipe | None, rows: Rows) -> Cloth:
    fabric, under = piece.fabric, layers_of(piece, recipe)
    if fabric is None:
        return Cloth(under=under)
    return Cloth(
        thickness=fabric.thickness,
        grams=fabric.grams,
        light=fabric.light,
        shrink_along=fabric.shrink_along,
        shrink_across=fabric.shrink_across,
        usable_width=Washing.of(fabric, rows.project).worked_width(fabric.width) or None,
        one_way=fabric.one_way,
        under=under,
    )


def _take_ups(recipe: Recipe | None, fabric: int | None, samples: Samples) -> TakeUps:
    """What samples say of each direction in each place it may have in the order."""
    found: dict[str, TakeUp] = {}
    for direction in DIRECTIONS:
        sewn = side(recipe, direction) if recipe else None
        if sewn is not None:
            ask = (fabric, direction, sewn.technique, sewn.way)
            found[direction] = samples.take_up(*ask, FIRST)
            found[f"{direction}_second"] = samples.take_up(*ask, SECOND)
    return TakeUps(**found)


def _draw_ins(recipe: Recipe | None, fabric: int | None, samples: Samples) -> DrawIns:
    """Where one direction alone is textured, its seams draw the other in; both together it is part of e."""
    found: dict[str, Fraction] = {}
    for direction in DIRECTIONS:
        crossing = side(recipe, other(direction)) if recipe else None
        if recipe and not recipe.both and crossing is not None:
            found[direction] = samples.draw_in(fabric, direction, crossing.technique, crossing.way)
    return DrawIns(**found)


def _lines(piece: Piece, plan: PanelPlan | None, rows: Rows) -> tuple[tuple[PanelLine, ...], tuple[str, ...]]:
    """The panels wanted, and those that are cut whether they are still wanted or not, by number; and what to
    say of those that were kept by a later version of the program."""
    wanted = {n.number: n for n in panel_names(piece.name, piece.count, piece.mirrored, piece.spare)}
    there = {row.number: row for row in rows.panels.get(piece.pk, ())}
    numbers = sorted({*wanted, *(n for n, row in there.items() if row.cut_at is not None)})
    hands, lines, unread = Hands(plan), [], []
    for number in numbers:
        try:
            lines.append(_line(wanted.get(number), there.get(number), hands, piece, rows))
        except UnknownFormat as error:
            unread.append(f"{there[number].name} is cut, but its numbers can't be read. {error}")
    return tuple(line for line in lines if line is not None), tuple(unread)


class Hands:
    """The numbers of a piece as drawn and mirrored; its panels share them."""

    def __init__(self, plan: PanelPlan | None) -> None:
        self.plan = plan

    @cached_property
    def mirrored(self) -> PanelPlan | None:
        return mirrored(self.plan) if self.plan else None

    def of(self, is_mirrored: bool) -> PanelPlan | None:
        return self.mirrored if is_mirrored else self.plan


def _line(
    name: PanelName | None, row: Panel | None, hands: Hands, piece: Piece, rows: Rows
) -> PanelLine | None:
    if row is not None and row.cut_at is not None and row.kept is not None:
        now = hands.of(row.mirrored) if name else None
        return _kept_line(row, now, fabric_of(row, piece, rows), gone=name is None)
    plan = hands.of(name.mirrored) if name else None
    if name is None or plan is None:
        return None
    row_id = row.pk if row else None
    return PanelLine(row_id, name.number, name.name, name.hand, name.spare, False, plan, piece.fabric_id)


def fabric_of(row: Panel, piece: Piece, rows: Rows) -> int | None:
    """The fabric a cut panel was cut from, where it was kept and is still known; else its piece's."""
    found = fabric_kept(row.kept)
    return found if found in rows.fabrics else piece.fabric_id


def _kept_line(row: Panel, now: PanelPlan | None, fabric: int | None, gone: bool) -> PanelLine:
    """A cut panel: its numbers as they were kept, and what later edits would have changed."""
    kept = read_kept(row.kept)
    differing = changes(kept.plan, now) if now else ()
    return PanelLine(
        row.pk, row.number, row.name, kept.hand, row.spare, True, kept.plan, fabric, differing,
        no_longer_wanted=gone,
    )  # fmt: skip
