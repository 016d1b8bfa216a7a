"""What is drawn and said of a lay, cloth by cloth: its numbered cuts, what remains, what is pinned."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, Decimal

from projects.calc.lay import Lay, LayRequest
from projects.calc.lay.cuts import Cut, Remnant, cuts_of, remnants_of
from projects.calc.lay.request import Flaw

from .fabric_plan import FabricPlan, LayOn
from .lay_cuts import SMALLEST

ROLL = ""


@dataclass(frozen=True, slots=True)
class ClothLaid:
    """One cloth of a lay with all that lies on it (nm): how many ``panels``, the end that is ``lost``.

    ``rest`` is what is left uncut of a length, 0 of the roll.
    """

    on: LayOn
    panels: int
    cuts: tuple[Cut, ...]
    remnants: tuple[Remnant, ...]
    flaws: tuple[Flaw, ...]
    pinned: frozenset[tuple[str, int]]
    lost: int

    @property
    def rest(self) -> int:
        return max(0, self.on.there - self.on.used) if self.on.name else 0

    @property
    def is_roll(self) -> bool:
        return self.on.name == ROLL


def cloths_of(line: FabricPlan) -> tuple[ClothLaid, ...]:
    """The cloths a fabric's lay takes, in the order they are cut: lengths on the shelf, then the roll."""
    lay, request = line.lay, line.laid_for or line.request
    if lay is None or request is None:
        return ()
    request = replace(request, smallest_remnant=request.smallest_remnant or SMALLEST)
    cuts, remnants = cuts_of(lay, request), remnants_of(lay, request)
    return tuple(_cloth(lay, request, on, cuts, remnants) for on in line.lay_on or (_roll(line, lay),))


def _roll(line: FabricPlan, lay: Lay) -> LayOn:
    return LayOn(ROLL, None, "", line.lay_width, lay.length, lay.length)


def _cloth(
    lay: Lay, request: LayRequest, on: LayOn, cuts: tuple[Cut, ...], remnants: tuple[Remnant, ...]
) -> ClothLaid:
    laid = [p for p in lay.placements if p.on == on.name]
    pins = {(pin.name, pin.copy) for pin in request.pins}
    length = next((row for row in request.lengths if row.name == on.name), None)
    return ClothLaid(
        on=on,
        panels=len(laid),
        cuts=tuple(cut for cut in cuts if cut.on == on.name),
        remnants=tuple(left for left in remnants if left.on == on.name),
        flaws=length.flaws if length else (),
        pinned=frozenset((p.name, p.copy) for p in laid if (p.name, p.copy) in pins),
        lost=request.end_loss if laid else 0,
    )


def remains_of(cloths: Sequence[ClothLaid]) -> tuple[tuple[Remnant, ClothLaid], ...]:
    """What remains of all cloths of a lay, each with its cloth, the largest first."""
    found = ((left, cloth) for cloth in cloths for left in cloth.remnants)
    return tuple(sorted(found, key=lambda row: -row[0].width * row[0].length))


def share_kept(cloths: Sequence[ClothLaid]) -> Decimal:
    """What share of the cloth that a lay takes remains worth keeping, between its panels and beside them."""
    taken = sum(cloth.on.used * cloth.on.width for cloth in cloths)
    kept = sum(
        left.width * max(0, min(left.y + left.length, cloth.on.used) - left.y)
        for cloth in cloths
        for left in cloth.remnants
    )
    return Decimal(kept) / taken if taken else Decimal(0)


def share_over(length: int, bound: int) -> Decimal | None:
    """How much longer than the shortest a lay is at most, as a share rounded up to thousandths.

    None where nothing is known of the shortest.

    >>> share_over(2_042, 2_000), share_over(2_000, 0)
    (Decimal('0.021'), None)
    """
    if bound <= 0 or length <= bound:
        return None
    return (Decimal(length - bound) / bound).quantize(Decimal("0.001"), ROUND_CEILING)
