"""Which direction of a panel tucked both ways to sew first."""

from __future__ import annotations

from dataclasses import dataclass

_NEITHER = "Both directions take up the same on average, so the order makes no difference to the length sewn."


@dataclass(frozen=True, slots=True)
class Order:
    """The direction to sew first ("across", "along" or "either"), and the sewing it saves in nm."""

    first: str
    saves: int
    why: str


def sewn_difference(n1: int, sum_q1: int, n2: int, sum_q2: int) -> int:
    """Length sewn with direction 1 first less length sewn with direction 2 first, in nm.

    `n` counts the tucks of a direction, `sum_q` is what they take up together (nm). The direction sewn second
    is sewn over cloth that the first has taken in, so with one seam per tuck the difference is
    n1 n2 (mean q2 - mean q1) = n1 sum_q2 - n2 sum_q1, whatever the size of the panel.

    >>> sewn_difference(10, 200_000_000, 6, 84_000_000)
    -360000000
    """
    return n1 * sum_q2 - n2 * sum_q1


def sewing_order(n1: int, sum_q1: int, n2: int, sum_q2: int) -> Order:
    """The order with less to sew: 1 is across, 2 is along; see `sewn_difference` for the inputs (nm).

    The direction with the larger mean take-up goes first. Equal means: "either". Where only one is sewn, or
    none, there is no order to choose and nothing to say why.
    """
    if n1 <= 0 or n2 <= 0:
        return Order("across" if n1 > 0 else "along" if n2 > 0 else "either", 0, "")
    difference = sewn_difference(n1, sum_q1, n2, sum_q2)
    if difference == 0:
        return Order("either", 0, _NEITHER)
    first, second = ("across", "along") if difference < 0 else ("along", "across")
    why = f"Each tuck {first} takes up more, so the seams of the tucks {second} then run over less cloth."
    return Order(first, abs(difference), why)
