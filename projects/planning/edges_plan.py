"""Edges of pieces as they are planned: strips, blanks they are cut from, metres sewn."""

from collections.abc import Iterable, Iterator

from projects.calc import bands, binding
from projects.calc.binding import BindingError
from projects.calc.blanks import Asked, Blank, bias_blank, easy_to_join, straight_blank
from projects.calc.lengths import System
from projects.models import Edge, Fabric, Piece

from .cloth import Washing
from .lay_units import ruled_in
from .load import Rows
from .plan import Binding, EdgePlan, Note, PiecePlan
from .touched import OVER, states_of, strips_key

STEPS = {System.METRIC: 10_000_000, System.INCH: 12_700_000}
"""Sides of a blank are whole centimetres or half inches."""
RULED = {System.METRIC: 1_000_000, System.INCH: 1_587_500}
"""Strips are cut to whole millimetres or sixteenths of an inch."""
TWICE = ("bound", "bound_double", "hong_kong", "faced")
"""Finishes sewn in two rows: the strip sewn on, then its other edge sewn down."""


def plan_edges(piece: Piece, rows: Rows) -> tuple[EdgePlan, ...]:
    """The edges of a piece in their order, each for all of its piece."""
    return tuple(_edge(edge, piece, rows) for edge in rows.edges.get(piece.pk, ()))


def _edge(edge: Edge, piece: Piece, rows: Rows) -> EdgePlan:
    fabric = (edge.fabric or piece.fabric) if edge.finish not in ("hemmed", "seam") else None
    width = _cut(strip_width(edge, piece.fabric, fabric), _ruled(fabric, rows))
    sides = 2 if edge.finish == "hong_kong" and edge.both_sides else 1
    machine, hand = rows_of(edge.finish, edge.by_hand)
    times = piece.count * sides
    return EdgePlan(
        edge_id=edge.pk,
        name=edge.name,
        finish=edge.finish,
        title=edge.get_finish_display(),
        length=edge.length,
        times=times,
        strip_width=width,
        strip=_strip(edge, rows.workroom.bias_join) if width else 0,
        fabric_id=fabric.pk if fabric else None,
        fabric=fabric.name if fabric else "",
        on_the_bias=edge.on_the_bias,
        by_hand=edge.by_hand,
        sewn=(machine + hand) * edge.length * times,
        starts=(machine + hand) * times,
        worked=edge.length * times if machine and edge.finish != "seam" else 0,
        hand=edge.length * times if hand else 0,
        piece=piece.name,
    )


def _ruled(fabric: Fabric | None, rows: Rows) -> System:
    kept = rows.lays.get(fabric.pk) if fabric else None
    return ruled_in(kept, System(rows.workroom.units))


def _cut(width: int | None, system: System) -> int | None:
    """Rounded up to what a ruler shows."""
    return None if width is None else -(-width // RULED[system]) * RULED[system]


def rows_of(finish: str, by_hand: bool) -> tuple[int, int]:
    """Rows sewn by machine and by hand: by hand only the last, except that a hem or seam has no other."""
    if not by_hand:
        return (2, 0) if finish in TWICE else (1, 0)
    return (0, 1) if finish in ("hemmed", "seam") else (1, 1)


def strip_width(edge: Edge, cloth: Fabric | None, strips: Fabric | None) -> int | None:
    """How wide strips are cut (nm); None where a finish takes none. Thickness that is unknown counts as 0."""
    thick, thin = ((f.thickness or 0) if f else 0 for f in (cloth, strips))
    if edge.finish in ("bound", "hong_kong"):
        cut = binding.single_width if edge.finish == "bound" else binding.hong_kong_width
        return cut(edge.width, thick, thin)
    if edge.finish == "bound_double":
        return binding.double_width(edge.width, thick, thin)
    if edge.finish == "band":
        return binding.band_width(edge.width, edge.allowance)
    return binding.facing_width(edge.width, edge.allowance) if edge.finish == "faced" else None


def _strip(edge: Edge, join: int) -> int:
    """Strip for the edge once, overlap included (nm)."""
    if edge.finish == "band":
        return bands.band(edge.length, edge.reduction, edge.allowance)
    return binding.edge_strip(edge.length, closed=edge.closed, allowance=join, on_the_bias=edge.on_the_bias)


def plan_bindings(pieces: Iterable[PiecePlan], rows: Rows) -> tuple[Binding, ...]:
    """One blank for all strips of one fabric, width and way of cutting, in the order of the edges."""
    needs: dict[tuple[int, int, bool], list[EdgePlan]] = {}
    for piece in pieces:
        for edge in piece.edges:
            if edge.fabric_id is not None and edge.strip_width:
                key = (edge.fabric_id, edge.strip_width, edge.on_the_bias)
                needs.setdefault(key, []).append(edge)
    states, cloth = states_of(rows), rows.fabrics
    return tuple(
        _binding(cloth[fabric], width, bias, edges, rows, states)
        for (fabric, width, bias), edges in needs.items()
    )


def _binding(
    fabric: Fabric, width: int, bias: bool, edges: list[EdgePlan], rows: Rows, states: dict[str, str]
) -> Binding:
    studio = rows.workroom
    join = studio.bias_join
    # Strips of several edges are cut from one long one; each join where one ends is inside its overlap.
    need = sum(edge.strip * edge.times for edge in edges)
    asked = Asked(need, width, join, studio.bias_least, STEPS[_ruled(fabric, rows)])
    cloth = Washing.of(fabric, rows.project).worked_width(fabric.width)
    asked = easy_to_join(asked, max(edge.strip for edge in edges), cloth) if bias else asked
    made: Blank | None = None
    problem = ""
    try:
        made = bias_blank(asked, cloth) if bias else straight_blank(asked, cloth)
    except BindingError as error:
        problem = f"Strips of {fabric.name} can't be cut. {error}"
    names = tuple(dict.fromkeys(f"{edge.piece}, {edge.name}" for edge in edges))
    key = strips_key(fabric.pk, width, bias)
    return Binding(
        fabric_id=fabric.pk,
        fabric=fabric.name,
        strip_width=width,
        on_the_bias=bias,
        need=need,
        asked=asked,
        blanks=(made,) if made else (),
        gives=made.strips.gives if made else 0,
        edges=names,
        problem=problem,
        key=key,
        cut=states.get(key) in OVER,
        area=made.width * made.length if made else 0,
    )


def of_edges(pieces: Iterable[PiecePlan], bindings: Iterable[Binding]) -> Iterator[Note]:
    """Strips that can't be cut, and edges without a fabric to cut them from."""
    yield from (Note("warning", b.problem, ", ".join(b.edges)) for b in bindings if b.problem)
    for piece in pieces:
        bare = [edge.name for edge in piece.edges if edge.strip_width and edge.fabric_id is None]
        if bare:
            text = f"No fabric to cut strips from: {', '.join(bare)}. Choose one for the piece or the edge."
            yield Note("warning", text, piece.name)
