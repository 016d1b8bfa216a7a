"""A direction written as JSON and read back, distrusting every byte. Lengths in keys ending in `_nm`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from projects.calc.direction import MOST_TUCKS, Direction, RecipeError, check_choice
from projects.calc.folds import Pressing, Tuck

FORMAT = 1
RATIO_FORMAT = 2
"""Of recipes worked by ratio; `ratio.write_ratio` and `ratio.read_ratio` are their twins."""
_TUCK_KEYS = {"space_nm": "space", "depth_nm": "depth", "mark": "mark"}
_KEYS = {
    "technique": "technique",
    "tucks": "tucks",
    "width_nm": "width",
    "depth_nm": "depth",
    "pressing": "pressing",
    "turns_at_centre": "turns_at_centre",
    "cord_nm": "cord",
    "sewn_nm": "sewn",
    "whole_repeats": "whole_repeats",
    "centring": "centring",
    "centre_on": "centre_on",
    "way": "way",
    "mark": "mark",
}


def write_direction(direction: Direction) -> dict[str, Any]:
    """Every field, in a fixed order."""
    written = {key: getattr(direction, name) for key, name in _KEYS.items()}
    written["tucks"] = [{key: getattr(t, name) for key, name in _TUCK_KEYS.items()} for t in direction.tucks]
    written["pressing"] = direction.pressing.value
    return written


def read_direction(given: object) -> Direction:
    """Raises RecipeError, its field counted from this direction."""
    fields = dict(read_object("", given, _KEYS))
    if "technique" not in fields:
        raise RecipeError("technique", "Nothing", "a technique", "Name the technique.")
    if "tucks" in fields:
        fields["tucks"] = _read_tucks(fields["tucks"])
    if "pressing" in fields:
        check_choice("pressing", fields["pressing"], tuple(p.value for p in Pressing))
        fields["pressing"] = Pressing(fields["pressing"])
    return Direction(**fields)


def _read_tucks(given: object) -> tuple[Tuck, ...]:
    if not isinstance(given, list):
        raise RecipeError("tucks", given, "a list of tucks", "Send the tucks as a list.")
    if len(given) > MOST_TUCKS:
        raise RecipeError(
            "tucks", f"{len(given)} tucks", f"at most {MOST_TUCKS} in a repeat", "Shorten the repeat."
        )
    return tuple(_read_tuck(f"tucks.{number}", tuck) for number, tuck in enumerate(given))


def _read_tuck(place: str, given: object) -> Tuck:
    fields = read_object(place, given, _TUCK_KEYS)
    for key in ("space", "depth"):
        if key not in fields:
            raise RecipeError(f"{place}.{key}", "Nothing", f"a {key} in {key}_nm", "Give both lengths.")
    return Tuck(**fields)


def read_object(place: str, given: object, keys: Mapping[str, str]) -> dict[str, Any]:
    """The known entries of a JSON object under their names in code; anything unknown is refused."""
    if not isinstance(given, dict):
        raise RecipeError(place, given, "an object with named entries", "Send an object.")
    unknown = [key for key in given if key not in keys]
    if unknown:
        raise RecipeError(
            place, f"An entry named {str(unknown[0])[:40]!r}", f"only {', '.join(keys)}", "Take it out."
        )
    return {keys[key]: value for key, value in given.items()}
