"""Reading a typed length. Use it through `lengths.parse`.

Text is first brought to a plain form (`plain`): real fractions, primes, curly quotes and full-width digits
become `5/16`, `'`, `"` and ASCII. Then one small grammar reads it.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction
from math import floor
from typing import Final

from projects.calc.units import UNITS, LengthError, Typed, half_up, system_of

LONGEST_TEXT: Final = 80
LONGEST_NM: Final = 10**13  # 10 km: no cloth is longer, and sums of such lengths still fit 64 bits

_NAMES: Final[dict[str, str]] = {
    name: unit
    for unit, names in {
        "mm": "mm millimetre millimetres millimeter millimeters",
        "cm": "cm cms centimetre centimetres centimeter centimeters",
        "m": "m metre metres meter meters",
        "in": 'in ins inch inches "',
        "ft": "ft foot feet '",
        "yd": "yd yds yard yards",
    }.items()
    for name in names.split()
}
_EXAMPLES: Final[dict[str, str]] = {
    "mm": "12, 1.5 or 5/16 in",
    "cm": "48, 48.5 or 19 1/4 in",
    "m": "2.3, 230 cm or 2 1/2 yd",
    "in": "5/16, 1 7/16 or 12 mm",
    "ft": "5, 5 ft 3 in or 1.6 m",
    "yd": "2 1/4, 81 in or 2.1 m",
}

_ITEM: Final = re.compile(
    r"(?:(?:(?P<whole>[0-9]+)(?: |- ?))?(?P<top>[0-9]+) ?/ ?(?P<bottom>[0-9]+)"
    r"|(?P<decimal>[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+))"
    r" ?(?P<unit>[a-z]+\.?|[\"'])? ?"
)
_UNCLEAR: Final = re.compile(r",[0-9]{3}(?![0-9])")
_SIGNS: Final = str.maketrans(
    {
        **dict.fromkeys("’‘′ʹ`´", "'"),
        **dict.fromkeys("”“″ʺ„", '"'),
        **dict.fromkeys("−–‐‑—", "-"),
        **dict.fromkeys("⁄∕／", "/"),
        **dict(zip("₀₁₂₃₄₅₆₇₈₉", "0123456789", strict=True)),
    }
)
_RAISED: Final = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")
_RAISED_RUN: Final = re.compile("[⁰¹²³⁴⁵⁶⁷⁸⁹]+")
_SINGLE_FRACTIONS: Final = re.compile("[¼-¾⅐-⅟↉]")


def shorten(text: str, most: int = 40) -> str:
    """Typed text fit to be quoted in a sentence: one printable line, at most `most` characters."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text[: 4 * most]).split())
    return line if len(line) <= most and len(text) <= 4 * most else line[: most - 1] + "…"


def plain(text: str) -> str:
    """Typed text in plain characters: lower case, single spaces, `5/16` for a real fraction, `'` and `"`."""
    if text.isascii():
        return " ".join(text.casefold().split()).replace("''", '"')
    text = _SINGLE_FRACTIONS.sub(_single_fraction, text)
    text = _RAISED_RUN.sub(lambda run: " " + run[0].translate(_RAISED), text)
    text = unicodedata.normalize("NFKC", text.translate(_SIGNS)).translate(_SIGNS)
    return " ".join(text.casefold().split()).replace("''", '"')


def _single_fraction(found: re.Match[str]) -> str:
    return " " + unicodedata.normalize("NFKC", found[0])


def read(text: str, unit: str, *, allow_negative: bool = False) -> Typed:
    """The typed length, a bare number in `unit`. Raises LengthError; see `lengths.parse` for what is read."""
    if len(text) > LONGEST_TEXT:
        raise _unreadable(text, unit, f"That is too long for a length ({len(text)} characters).")
    line = plain(text)
    if not line:
        ask = f"Type a length such as {_EXAMPLES[unit]}."
        raise LengthError("No length was typed.", given="", expected="a length", remedy=ask)
    negative, line = _sign(line, text, allow_negative)
    if _UNCLEAR.search(line):
        raise _unclear(text, line)
    parts = _parts(line, text, unit)
    total = sum((value * UNITS[name] for value, name in parts), Fraction(0))
    nm = half_up(total.numerator, total.denominator)
    if nm > LONGEST_NM:
        raise _unreadable(text, unit, f"“{shorten(text)}” is longer than any cloth.")
    return Typed(-nm if negative else nm, parts[-1][1])


def _sign(line: str, text: str, allow_negative: bool) -> tuple[bool, str]:
    negative = line.startswith("-")
    if negative and not allow_negative:
        raise LengthError(
            f"“{shorten(text)}” is less than nothing.",
            given=shorten(text),
            expected="a length that is not negative",
            remedy="Type it without the minus.",
        )
    return negative, line.lstrip() if not line.startswith(("-", "+")) else line[1:].lstrip()


def _parts(line: str, text: str, unit: str) -> list[tuple[Fraction, str]]:
    """The numbers of a length with their units; more than one only as `5 ft 3 in`, from large to small."""
    parts: list[tuple[Fraction, str]] = []
    at = 0
    while at < len(line):
        item = _ITEM.match(line, at)
        if item is None:
            raise _unreadable(text, unit)
        parts.append((_number(item, text, unit), _unit(item, text, unit)))
        if at and not (item["unit"] and _descends(parts[-2][1], parts[-1][1])):
            raise _unreadable(text, unit)
        if item.end() < len(line) and not item["unit"]:
            raise _unreadable(text, unit)
        at = item.end()
    return parts


def _descends(before: str, after: str) -> bool:
    return system_of(before) is system_of(after) and UNITS[before] > UNITS[after]


def _number(item: re.Match[str], text: str, unit: str) -> Fraction:
    if item["decimal"] is not None:
        return Fraction(item["decimal"].replace(",", ".").removesuffix("."))
    top, bottom, whole = int(item["top"]), int(item["bottom"]), item["whole"]
    if bottom == 0:
        raise _unreadable(text, unit, f"“{shorten(text)}” divides by nothing.")
    if whole is None:
        return Fraction(top, bottom)
    if top >= bottom:
        # 1 16/5 is most likely 1 5/16 with the figures swapped: too dear to guess.
        problem = f"“{shorten(text)}”: after a whole number the fraction must be below 1."
        raise _unreadable(text, unit, problem)
    return int(whole) + Fraction(top, bottom)


def _unit(item: re.Match[str], text: str, unit: str) -> str:
    name = item["unit"]
    if name is None:
        return unit
    known = _NAMES.get(name.removesuffix("."))
    if known is None:
        problem = f"“{shorten(name)}” in “{shorten(text)}” is not a unit of length known here."
        raise _unreadable(text, unit, problem)
    return known


def _unreadable(text: str, unit: str, problem: str = "") -> LengthError:
    given = shorten(text)
    return LengthError(
        problem or f"“{given}” can't be read as a length.",
        given=given,
        expected="a number, with its unit if it is not in " + unit,
        remedy=f"Type a number such as {_EXAMPLES[unit]}.",
    )


def _unclear(text: str, line: str) -> LengthError:
    given = shorten(text)
    found = re.search(r"[0-9]*,[0-9]{3}", line)
    number = found[0] if found else line
    point, bare = number.replace(",", ".", 1), number.replace(",", "", 1)
    ask = f"Type {point}." if number[0] in "0," else f"Type {point} or {bare}."
    return LengthError(
        f"“{given}” is unclear: the comma may mark the decimals or the thousands.",
        given=given,
        expected="a number without a comma before three digits",
        remedy=ask,
    )


def check_bounds(typed: Typed, text: str, unit: str, *, least: int | None, most: int | None) -> None:
    """Raise LengthError where a length is outside `least` .. `most` (nm, inclusive); figures in `unit`."""
    if least is not None and typed.nm < least:
        if least <= UNITS["mm"] // 100:
            raise _outside(typed, text, unit, "not enough here", "Type more than 0.")
        limit = _bound(least, unit, up=True)
        raise _outside(typed, text, unit, f"shorter than the {limit} needed here", f"Type at least {limit}.")
    if most is not None and typed.nm > most:
        limit = _bound(most, unit, up=False)
        raise _outside(typed, text, unit, f"longer than the {limit} allowed here", f"Type at most {limit}.")


def _outside(typed: Typed, text: str, unit: str, how: str, ask: str) -> LengthError:
    given = shorten(text)
    bare = given if not given[-1:].isdecimal() else f"{given} {typed.unit}"
    also = "" if typed.unit == unit else f" ({_bound(typed.nm, unit, up=None)})"
    return LengthError(f"{bare}{also} is {how}.", given=given, expected=ask, remedy=ask)


def _bound(nm: int, unit: str, *, up: bool | None) -> str:
    """A limit to two decimals of the field's unit, rounded towards what is allowed (None: to the nearest)."""
    hundredths = Fraction(nm * 100, UNITS[unit])
    if up is None:
        count = floor(hundredths + Fraction(1, 2))
    else:
        count = -floor(-hundredths) if up else floor(hundredths)
    whole, part = divmod(count, 100)
    return f"{whole}.{part:02d}".rstrip("0").rstrip(".") + f" {unit}"
