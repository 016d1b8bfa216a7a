"""What a recipe is called in plain English, told from its numbers alone."""

from __future__ import annotations

from projects.calc.direction import Direction
from projects.calc.gaps import visible_gaps

PIN_TUCK_BELOW = 3_175_000
"""A pin tuck is shallower than 1/8 in (trade usage), nm."""

_NAMES = {
    "corded": "corded tucks",
    "twin_needle": "twin-needle tucks",
    "knife": "knife pleats",
    "box": "box pleats",
    "inverted": "inverted pleats",
}


def direction_name(direction: Direction) -> str:
    """For instance "graduated tucks" or "released pin tucks", in lower case."""
    if direction.technique in _NAMES:
        return _NAMES[direction.technique]
    released = "released " if direction.sewn is not None else ""
    return f"{released}{_tuck_kind(direction)} tucks"


def technique_name(technique: str) -> str:
    """What a technique by direction is called where nothing else of it is known, in lower case.

    >>> technique_name("twin_needle"), technique_name("released")
    ('twin-needle tucks', 'released tucks')
    """
    return _NAMES.get(technique, "released tucks" if technique == "released" else "tucks")


def _tuck_kind(direction: Direction) -> str:
    gaps = visible_gaps(direction.tucks, direction.pressing)
    depths = {t.depth for t in direction.tucks}
    if min(gaps) < 0:
        return "overlapping"
    if max(gaps) == 0:
        return "blind"
    if len(depths) > 1:
        return "graduated"
    return "pin" if max(depths) < PIN_TUCK_BELOW else "spaced"


def recipe_name(across: Direction | None, along: Direction | None) -> str:
    """A sentence-case name for both directions together."""
    names = [direction_name(d) for d in (across, along) if d is not None]
    if not names:
        return "Plain cloth"
    if len(names) == 1:
        return capital(names[0])
    if names[0] == names[1]:
        return capital(f"{names[0]}, both ways")
    return capital(f"{names[0]} across, {names[1]} along")


def capital(text: str) -> str:
    """The text with its first letter large."""
    return text[:1].upper() + text[1:]
