"""Money in whole minor units (cents, pence, fils) of one currency: how it is written, and read when typed."""

from __future__ import annotations

import re
import unicodedata
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from projects.calc.errors import CalcError, shorten
from projects.calc.units import GAP, grouped

USUAL_DIGITS: Final = 2
NO_PARTS: Final = {
    "BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND", "VUV", "XAF",
    "XOF", "XPF",
}  # fmt: skip
THOUSANDTHS: Final = {"BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"}
SIGNS: Final = {"€": ("EUR",), "£": ("GBP",), "¥": ("JPY", "CNY"), "₹": ("INR",), "₩": ("KRW",)}
"""Signs that mean one or two currencies; a dollar sign fits every dollar and peso."""
PESOS: Final = {"ARS", "CLP", "COP", "MXN", "UYU"}
MOST: Final = 10**12
"""The most that can be typed, in whole units: a slip of the finger rather than a price."""

_CODE: Final = re.compile(r"(?:([A-Za-z]{3}|[^\w\s.,+-]) ?)?(.*?)(?: ?([A-Za-z]{3}|[^\w\s.,+-]))?")
_PLAIN: Final = re.compile(r"[0-9]{1,15}")
_PARTS: Final = re.compile(r"([0-9]{0,15})([.,])([0-9]{1,15})")
_GROUPED: Final = re.compile(r"[0-9]{1,3}(?:([ ,.'’])[0-9]{3})(?:\1[0-9]{3})*")


class MoneyError(CalcError):
    """Money that can't be read; its text stands beside the field."""


def digits(currency: str) -> int:
    """Digits of the minor unit: 0, 2 or 3. Source: ISO 4217; a currency not in the tables has 2.

    >>> digits("EUR"), digits("JPY"), digits("KWD")
    (2, 0, 3)
    """
    if currency in NO_PARTS:
        return 0
    return 3 if currency in THOUSANDTHS else USUAL_DIGITS


def minor(amount: Decimal, currency: str) -> Decimal:
    """An amount in whole units as minor units, exact: what prices are multiplied with."""
    return amount.scaleb(digits(currency))


def half_up_minor(amount: Decimal) -> int:
    """Minor units, half up to a whole one."""
    return int(amount.quantize(Decimal(1), ROUND_HALF_UP))


def plain_money(amount: int, currency: str) -> str:
    """Minor units as the plain number that is typed in a field: 123450 -> "1234.50".

    >>> plain_money(123450, "EUR"), plain_money(1234, "JPY"), plain_money(5, "KWD")
    ('1234.50', '1234', '0.005')
    """
    return f"{Decimal(amount).scaleb(-digits(currency)):f}"


def format_money(amount: int, currency: str) -> str:
    """Minor units for reading, thousands apart by a space, with the currency; ``parse_money`` reads it back.

    >>> format_money(123450, "EUR").replace("\\N{NO-BREAK SPACE}", "_")
    '1_234.50_EUR'
    """
    sign = "\N{MINUS SIGN}" if amount < 0 else ""
    whole, _, part = plain_money(abs(amount), currency).partition(".")
    return f"{sign}{grouped(int(whole))}{'.' + part if part else ''}{GAP}{currency}"


def parse_money(text: str, currency: str) -> int:
    """Whole minor units of typed money: "12.50", "12,5", "1 250", "1,250.00", "EUR 12", "£12".

    A comma before exactly three digits is refused as unclear, and so is a point where the currency has fewer
    digits. Raises MoneyError for what can't be read, is less than nothing, finer than the minor unit, or in
    another currency.

    >>> [parse_money(text, "EUR") for text in ("12.50", "12,5", "1 250", "1,250.00", "12 EUR")]
    [1250, 1250, 125000, 125000, 1200]
    """
    given = shorten(text)
    line = " ".join(unicodedata.normalize("NFKC", text[:200]).split())
    if not line:
        raise MoneyError("", "Nothing", "an amount of money", f"Type one such as {_example(currency)}.")
    if line[0] in "-\N{MINUS SIGN}":
        raise MoneyError("", given, "nothing or more", "Type the amount without the minus.")
    value = _read(_without_code(line, given, currency), given, currency)
    if value >= MOST:
        raise MoneyError("", given, "less than a million million", "Look for a digit too many.")
    amount = minor(value, currency)
    if amount != int(amount):
        raise MoneyError("", given, _finest(currency), f"Type one such as {_example(currency)}.")
    return int(amount)


def _example(currency: str) -> str:
    return plain_money(1250 if digits(currency) != 0 else 12, currency)


def _finest(currency: str) -> str:
    places = digits(currency)
    if not places:
        return f"a whole amount, as {currency} has no smaller part,"
    return f"at most {places} digits after the point"


def _without_code(line: str, given: str, currency: str) -> str:
    """The number alone; a currency named before or after it must be the studio's own."""
    found = _CODE.fullmatch(line)
    if found is None:
        return line
    before, number, after = found.groups()
    if not any(sign.isdigit() for sign in number):
        return line
    for named in (before, after):
        if named and not _fits(named, currency):
            remedy = f"Type it in {currency}, the studio's currency."
            raise MoneyError("", given, f"an amount in {currency}", remedy)
    return number.strip()


def _fits(named: str, currency: str) -> bool:
    if named == "$":
        return currency.endswith("D") or currency in PESOS
    return named.upper() == currency or currency in SIGNS.get(named, ())


def _read(number: str, given: str, currency: str) -> Decimal:
    if _PLAIN.fullmatch(number):
        return Decimal(number)
    if found := _PARTS.fullmatch(number):
        whole, mark, part = found.groups()
        if len(part) == 3 and whole and (mark == "," or digits(currency) < 3):
            remedy = f"Type {whole}{part} for thousands, or use a point and at most two digits for parts."
            if digits(currency) == 3:
                remedy = f"Type {whole}{part} for thousands, or {whole}.{part} for parts."
            raise MoneyError("", given, "an amount that can be read one way only", remedy)
        return Decimal(f"{whole or 0}.{part}")
    value = _grouped(number)
    if value is None:
        raise MoneyError("", given, "an amount of money", f"Type one such as {_example(currency)}.")
    return value


def _grouped(number: str) -> Decimal | None:
    """Thousands set apart by spaces, commas, points or apostrophes; parts behind a mark of another kind."""
    head, mark, part = number, "", ""
    if found := re.fullmatch(r"(.*[^.,])([.,])([0-9]{1,3})", number):
        head, mark, part = found.groups()
        if mark in head:
            head, mark, part = number, "", ""
    groups = _GROUPED.fullmatch(head)
    if groups is None or groups[1] == mark:
        return None
    whole = re.sub(r"[^0-9]", "", head)
    return Decimal(f"{whole}.{part or 0}") if len(whole) <= 15 else None
