"""One direction of a panel: from the piece's extent to the flat cloth and every seam on it.

Lengths are whole nm. `parts` are finished (washed, if the panel is washed after sewing); `axis` is the
cloth as it is sewn.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from projects.calc.axis import Axis
from projects.calc.caught import Caught, Zone, find_caught
from projects.calc.centring import start_phase
from projects.calc.direction import Direction
from projects.calc.marks import MarkRow, last_mark_from_far_edge, mark_rows
from projects.calc.need import Parts, bare_parts, parts_of, reach_of
from projects.calc.ratio_samples import RatioUp
from projects.calc.sampling import TakeUp
from projects.calc.shrinkage import ONE, grown, growth, scaled, scaled_direction, scaled_extra
from projects.calc.sizes import EDGES, Cloth, PieceSize, Sizing
from projects.calc.techniques import TECHNIQUES

__all__ = ["SidePlan", "bare_parts", "side", "zones"]


@dataclass(frozen=True)
class SidePlan:
    """One direction of a panel, "across" or "along".

    `length` is the finished extent as sewn (the need, grown where it is washed after), `flat` what is cut,
    border included. `stretch` is the growth for the wash, `drawn_in` the flat cloth added because the other
    direction's seams will draw it in. `found` holds number and reason of each caught tuck. Where the panel is
    worked by ratio there is no direction and no axis: `ratio` says what it is planned with, and `drawn_from`
    the flat extent, without border, that becomes `length`.
    """

    name: str
    direction: Direction | None
    parts: Parts
    axis: Axis | None
    length: int
    drawn_in: int
    border: int
    stretch: Fraction
    near: Zone
    far: Zone
    found: tuple[tuple[int, str], ...]
    dropped: bool
    take_up: TakeUp
    ratio: RatioUp | None = None
    drawn_from: int = 0

    @property
    def pattern(self) -> int:
        """The extent of the pattern, nm."""
        return self.parts.pattern

    @property
    def need(self) -> int:
        """The finished need, all parts together, nm."""
        return self.parts.need

    @property
    def textured(self) -> int:
        """Flat extent without border, after the other direction has drawn it in: what marks lie on."""
        if self.axis is not None:
            return self.axis.flat
        return self.length if self.ratio is None else self.drawn_from

    @property
    def marked(self) -> int:
        """The extent marks are measured on, border included."""
        return self.textured + 2 * self.border

    @property
    def flat(self) -> int:
        """What is cut: the flat extent, what will be drawn in, and the border at both ends."""
        return self.marked + self.drawn_in

    @property
    def finished(self) -> int:
        """The extent with every tuck sewn and the border still on."""
        return self.length + 2 * self.border

    @property
    def caught(self) -> tuple[Caught, ...]:
        """Caught tucks from the first edge, kept or dropped."""
        return tuple(Caught(number, reason, self.dropped) for number, reason in self.found)

    @property
    def count(self) -> int:
        """How many tucks or pleat folds are sewn."""
        return self.axis.count if self.axis else 0

    @property
    def layers_max(self) -> int:
        """The most layers of this direction alone; by ratio the average, rounded up."""
        if self.ratio is not None:
            return ceil(self.ratio.ratio)
        return self.axis.layers_max if self.axis else 1

    def layers_at_edge(self, far: bool) -> int:
        """The most layers in what is taken in at an edge, or just inside its line where nothing is."""
        if self.axis is None:
            return self.layers_max
        zone = self.far if far else self.near
        end = max(zone.stitching, zone.cut + 1)
        if far:
            return self.axis.layers_within(self.axis.length - end, self.axis.length - zone.cut)
        return self.axis.layers_within(zone.cut, end)

    def marks(self) -> Iterator[MarkRow]:
        """Each tuck's marks, from the first edge."""
        reasons = dict(self.found)
        return mark_rows(self.axis, self.border, reasons) if self.axis else iter(())

    @property
    def last_mark_from_far_edge(self) -> int | None:
        """The last stitch line from the far edge, border included, nm; None without tucks."""
        return last_mark_from_far_edge(self.axis, self.border) if self.axis else None

    def mirrored(self) -> SidePlan:
        """The mirror image, counted from the other edge; every tuck keeps its number."""
        first, far = self.near.name, self.far.name
        return replace(
            self,
            parts=self.parts.mirrored(),
            axis=self.axis.mirrored() if self.axis else None,
            near=replace(self.far, name=first),
            far=replace(self.near, name=far),
            found=tuple((number, _swap(why, first, far)) for number, why in reversed(self.found)),
        )

    def recounted(self) -> SidePlan:
        """The same cloth where it lies, counted from its far edge; edges and tucks keep their names."""
        return replace(
            self,
            parts=self.parts.mirrored(),
            axis=self.axis.mirrored() if self.axis else None,
            near=self.far,
            far=self.near,
            found=self.found[::-1],
        )

    def opposite(self) -> SidePlan:
        """The same numbers counted from the opposite edge, as on the other panel of a pair.

        On that mirrored axis marks run from the far edge; nothing but the edges' names changes.
        """
        first, far = self.near.name, self.far.name
        return replace(
            self,
            near=replace(self.near, name=far),
            far=replace(self.far, name=first),
            found=tuple((number, _swap(why, first, far)) for number, why in self.found),
        )


def _swap(reason: str, first: str, far: str) -> str:
    swapped = {first: far, far: first}
    return " ".join(swapped.get(word, word) for word in reason.split(" "))


def side(
    name: str,
    direction: Direction | None,
    piece: PieceSize,
    sizing: Sizing,
    take_up: TakeUp,
    cloth: Cloth,
    *,
    both: bool = False,
    draw_in: Fraction = ONE,
    second: bool = False,
) -> SidePlan:
    """Plan one direction of a panel.

    `both`: the other direction is tucked as well. `draw_in` is finished / flat where the other's seams run.
    A direction sewn `second` lies on cloth already drawn in; one sewn first is laid out wider instead.
    """
    parts = parts_of(name, direction, piece, sizing, take_up, cloth.thickness, both)
    stretch = growth(cloth.shrink(name)) if sizing.wash == "after" else ONE
    laid_wider = direction is not None and not second
    spaces = stretch / draw_in if laid_wider and draw_in != 1 else stretch
    near, far = zones(name, parts, piece, spaces)
    axis: Axis | None = None
    found: tuple[tuple[int, str], ...] = ()
    length = grown(parts.need, spaces)
    if direction is not None:
        axis = _lay(direction, parts, take_up, cloth, spaces, stretch)
        if piece.work_order and (not direction.is_pleats or piece.work_order == "alternate"):
            axis = replace(axis, order=piece.work_order)
        length = axis.length
        axis, found = _drop(axis, direction, name, parts, piece, spaces, near, far)
    lies = axis.flat if axis else length
    drawn_in = 0 if laid_wider or draw_in == 1 else grown(lies, 1 / draw_in) - lies
    return SidePlan(
        name=name,
        direction=direction,
        parts=parts,
        axis=axis,
        length=length,
        drawn_in=drawn_in,
        border=sizing.border,
        stretch=stretch,
        near=near,
        far=far,
        found=found,
        dropped=piece.caught == "drop",
        take_up=take_up,
    )


def _lay(
    direction: Direction, parts: Parts, take_up: TakeUp, cloth: Cloth, spaces: Fraction, depths: Fraction
) -> Axis:
    laid = scaled_direction(direction, spaces, depths)
    centre = scaled(parts.centre, spaces)
    reach = reach_of(laid, cloth.thickness)
    return TECHNIQUES[laid.technique].place(
        laid,
        _length(direction, laid, parts, spaces),
        scaled_extra(take_up.extra, depths),
        cloth.thickness,
        lead=scaled(parts.lead, spaces),
        section=scaled(parts.pattern, spaces),
        phase=None if laid.is_pleats else start_phase(laid, centre, reach),
        centre=centre,
    )


def _length(direction: Direction, laid: Direction, parts: Parts, spaces: Fraction) -> int:
    """The extent as sewn; whole repeats stay whole whatever each space was rounded to."""
    if laid is direction or laid.is_pleats:
        return grown(parts.need, spaces)
    repeat = sum(t.space for t in direction.tucks)
    if parts.need % repeat == 0:
        return parts.need // repeat * sum(t.space for t in laid.tucks)
    return grown(parts.need, spaces)


def zones(name: str, parts: Parts, piece: PieceSize, spaces: Fraction) -> tuple[Zone, Zone]:
    """What lies outside the stitching line at the first and the far edge of the panel."""
    first, last = EDGES[name]
    return (
        _zone(first, parts.trim_start, parts.allowance_start, piece, spaces),
        _zone(last, parts.trim_end, parts.allowance_end, piece, spaces),
    )


def _zone(edge: str, cut: int, allowance: int, piece: PieceSize, spaces: Fraction) -> Zone:
    inside: int = getattr(piece, f"inside_{edge}")
    kind = "hem" if edge in piece.hems else "seam allowance"
    return Zone(scaled(cut, spaces), scaled(cut + allowance + inside, spaces), edge, kind)


def _drop(
    axis: Axis,
    direction: Direction,
    name: str,
    parts: Parts,
    piece: PieceSize,
    spaces: Fraction,
    near: Zone,
    far: Zone,
) -> tuple[Axis, tuple[tuple[int, str], ...]]:
    openings = [
        (scaled(parts.lead + o.start, spaces), scaled(parts.lead + o.end, spaces), o.name)
        for o in piece.openings
        if o.direction == name
    ]
    found = find_caught(axis, near, far, openings, sewn=not direction.is_pleats)
    if piece.caught == "drop":
        axis = axis.without([index for index, _ in found])
    return axis, tuple((index + 1, reason) for index, reason in found)
