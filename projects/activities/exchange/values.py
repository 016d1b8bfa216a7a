"""Values of a file, read one by one: each kind says what it takes, and refuses the rest with its place."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from projects.calc.units import grouped

from .errors import refuse, wrong

UNITS = ("mm", "cm", "m", "in", "yd")
MOST_TYPED = 2_000
_DECIMAL = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,8})?")
_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?(Z|\+00:00)")

Read = Callable[[str, Any], Any]


def an_object(place: str, given: object, keys: Sequence[str], may: Sequence[str] = ()) -> dict[str, Any]:
    """An object with exactly these entries; those of ``may`` can be left out."""
    if not isinstance(given, dict):
        wrong(place, given, "an object with named entries")
    for key in keys:
        if key not in given and key not in may:
            refuse(_in(place, key), "Nothing", f"an entry named {key}")
    for key in given:
        if key not in keys:
            refuse(_in(place, key[:40]), "An entry nobody knows", f"only {', '.join(keys)}", "Take it out.")
    return given


def _in(place: str, key: str) -> str:
    return f"{place}.{key}" if place else key


def a_list(place: str, given: object, most: int) -> list[Any]:
    if not isinstance(given, list):
        wrong(place, given, "a list")
    if len(given) > most:
        expected = f"at most {grouped(most)}"
        refuse(place, f"A list of {grouped(len(given))} entries", expected, "Take out what is not needed.")
    return given


def whole(place: str, given: object, least: int, most: int) -> int:
    if isinstance(given, bool) or not isinstance(given, int):
        wrong(place, given, "a whole number", "Write it as a number, without quotation marks.")
    if not least <= given <= most:
        wrong(place, given, f"a whole number from {least} to {most}")
    return given


def flag(place: str, given: object) -> bool:
    if not isinstance(given, bool):
        wrong(place, given, "true or false", "Write it without quotation marks.")
    return given


def text(place: str, given: object, most: int, *, needed: bool = False) -> str:
    if not isinstance(given, str):
        wrong(place, given, "a text", "Write it in quotation marks.")
    if len(given) > most:
        expected = f"at most {grouped(most)}"
        refuse(place, f"A text of {grouped(len(given))} characters", expected, "Shorten it.")
    if needed and not given.strip():
        refuse(place, "An empty text", "a text of at least one character")
    return given


def choice(place: str, given: object, choices: Sequence[str]) -> str:
    if not isinstance(given, str) or given not in choices:
        shown = ", ".join(c or "an empty text" for c in choices)
        wrong(place, given, f"one of: {shown}")
    return given


def decimal(place: str, given: object, digits: int, places: int) -> Decimal:
    """A decimal written as a text, so that no program rounds it on the way."""
    if not isinstance(given, str) or not _DECIMAL.fullmatch(given):
        wrong(place, given, "a decimal as a text", 'Write it in quotation marks, such as "0.25".')
    found = Decimal(given)
    if found != found.quantize(Decimal(1).scaleb(-places)) or abs(found) >= Decimal(10) ** (digits - places):
        wrong(place, given, f"at most {digits} digits, {places} of them behind the point")
    return found


def number(place: str, given: object, most: float = 1e15) -> float:
    """A number with a fraction (where a step stands in the order), as a text that reads back to the same."""
    try:
        found = float(given) if isinstance(given, str) and len(given) < 40 else None
    except ValueError:
        found = None
    if found is None or not abs(found) < most:
        wrong(place, given, "a number as a text", 'Write it in quotation marks, such as "12.5".')
    return found


def day(place: str, given: object) -> date:
    try:
        found = date.fromisoformat(given) if isinstance(given, str) and len(given) == 10 else None
    except ValueError:
        found = None
    if found is None or not 1900 <= found.year <= 2999:
        wrong(place, given, "a date as year, month and day", 'Write it such as "2026-03-02".')
    return found


def moment(place: str, given: object) -> datetime:
    try:
        whole_text = isinstance(given, str) and _MOMENT.fullmatch(given)
        found = datetime.fromisoformat(str(given)).astimezone(UTC) if whole_text else None
    except (ValueError, OverflowError):
        found = None
    if found is None or not 1900 <= found.year <= 2999:
        wrong(place, given, "a date and time in UTC", 'Write it such as "2026-03-02T09:30:00Z".')
    return found


def say_moment(at: datetime) -> str:
    return at.astimezone(UTC).isoformat().replace("+00:00", "Z")


def typed(place: str, given: object) -> dict[str, str]:
    """In which unit each length was typed: names or places, and a unit for each."""
    if not isinstance(given, dict):
        wrong(place, given, "an object of names and units")
    if len(given) > MOST_TYPED:
        expected = f"at most {grouped(MOST_TYPED)}"
        refuse(place, f"An object of {grouped(len(given))} entries", expected, "Shorten it.")
    for name, unit in given.items():
        text(place, name, 120)
        choice(f"{place}.{name[:40]}", unit, UNITS)
    return given


def or_none(read: Read) -> Read:
    """The same kind of value, or null where it is not known."""
    return lambda place, given: None if given is None else read(place, given)


class Ids:
    """The rows of one list by their ids in the file; an id nobody has is refused where it is used."""

    def __init__(self, what: str, prefix: str) -> None:
        self.what, self.prefix = what, prefix
        self.rows: dict[str, Any] = {}

    def add(self, place: str, given: object, row: Any) -> None:
        ident = text(f"{place}.id", given, 20, needed=True)
        if not re.fullmatch(rf"{self.prefix}[0-9]{{1,9}}", ident):
            wrong(f"{place}.id", given, f"an id such as {self.prefix}1")
        if ident in self.rows:
            refuse(f"{place}.id", f"{ident} a second time", "each id once", "Give it a number of its own.")
        self.rows[ident] = row

    def find(self, place: str, given: object) -> Any:
        if not isinstance(given, str) or given not in self.rows:
            wrong(place, given, f"the id of one of the {self.what} in this file")
        return self.rows[given]

    def find_or_none(self, place: str, given: object) -> Any:
        return None if given is None else self.find(place, given)
