"""Steps of edges: cutting and joining strips, then binding, facing or hemming each edge."""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from projects.calc.labour import metres
from projects.calc.lengths import Rounding, System, rounded
from projects.models import Fabric

from . import cautions
from .drafts import Draft
from .plan import Binding, EdgePlan, Measure, PiecePlan
from .touched import edge_key

STRIPS_AT, EDGES_AT = 8.9e8, 9.05e8
VERBS = {
    "bound": "Bind",
    "bound_double": "Bind",
    "hong_kong": "Bind the allowances of",
    "band": "Sew the band to",
    "faced": "Face",
    "hemmed": "Hem",
}
HOW = {
    "bound": "Sew the strip on face to face, wrap it round the edge, turn its edge under, sew it down.",
    "bound_double": "Fold the strip in half, sew on its raw edges, wrap it round and sew the fold down.",
    "hong_kong": "Sew the strip to the allowance, wrap it round and sew it down in the seam from the face.",
    "band": "Fold the band in half, sew it on through both raw edges, shared out evenly along the opening.",
    "faced": "Sew the strip on face to face, turn it to the back, turn its edge under and sew it down.",
    "hemmed": "Turn it up to its depth, press and sew it.",
}


def strip_steps(
    bindings: Iterable[Binding], fabrics: dict[int, Fabric], system: System
) -> Iterator[Draft]:
    """Cut and join the strips of each blank."""
    for number, strips in enumerate(b for b in bindings if b.blanks):
        fabric = fabrics[strips.fabric_id]
        wide = rounded(strips.strip_width, Rounding.MARK, system)
        way = "bias strips" if strips.on_the_bias else "straight strips"
        left = f"{len(strips.blanks)} pieces left beside the panels of " if strips.left_over else ""
        yield Draft(
            strips.key, "make_up", STRIPS_AT + number,
            f"Cut and join {way} {wide} wide from {left}{strips.fabric}", _how(strips, system),
            measures=(*_sides(strips), Measure("strips wide", strips.strip_width)),
            cautions=(*cautions.cutting(fabric), cautions.iron(fabric)), work=(("panels", 1),),
        )  # fmt: skip


def _sides(strips: Binding) -> Iterator[Measure]:
    for number, blank in enumerate(strips.blanks, 1):
        which = f"piece {number}" if strips.left_over else "blank"
        yield Measure(f"{which} across", blank.width, "panel")
        yield Measure(f"{which} along the grain", blank.length, "panel")


def _how(strips: Binding, system: System) -> str:
    count = len(strips.strips)
    first = "Cut through a corner at 45 degrees, then" if strips.on_the_bias else "Square the cloth, then"
    if strips.left_over:
        first = "Cut each piece through a corner at 45 degrees, then"
    # Both rounded alike, so that what serves never reads as too little.
    gives, need = (rounded(nm, Rounding.PANEL, system) for nm in (strips.gives, strips.need))
    many = f"{count} strips; joined they give" if count > 1 else "1 strip; it gives"
    return f"{first} {many} {gives}, and {need} is needed."


def edge_steps(
    pieces: Iterable[PiecePlan], fabrics: dict[int, Fabric], system: System
) -> Iterator[Draft]:
    """Finish each edge; seams are sewn when the pieces are joined."""
    edges = [(piece, edge) for piece in pieces for edge in piece.edges if edge.finish != "seam"]
    for number, (piece, edge) in enumerate(edges):
        cloth = fabrics.get(piece.fabric_id) if piece.fabric_id else None
        strips = fabrics.get(edge.fabric_id) if edge.fabric_id else None
        iron = dict.fromkeys(cautions.iron(f) for f in (cloth, strips) if f)
        yield Draft(
            edge_key(edge.edge_id), "make_up", EDGES_AT + number,
            f"{VERBS[edge.finish]} {edge.name} of {piece.name}",
            _detail(edge, system), measures=_measures(edge),
            cautions=(cautions.NEEDLES, *(iron or (cautions.IRON,))), work=_work(edge),
        )  # fmt: skip


def _detail(edge: EdgePlan, system: System) -> str:
    times = f" {edge.times} times." if edge.times > 1 else ""
    hand = " The last row by hand." if edge.by_hand and edge.worked else " By hand." if edge.by_hand else ""
    scrap = " Try the strip on a scrap first." if edge.strip_width else ""
    return f"{HOW[edge.finish]}{hand}{times}{scrap}"


def _measures(edge: EdgePlan) -> tuple[Measure, ...]:
    found = [Measure("edge", edge.length, "panel")]
    if edge.strip_width:
        found += [Measure("strip long", edge.strip, "panel"), Measure("strip wide", edge.strip_width)]
    return tuple(found)


def _work(edge: EdgePlan) -> tuple[tuple[str, Decimal], ...]:
    work = (("edge_metres", metres(edge.worked)), ("hand_metres", metres(edge.hand)))
    return tuple((driver, count) for driver, count in work if count)
