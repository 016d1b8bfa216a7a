"""What lies under quilted pieces: wadding and backing as panels of their own fabrics. Lengths nm."""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from projects.calc.recipe import Recipe
from projects.calc.sizes import Under
from projects.calc.under import lacking, wanted
from projects.models import Fabric, Piece

from .load import chosen_under
from .plan import Note, PanelLine, PiecePlan
from .sewn import UnderPlan


def technique_of(recipe: Recipe | None) -> str | None:
    return recipe.ratio.technique if recipe is not None and recipe.ratio is not None else None


def under_of(piece: Piece, recipe: Recipe | None) -> tuple[UnderPlan, ...]:
    """What was chosen to lie under a piece, from the top; nothing where it is not quilted."""
    chosen = chosen_under(piece, technique_of(recipe))
    return tuple(UnderPlan(role, row.pk, row.name) for role, row in chosen)


def layers_of(piece: Piece, recipe: Recipe | None) -> tuple[Under, ...]:
    """The same in calc's words."""
    return tuple(
        Under(role, row.thickness, None if row.grams is None else Decimal(row.grams))
        for role, row in chosen_under(piece, technique_of(recipe))
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
