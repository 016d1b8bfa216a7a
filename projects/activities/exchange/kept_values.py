"""Numbers kept as they were: cut panels and kept lays of a file, as strict as what the program writes itself.

What is read must write the same JSON again, and every number, text and list in it must be of the kind that
its place in the program is declared with.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from projects.planning.lay_json import inputs_json, lay_from_json, lay_to_json, request_from_json
from projects.planning.snapshot import CALC_VERSION, keep, read_kept

from .errors import at, refuse

MOST_NM = 10**14
EXPECTED = "numbers kept by this version of the program"
ODD = (KeyError, TypeError, ValueError, AttributeError, ArithmeticError, IndexError)


def check_kept(place: str, given: Mapping[str, Any]) -> None:
    """A cut panel's numbers, its fabric taken out. Raises Unreadable."""
    kept = _read(place, lambda: read_kept(given))
    _agree(place, kept)
    _same(place, given, lambda: keep(kept.hand, kept.plan, None) | _calc_of(given))


def _calc_of(given: Mapping[str, Any]) -> dict[str, str]:
    """The version of the calculation it was cut by, which may be an earlier one: such numbers stay."""
    calc = given.get("calc")
    known = isinstance(calc, str) and calc.isascii() and calc.isdigit() and len(calc) <= len(CALC_VERSION)
    return {"calc": calc} if known and 0 < int(calc) <= int(CALC_VERSION) else {}


def check_lay(place: str, inputs: Mapping[str, Any], result: Mapping[str, Any]) -> None:
    """A kept lay: what it was made from, and where each panel lies."""
    request = _read(f"{place}.inputs", lambda: request_from_json(inputs))
    _agree(f"{place}.inputs", request)
    own_width = inputs.get("own_width", True) is True
    _same(f"{place}.inputs", inputs, lambda: _as(inputs, inputs_json(request, (), own_width)))
    lay = _read(f"{place}.result", lambda: lay_from_json(result))
    _agree(f"{place}.result", lay)
    _same(f"{place}.result", result, lambda: _as(result, lay_to_json(lay)))


OF_FORMAT_1 = {
    "format", "width_nm", "gap_nm", "one_way", "panels", "length_nm", "shortest_possible_nm", "waste",
    "shortest", "placements",
}  # fmt: skip
"""What a lay of format 1 and what it was made from could say."""


def _as(given: Mapping[str, Any], written: dict[str, Any]) -> dict[str, Any]:
    """What is written now, in the format of what was given."""
    if given.get("format") != 1:
        return written
    found = {key: value for key, value in written.items() if key in OF_FORMAT_1} | {"format": 1}
    if "placements" in found:
        found["placements"] = [{k: v for k, v in p.items() if k != "on"} for p in found["placements"]]
    return found


def _read(place: str, read: Callable[[], Any]) -> Any:
    try:
        with at(place):
            return read()
    except ODD as error:
        if isinstance(error, KeyError):
            refuse(place, f"Nothing under the name {str(error)[:60]}", EXPECTED)
        refuse(place, "Something that can't be read", EXPECTED)


def _same(place: str, given: Mapping[str, Any], write: Callable[[], Any]) -> None:
    if _read(place, write) != given:
        refuse(place, "Numbers that do not read back as they stand", EXPECTED)


def _agree(place: str, row: Any) -> None:
    found = disagreement(row, type(row), "")
    if found:
        refuse(place, f"Something of the wrong kind in {found}", EXPECTED)


def disagreement(value: Any, kind: Any, where: str) -> str:
    """Where a value is not of the kind it is declared with; empty when all agree."""
    if kind is Any or isinstance(kind, str):
        return ""
    origin, args = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        return "" if any(not disagreement(value, one, where) for one in args) else where or "it"
    if origin is not None and isinstance(origin, type) and issubclass(origin, Mapping):
        return "" if isinstance(value, Mapping) else where
    if origin is not None and isinstance(origin, type) and issubclass(origin, tuple | Sequence):
        return _in_row(value, args, where)
    if not isinstance(kind, type):
        return ""
    if not _is(value, kind):
        return where or "it"
    return _inside(value, kind, where) if is_dataclass(kind) or hasattr(kind, "_fields") else ""


def _in_row(value: Any, args: tuple[Any, ...], where: str) -> str:
    if not isinstance(value, tuple | list):
        return where or "it"
    if len(args) == 2 and args[1] is Ellipsis or len(args) == 1:
        kinds: Sequence[Any] = [args[0]] * len(value)
    else:
        kinds = args
    if len(kinds) != len(value):
        return where or "it"
    found = (
        disagreement(one, kind, f"{where}[{n}]")
        for n, (one, kind) in enumerate(zip(value, kinds, strict=True))
    )
    return next((text for text in found if text), "")


def _is(value: Any, kind: type) -> bool:
    if kind is type(None):
        return value is None
    if kind is int:
        return isinstance(value, int) and not isinstance(value, bool) and abs(value) <= MOST_NM
    if kind in (Decimal, Fraction):
        return isinstance(value, kind) and abs(value) <= MOST_NM
    if kind in (bool, str, float) or issubclass(kind, Enum):
        return isinstance(value, kind)
    return isinstance(value, kind)


def _inside(value: Any, kind: type, where: str) -> str:
    for name, declared in _declared(kind).items():
        found = disagreement(getattr(value, name), declared, f"{where}.{name}" if where else name)
        if found:
            return found
    return ""


@cache
def _declared(kind: type) -> dict[str, Any]:
    hints = get_type_hints(kind)
    names = [f.name for f in fields(kind)] if is_dataclass(kind) else list(getattr(kind, "_fields", ()))
    return {name: hints[name] for name in names}
