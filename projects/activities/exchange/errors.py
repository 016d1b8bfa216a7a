"""The one shape of a refusal: the place in the file, what was given, what was expected, what to do."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, NoReturn

from django.core.exceptions import ValidationError

from projects.calc.errors import CalcError

ADVICE = "Put it right in the file, or export it again."


class Unreadable(CalcError):
    """A file that is not taken in. ``str()`` begins with the place: "pieces[2].across_nm: ...".

    ``field`` is that place, empty where the whole file is meant.
    """

    def __str__(self) -> str:
        said = f"{self.given} was given, {self.expected} was expected. {self.remedy}"
        return f"{self.field}: {said}" if self.field else said


def refuse(place: str, given: str, expected: str, remedy: str = ADVICE) -> NoReturn:
    """Raises Unreadable. ``given`` says what was found, in words."""
    raise Unreadable(place, given, expected, remedy)


def wrong(place: str, value: object, expected: str, remedy: str = ADVICE) -> NoReturn:
    """Raises Unreadable for a value of the file, put in words; a text shortened and in quotation marks."""
    raise Unreadable(place, _said(value), expected, remedy)


def _said(given: object) -> object:
    if isinstance(given, bool):
        return "true" if given else "false"
    if isinstance(given, str):
        shown = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in given[:40])
        return f"The text \N{LEFT DOUBLE QUOTATION MARK}{shown}\N{RIGHT DOUBLE QUOTATION MARK}"
    if isinstance(given, list):
        return f"A list of {len(given)} entries"
    if isinstance(given, dict):
        return f"An object of {len(given)} entries"
    return given


@contextmanager
def at(place: str) -> Iterator[None]:
    """What the program refuses by itself within, said of this place in the file."""
    try:
        yield
    except Unreadable:
        raise
    except CalcError as error:
        raise Unreadable(_join(place, error.field), error.given, error.expected, error.remedy) from None
    except ValidationError as error:
        raise Unreadable(*_of_rows(place, error)) from None


def _join(place: str, field: str) -> str:
    """Calc counts "tucks.2.depth"; a file's places are written "tucks[2].depth"."""
    for part in field.split(".") if field else ():
        place += f"[{part}]" if part.isdecimal() else f".{part}" if place else part
    return place


def _of_rows(place: str, error: ValidationError) -> tuple[str, str, str, str]:
    """The first thing the program's own rules say against a row."""
    if hasattr(error, "error_dict"):
        name, texts = next(iter(error.message_dict.items()))
        where = place if name.startswith("__") else f"{place}.{name}"
    else:
        where, texts = place, error.messages
    return where, "What stands there", "something else", f"{texts[0]} {ADVICE}"


def each(place: str, rows: list[Any], read: Callable[[str, Any], Any]) -> list[Any]:
    """``read`` of every entry of a list, each with its own place."""
    return [read(f"{place}[{number}]", row) for number, row in enumerate(rows)]
