"""Amounts and units as people say them."""

from decimal import Decimal

from projects.calc.direction import Direction

SINGULARS = {
    "spools": "spool", "reels": "reel", "cones": "cone", "bobbins": "bobbin", "skeins": "skein",
    "balls": "ball", "pairs": "pair", "sets": "set", "packets": "packet", "packs": "pack", "cards": "card",
    "rolls": "roll", "tubes": "tube", "bags": "bag", "boxes": "box", "dozens": "dozen", "pieces": "piece",
    "sheets": "sheet", "lengths": "length", "buttons": "button", "zips": "zip", "hooks": "hook",
    "needles": "needle", "metres": "metre", "meters": "meter", "yards": "yard", "inches": "inch",
    "feet": "foot",
}  # fmt: skip
"""Units are typed by people: only these known plurals are changed, anything else stays as it was typed."""


def unit_for(amount: Decimal, unit: str) -> str:
    """The unit for so many: "spool" for exactly 1, else as typed."""
    return SINGULARS.get(unit, unit) if amount == 1 else unit


def counted(amount: Decimal, unit: str) -> str:
    """ "1 spool", "2.5 metres"."""
    return f"{amount.normalize():f} {unit_for(amount, unit)}".strip()


def fold_word(direction: Direction | None) -> str:
    """What one fold of a direction is called: a pleat, else a tuck."""
    return "pleat" if direction is not None and direction.is_pleats else "tuck"
