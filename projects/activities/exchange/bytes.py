"""From bytes to plain JSON values, distrusting every byte: size, depth, number of values, doubled keys.

What is counted is counted before anything is decoded, so that no file costs more memory than a full one.
"""

from __future__ import annotations

import json
import re
from typing import Any, NoReturn

from projects.calc.units import grouped

from .errors import refuse

LARGEST = 10_000_000
"""Bytes a file may have."""
DEEPEST = 40
MOST_CONTAINERS = 120_000
MOST_VALUES = 600_000
DIGITS = 18

_STRING = re.compile(rb'"(?:[^"\\]++|\\.)*+\\?(?:"|\Z)', re.DOTALL)
_ALL_BUT_BRACKETS = bytes(set(range(256)) - set(b"[]{}"))
_OPENS = frozenset(b"[{")
_ODD = re.compile("[\x00\ud800-\udfff]")
EXPORT = "Export it again from Foldwright."


def decode(data: bytes) -> Any:
    """The values of a file: dicts, lists, texts, whole numbers, true, false, null. Raises Unreadable."""
    if len(data) > LARGEST:
        refuse("", f"A file of {len(data) / 1e6:.1f} MB", "a file of at most 10 MB", "Choose another file.")
    text = _text(data)
    _count(data)
    try:
        found = json.loads(
            text,
            object_pairs_hook=_object,
            parse_int=_whole,
            parse_float=_fraction,
            parse_constant=_constant,
        )
    except RecursionError:
        refuse("", "A file of too many levels", f"at most {DEEPEST} levels", EXPORT)
    except json.JSONDecodeError as error:
        what = f"Something that is not JSON in line {error.lineno}, character {error.colno}"
        refuse("", what, "a file written by Foldwright", EXPORT)
    _texts("", found)
    return found


def _text(data: bytes) -> str:
    if not data.strip():
        refuse("", "An empty file", "a file written by Foldwright", "Choose another file.")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        refuse(
            "", "A file that is not text", "a file written by Foldwright, in UTF-8", "Choose another file."
        )


def _count(data: bytes) -> None:
    """Levels, objects and lists, and values, outside of texts."""
    bare = _STRING.sub(b"", data)
    values = bare.count(b",")
    if values > MOST_VALUES:
        most = f"at most {grouped(MOST_VALUES)}"
        refuse("", f"A file of {grouped(values)} values", most, "Take out what is not needed.")
    brackets = bare.translate(None, _ALL_BUT_BRACKETS)
    if len(brackets) > 2 * MOST_CONTAINERS:
        refuse(
            "",
            f"A file of {grouped(len(brackets) // 2)} lists and objects",
            f"at most {grouped(MOST_CONTAINERS)}",
            "Take out what is not needed.",
        )
    depth = deepest = 0
    for bracket in brackets:
        depth += 1 if bracket in _OPENS else -1
        deepest = max(deepest, depth)
    if deepest > DEEPEST:
        refuse("", f"A file of {deepest} levels, one within another", f"at most {DEEPEST} levels", EXPORT)


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        refuse(twice[:60], "The same name twice in one object", "each name once", "Take one of them out.")
    return found


def _whole(text: str) -> int:
    if len(text.lstrip("-")) > DIGITS:
        refuse("", f"The number {text[:24]}… of {len(text)} digits", f"at most {DIGITS} digits", EXPORT)
    return int(text)


def _fraction(text: str) -> NoReturn:
    refuse(
        "", f"The number {text[:24]}", "whole numbers only, and decimals in quotation marks",
        'Write it as a text, such as "0.25".',
    )  # fmt: skip


def _constant(text: str) -> NoReturn:
    refuse("", f"{text}, which is no number", "numbers", EXPORT)


def _texts(place: str, found: Any) -> None:
    """No text may hold what a database can't keep: NUL, and halves of characters."""
    if isinstance(found, str):
        if _ODD.search(found):
            refuse(
                place, "A text with a character that can't be kept", "text that can be read", "Type it again."
            )
    elif isinstance(found, list):
        for number, entry in enumerate(found):
            if not isinstance(entry, int):
                _texts(f"{place}[{number}]", entry)
    elif isinstance(found, dict):
        for key, entry in found.items():
            if _ODD.search(key):
                refuse(place, "A name with a character that can't be kept", "a name that can be read", EXPORT)
            if not isinstance(entry, int):
                _texts(f"{place}.{key}" if place else key, entry)
