"""What lies under the cloth of a quilted panel: wadding and backing. Lengths whole nm, weights g/m2."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from projects.calc.lengths import ceil_div, share_out
from projects.calc.sizes import Under

WANTED: Final[dict[str, tuple[str, ...]]] = {
    "quilting": ("wadding", "backing"),
    "trapunto": ("backing",),
}
"""What each technique is worked on; none but these have anything beneath them."""
FILLED: Final = ("trapunto",)
"""Filled from behind, with something nobody has measured."""
JOIN: Final[dict[str, int]] = {"wadding": 0, "backing": 10_000_000}
"""At each side of a join between widths, nm: wadding is butted, backing sewn. A starting value."""


def wanted(technique: str | None) -> tuple[str, ...]:
    """The layers a technique is worked on; none where it is not quilted."""
    return WANTED.get(technique or "", ())


def lacking(technique: str | None, under: tuple[Under, ...]) -> tuple[str, ...]:
    """The layers a technique is worked on that nobody has chosen yet, and filling, which is never known."""
    there = {layer.role for layer in under}
    filling = ("filling",) if technique in FILLED else ()
    return (*(role for role in wanted(technique) if role not in there), *filling)


def thickness_with(cloth: int | None, layers: int, under: tuple[Under, ...]) -> int | None:
    """So many layers of cloth and all that lies under them, nm; None where any of it is unknown."""
    known = [layer.thickness for layer in under]
    if cloth is None or None in known:
        return None
    return layers * cloth + sum(thick for thick in known if thick is not None)


def grams_with(cloth: Decimal | None, under: tuple[Under, ...]) -> Decimal | None:
    """g/m2 of the cloth and all that lies flat under it; None where any of it is unknown."""
    known = [layer.grams for layer in under]
    if cloth is None or None in known:
        return None
    return cloth + sum((grams for grams in known if grams is not None), Decimal(0))


def widths(role: str, flat: int, usable: int, *, turned: int | None = None) -> tuple[int, ...]:
    """What is cut to lie under a panel ``flat`` wide (nm): one width where the cloth allows it, else the
    fewest that are as equal as may be, with their joins. ``turned`` is its length where it may lie across the
    cloth: it stays whole where that fits. On cloth too narrow to join it stays whole, for the lay to
    refuse."""
    join = JOIN[role]
    fits = flat <= usable or (turned is not None and turned <= usable)
    if fits or usable <= 4 * join:
        return (flat,)
    # The first and the last width have one join, those between two; none may be wider than the cloth.
    count = 2 if 2 * (usable - join) >= flat else max(3, ceil_div(flat, usable - 2 * join))
    parts = list(share_out(flat, count))
    return tuple(part + (join if place in (0, count - 1) else 2 * join) for place, part in enumerate(parts))
