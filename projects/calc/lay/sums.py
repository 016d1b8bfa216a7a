"""What sums of sizes can reach: only there need a panel begin, end, or a lay end.

Any lay can be pushed towards the start and to the left until every panel touches another or the edge, so
that it begins where sizes of other panels add up to. Source: the normal patterns of N. Christofides and
C. Whitlock, An algorithm for two-dimensional cutting problems (1977).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Final

MOST_BITS: Final = 60_000  # up to here sums are kept as the bits of a number, which is fast and small
MOST_SUMS: Final = 20_000  # beyond it as a set, given up once it is so large

Choices = Sequence[Sequence[int]]  # for each panel the sizes it may take in one direction


def reachable(choices: Choices, most: int, bases: Iterable[int] = (0,)) -> list[int] | None:
    """Every sum up to `most` of a base and one size each of some panels, sorted; None where too many."""
    if most < 0:
        return []
    if most > MOST_BITS:
        return _in_a_set(choices, most, bases)
    bits = 0
    for base in bases:
        if base <= most:
            bits |= 1 << base
    return places(_add_all(bits, choices, most))


def reachable_without_each(
    choices: Choices, most: int, bases: Sequence[int] = (0,)
) -> list[list[int] | None]:
    """For each panel what the others' sizes reach, up to `most` less its own least size."""
    cache: dict[tuple[int, ...], list[int] | None] = {}
    found = []
    for at, own in enumerate(choices):
        key = tuple(own)
        if key not in cache:
            others = [*choices[:at], *choices[at + 1 :]]
            cache[key] = reachable(others, most - min(own), bases)
        found.append(cache[key])
    return found


def next_reachable(least: int, choices: Choices, most: int) -> int:
    """The smallest sum from `least` on; `least` itself where sums are too many, `most` if there is none."""
    if most > MOST_BITS:
        sums = _in_a_set(choices, most, (0,))
        if sums is None:
            return least
        return min((total for total in sums if total >= least), default=most)
    above = _add_all(1, choices, most) >> least
    return least + (above & -above).bit_length() - 1 if above else most


def places(bits: int) -> list[int]:
    """The places of the ones in a number, from the lowest."""
    return [at for at, bit in enumerate(reversed(bin(bits)[2:])) if bit == "1"]


def ranges(values: Sequence[int]) -> list[int]:
    """Sorted values as first and last of each run without a break, one after the other."""
    ends = [values[0]]
    for before, value in pairwise(values):
        if value > before + 1:
            ends += [before, value]
    return [*ends, values[-1]]


def _add_all(bits: int, choices: Choices, most: int) -> int:
    mask = (1 << (most + 1)) - 1
    for sizes in choices:
        more = bits
        for size in sizes:
            more |= bits << size
        bits = more & mask
    return bits


def _in_a_set(choices: Choices, most: int, bases: Iterable[int]) -> list[int] | None:
    sums = {base for base in bases if base <= most}
    for sizes in choices:
        sums |= {total + size for total in sums for size in sizes if total + size <= most}
        if len(sums) > MOST_SUMS:
            return None
    return sorted(sums)
