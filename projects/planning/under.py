"""What lies under quilted pieces: wadding and backing as panels of their own fabrics. Lengths nm."""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from projects.calc.lay import LayPanel
from projects.calc.recipe import Recipe
from projects.calc.sizes import Under
from projects.calc.under import lacking, wanted, widths
from projects.models import Fabric, Piece

from . import cautions
from .cloth import Washing
from .drafts import Draft
from .fabric_plan import LayPart
from .plan import Measure, Note, PanelLine, PiecePlan
from .sewn import UnderPlan
from .touched import OVER, under_key

UNDER_AT = 900.0
"""Cut after everything is washed or pressed, before the panels."""
NM2_PER_M2 = Decimal(10**18)


def technique_of(recipe: Recipe | None) -> str | None:
    return recipe.ratio.technique if recipe is not None and recipe.ratio is not None else None


def under_of(piece: Piece, recipe: Recipe | None) -> tuple[UnderPlan, ...]:
    """What was chosen to lie under a piece, from the top; nothing where it is not quilted."""
    if not wanted(technique_of(recipe)):
        return ()
    chosen = (("wadding", piece.wadding), ("backing", piece.backing))
    return tuple(UnderPlan(role, row.pk, row.name) for role, row in chosen if row is not None)


def layers_of(piece: Piece, recipe: Recipe | None) -> tuple[Under, ...]:
    """The same in calc's words."""
    rows = {"wadding": piece.wadding, "backing": piece.backing}
    found = ((layer.role, rows[layer.role]) for layer in under_of(piece, recipe))
    return tuple(
        Under(role, row.thickness, None if row.grams is None else Decimal(row.grams))
        for role, row in found
        if row is not None
    )


def notes_of(piece: Piece, recipe: Recipe | None) -> list[str]:
    """Layers that were chosen and count for nothing, and what nobody measured of those that count."""
    chosen = [row for row in (piece.wadding, piece.backing) if row is not None]
    if chosen and not wanted(technique_of(recipe)):
        return ["It isn't quilted, so its wadding and backing are left out."]
    found = []
    for row in chosen:
        if row.thickness is None:
            found.append(f"How thick {row.name} is isn't known, so neither is the whole.")
        if row.grams is None:
            found.append(f"What {row.name} weighs isn't known, so neither is the weight of the piece.")
    return found


def not_chosen(part: PiecePlan) -> tuple[str, ...]:
    """The layers a quilted piece is worked on that nobody has chosen; filling is a notion."""
    there = tuple(Under(layer.role) for layer in part.under)
    return tuple(role for role in lacking(technique_of(part.recipe), there) if role != "filling")


Layer = tuple[str, PanelLine, bool]
"""A role, the panel it lies under, and whether it may lie across its cloth."""


def layers_in(fabric_id: int, pieces: Iterable[PiecePlan], turns: dict[int, bool]) -> Iterator[Layer]:
    """Everything of one fabric that lies under panels; a spare has it once it is taken up. Wadding has no
    grain."""
    for piece in pieces:
        for layer in piece.under:
            if layer.fabric_id == fabric_id:
                may_turn = layer.role == "wadding" or turns.get(piece.piece_id, False)
                wanted_lines = (p for p in piece.panels if not p.spare and not p.no_longer_wanted)
                yield from ((layer.role, line, may_turn) for line in wanted_lines)


def under_parts(
    fabric: Fabric, layers: Iterable[Layer], washing: Washing, states: dict[str, str]
) -> tuple[LayPart, ...]:
    """What is cut of a fabric to lie under panels, each as large as its panel: joined where the cloth is
    narrower."""
    key, usable = under_key(fabric.pk), washing.worked_width(fabric.width)
    cut = states.get(key) in OVER
    found = []
    for role, line, may_turn in layers:
        name = f"{role.capitalize()} of {line.name}"
        turned = line.plan.cut_length if may_turn and not fabric.one_way else None
        parts = widths(role, line.plan.cut_width, usable, turned=turned)
        for number, width in enumerate(parts, 1):
            of = f"{name}, width {number}" if len(parts) > 1 else name
            found.append(LayPart(LayPanel(of, width, line.plan.cut_length, 1, may_turn), of, None, cut, key))
    return tuple(found)


def grams_of(fabric: Fabric, layers: Iterable[Layer]) -> list[Decimal | None]:
    """What each layer weighs in the finished piece; None where the fabric's weight is unknown."""
    return [line.plan.weight_of(fabric.grams) for _, line, _ in layers]


def area_in(fabric_id: int, pieces: Iterable[PiecePlan]) -> Decimal:
    """Flat m2 of one fabric that lie under panels, joins left out."""
    return sum((line.plan.area for _, line, _ in layers_in(fabric_id, pieces, {})), Decimal(0))


def only_wadding(fabric_id: int, pieces: Iterable[PiecePlan]) -> bool:
    """Whether a fabric is nothing but wadding here, which is never pressed."""
    pieces = tuple(pieces)
    cloth = {line.fabric_id for p in pieces for line in p.panels} | {p.fabric_id for p in pieces}
    cloth |= {edge.fabric_id for p in pieces for edge in p.edges}
    roles = {layer.role for p in pieces for layer in p.under if layer.fabric_id == fabric_id}
    return roles == {"wadding"} and fabric_id not in cloth


def under_steps(pieces: tuple[PiecePlan, ...], fabrics: Iterable[Fabric]) -> Iterator[Draft]:
    """Cut what lies under the panels, fabric by fabric."""
    for number, fabric in enumerate(fabrics):
        layers = list(layers_in(fabric.pk, pieces, {}))
        if not layers:
            continue
        roles = " and ".join(dict.fromkeys(role for role, _, _ in layers))
        sizes = dict.fromkeys((line.plan.cut_width, line.plan.cut_length) for _, line, _ in layers)
        only = len(sizes) == 1
        yield Draft(
            under_key(fabric.pk), "cut", UNDER_AT + number, f"Cut the {roles} from {fabric.name}",
            _how(layers, only=only), measures=tuple(_measures(layers, only=only)),
            cautions=cautions.cutting(fabric), work=(("panels", len(layers)),),
        )  # fmt: skip


def _how(layers: list[Layer], *, only: bool) -> str:
    names = "; ".join(line.name for _, line, _ in layers[:6])
    more = f" and {len(layers) - 6} more" if len(layers) > 6 else ""
    many = f"{len(layers)} pieces, each as large as its panel" if len(layers) > 1 else "As large as its panel"
    return f"{many} before it is worked: {names}{more}."


def _measures(layers: list[Layer], *, only: bool) -> Iterator[Measure]:
    if only:
        plan = layers[0][1].plan
        yield Measure("across", plan.cut_width, "panel")
        yield Measure("along the grain", plan.cut_length, "panel")
        return
    for role, line, _ in layers:
        yield Measure(f"{role} of {line.name}, across", line.plan.cut_width, "panel")
        yield Measure("along the grain", line.plan.cut_length, "panel")


def of_under(pieces: Iterable[PiecePlan]) -> Iterator[Note]:
    """Quilted pieces nobody has chosen wadding or backing for."""
    for part in pieces:
        if missing := not_chosen(part):
            yield Note(
                "warning",
                f"No {' or '.join(missing)} is chosen, so none is in what to buy, in the cost or in the "
                "weight. Choose it on the piece.",
                part.name,
            )
