"""From the cloth owned, for what is worked by ratio: how many units it gives at a finished size.

Lengths are whole nm. Of a texture that would fill the finished size the cloth may give only a part; the rest
is left plain, and takes no more cloth than it is long.
"""

from __future__ import annotations

from fractions import Fraction

from projects.calc.backwards import BackwardsError
from projects.calc.lengths import Rounding, System, ceil_div, rounded_down, rounded_up
from projects.calc.ratio import ByRatio
from projects.calc.side import SidePlan


def unit_of(recipe: ByRatio, name: str) -> int:
    """Flat cloth of one unit of a direction, nm: dots, squares or lines apart, or rows; 0 where none are
    counted."""
    if not recipe.counts(name):
        return 0
    if name == "across" or recipe.technique == "lattice":
        return recipe.spacing
    return recipe.row


def part_in(side: SidePlan, unit: int, flat: int, system: System) -> tuple[int, int]:
    """How many units `flat` gives at this side's finished size, the rest left plain, and the flat cloth left.

    n units take n x unit and finish n x unit / ratio, so that cloth = length + n x unit x (1 - 1 / ratio),
    border added. All of them where the cloth is enough. Raises BackwardsError naming "flat", in the
    units of `system`, where not one fits or nothing is drawn up.
    """
    if side.flat <= flat:
        return side.textured // unit, flat - side.flat
    ratio = side.ratio.ratio if side.ratio else Fraction(1)
    plain = side.length + 2 * side.border
    taken = unit * (1 - 1 / ratio)
    if taken <= 0:
        raise _too_little(flat, side.flat, "Finish it smaller.", system)
    count = int((flat - plain) // taken)
    if count < 1:
        least = plain + ceil_div(taken.numerator, taken.denominator)
        raise _too_little(flat, least, "Not one fits. Finish it smaller, or take more cloth.", system)
    return count, flat - plain - ceil_div((count * taken).numerator, (count * taken).denominator)


def _too_little(flat: int, least: int, remedy: str, system: System) -> BackwardsError:
    """The cloth there is down and the least that would do up, so that what it says is taken when typed."""
    given = rounded_down(flat, Rounding.PANEL, system)
    return BackwardsError("flat", given, f"at least {rounded_up(least, Rounding.PANEL, system)}", remedy)
