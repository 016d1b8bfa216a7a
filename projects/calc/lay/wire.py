"""A lay asked for and answered in JSON: numbers in mm outside, whole nm inside, rounded half up at the door.

See `projects.calc.lay.__main__` for the keys.
"""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any, Final

from projects.calc.lay.request import Flaw, Lay, LayError, LayPanel, LayRequest, Pin, StashLength
from projects.calc.units import NM_PER_MM

MOST_MM: Final = 10_000_000  # 10 km: nothing on a cutting table is longer
MOST_SECONDS: Final = 86_400
DEFAULT_SECONDS: Final = 5.0
MOST_COUNT: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class AskedLay:
    """A request as it was read, and how many seconds there are for it."""

    request: LayRequest
    time_limit_s: float


def read_asked(text: str) -> AskedLay:
    """What a JSON text asks for. Raises LayError with what was given and what would be understood."""
    top = _Thing(_load(text), "")
    panels = tuple(_panel(at, thing) for at, thing in enumerate(top.things("panels"), 1))
    lengths = tuple(_length(at, thing) for at, thing in enumerate(top.things("lengths", needed=False), 1))
    _own_names("panel", [panel.name for panel in panels])
    _own_names("length", [length.name for length in lengths])
    request = LayRequest(
        width=top.mm("width_mm", default=0 if lengths else None, least=0 if lengths else 1),
        panels=panels,
        gap=top.mm("gap_mm", default=0),
        one_way=top.flag("one_way"),
        lengths=lengths,
        end_loss=top.mm("end_loss_mm", default=0),
        one_dye_lot=top.flag("one_dye_lot", default=True),
        smallest_remnant=top.mm("smallest_remnant_mm", default=0),
        straight_cuts=top.flag("straight_cuts"),
        pins=tuple(_pin(thing) for thing in top.things("pins", needed=False)),
        seed=top.whole("seed", default=0, most=2**31 - 1),
    )
    return AskedLay(request, top.seconds("time_limit_s"))


def answered(lay: Lay, seconds: float) -> dict[str, Any]:
    """A lay as the answer to be written: numbers in mm, exact to the nm."""
    placements = []
    for placed in lay.placements:
        entry: dict[str, Any] = {
            "name": placed.name,
            "x_mm": mm_of(placed.x),
            "y_mm": mm_of(placed.y),
            "width_mm": mm_of(placed.width),
            "length_mm": mm_of(placed.length),
            "turned": placed.turned,
        }
        if placed.on:
            entry["on"] = placed.on
        placements.append(entry)
    answer: dict[str, Any] = {
        "length_mm": mm_of(lay.length),
        "lower_bound_mm": mm_of(lay.lower_bound),
        "proven": lay.shortest,
        "seconds": round(seconds, 3),
        "placements": placements,
    }
    if lay.used:
        answer["used"] = [{"name": used.name, "length_mm": mm_of(used.length)} for used in lay.used]
    return answer


def mm_of(nm: int) -> int | float:
    """Nm as a JSON number of mm: whole where it is, else the shortest decimal that reads back to the nm."""
    whole, rest = divmod(nm, NM_PER_MM)
    return nm / NM_PER_MM if rest else whole


def _load(text: str) -> Any:
    try:
        return json.loads(text, parse_float=Decimal, parse_constant=_no_constant)
    except (ValueError, RecursionError) as error:
        problem = f"The input is no JSON that can be read: {str(error)[:80]}"
        raise _refused("", problem, "", "one JSON object", "Give width_mm and panels.") from None


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is no number")


def _panel(at: int, thing: _Thing) -> LayPanel:
    thing.who = name = thing.name("name", f"panel {at}")
    return LayPanel(
        name,
        thing.mm("width_mm", least=1),
        thing.mm("length_mm", least=1),
        thing.whole("count", default=1, least=1, most=MOST_COUNT),
        thing.flag("may_turn"),
    )


def _length(at: int, thing: _Thing) -> StashLength:
    thing.who = name = thing.name("name", f"length {at}")
    flaws = tuple(
        Flaw(flaw.mm("x_mm"), flaw.mm("y_mm"), flaw.mm("width_mm", least=1), flaw.mm("length_mm", least=1))
        for flaw in thing.things("flaws", needed=False)
    )
    width, length = thing.mm("width_mm", least=1), thing.mm("length_mm", least=1)
    return StashLength(name, width, length, thing.text("dye_lot"), flaws)


def _pin(thing: _Thing) -> Pin:
    thing.who = f"the pin of {thing.name('name', 'a pin')}"
    return Pin(
        thing.name("name", "a pin"),
        thing.whole("copy", default=1, least=1, most=MOST_COUNT),
        thing.mm("x_mm"),
        thing.mm("y_mm"),
        thing.flag("turned"),
        thing.text("on"),
    )


def _own_names(kind: str, names: list[str]) -> None:
    twice = next((name for name, count in Counter(names).items() if count > 1), None)
    if twice is not None:
        raise _refused(
            twice,
            f"More than one {kind} is called {twice}",
            twice,
            "a name of its own for each",
            "Rename one.",
        )


class _Thing:
    """One JSON object with whose it is, for errors; each reader names the key it wants and what is good."""

    def __init__(self, found: Any, who: str) -> None:
        self.who = who
        if not isinstance(found, dict):
            raise self.wrong("", found, "an object with keys")
        self.found = found

    def wrong(self, key: str, given: object, expected: str) -> LayError:
        subject = " ".join(part for part in (self.who, key) if part) or "The input"
        return _refused(self.who, f"{subject} is {_said(given)}", _said(given), expected, f"Give {expected}.")

    def things(self, key: str, *, needed: bool = True) -> list[_Thing]:
        found = self.found.get(key)
        if found is None and not needed:
            return []
        if not isinstance(found, list):
            raise self.wrong(key, found, "a list of objects")
        return [_Thing(entry, self.who or f"{key[:-1]} {at}") for at, entry in enumerate(found, 1)]

    def name(self, key: str, who: str) -> str:
        found = self.found.get(key)
        if not isinstance(found, str) or not found.strip():
            self.who = who
            raise self.wrong(key, found, "a name in quotes")
        return found

    def text(self, key: str) -> str:
        found = self.found.get(key, "")
        if found is not None and not isinstance(found, str):
            raise self.wrong(key, found, "text in quotes")
        return found or ""

    def flag(self, key: str, *, default: bool = False) -> bool:
        found = self.found.get(key)
        if found is None:
            return default
        if not isinstance(found, bool):
            raise self.wrong(key, found, "true or false")
        return found

    def number(self, key: str, least: object, most: object, unit: str) -> Decimal:
        found = self.found.get(key)
        expected = f"a number from {least} to {most}{unit}"
        if isinstance(found, bool) or not isinstance(found, (int, Decimal)):
            raise self.wrong(key, found, expected)
        value = Decimal(found)
        if not value.is_finite() or not Decimal(str(least)) <= value <= Decimal(str(most)):
            raise self.wrong(key, found, expected)
        return value

    def mm(self, key: str, *, default: int | None = None, least: int = 0) -> int:
        """A length in nm, from a number of mm; `least` is in nm."""
        if self.found.get(key) is None and default is not None:
            return default
        value = self.number(key, 0, MOST_MM, " (mm)")
        nm = int((value * NM_PER_MM).to_integral_value(ROUND_HALF_UP))
        if nm < least:
            raise self.wrong(key, self.found.get(key), f"a number of mm above 0, up to {MOST_MM}")
        return nm

    def whole(self, key: str, *, default: int, least: int = 0, most: int) -> int:
        if self.found.get(key) is None:
            return default
        value = self.number(key, least, most, "")
        if value != value.to_integral_value():
            raise self.wrong(key, self.found[key], f"a whole number from {least} to {most}")
        return int(value)

    def seconds(self, key: str) -> float:
        return (
            DEFAULT_SECONDS
            if self.found.get(key) is None
            else float(self.number(key, 0, MOST_SECONDS, " (s)"))
        )


def _said(given: object) -> str:
    """What was given in a few words: never a page of it, never more than one line."""
    if given is None:
        return "missing"
    text = " ".join((str(given) if isinstance(given, Decimal) else repr(given)).split())
    return text if len(text) <= 60 else f"{text[:57]}..."


def _refused(who: str, problem: str, given: str, expected: str, remedy: str) -> LayError:
    return LayError(f"{problem}.", panel=who, given=given, expected=expected, remedy=remedy)
