"""The one shape of a refusal: which field, what was given, what was expected, what to do."""

from __future__ import annotations


class CalcError(ValueError):
    """A refusal that can stand beside a form field.

    `field` names what was wrong ("across.tucks.2.depth"), `given` and `expected` are plain words,
    `remedy` says what to do. `str()` is full sentences.
    """

    def __init__(self, field: str, given: object, expected: str, remedy: str) -> None:
        self.field = field
        self.given = shorten(given)
        self.expected = expected
        self.remedy = remedy
        super().__init__(f"{self.given} was given, {expected} was expected. {remedy}")


def shorten(given: object, most: int = 60) -> str:
    """What was given as text of at most `most` characters; never raises, whatever was sent."""
    if isinstance(given, int) and not isinstance(given, bool) and given.bit_length() > 200:
        return "A number of more than 60 digits"
    text = given if isinstance(given, str) else _plain(given)
    return text if len(text) <= most else text[: most - 1] + "\N{HORIZONTAL ELLIPSIS}"


def _plain(given: object) -> str:
    if given is None:
        return "Nothing"
    if isinstance(given, dict | list | tuple | set):
        return f"A {type(given).__name__} of {len(given)} entries"
    return str(given)


def millimetres(nm: int) -> str:
    """A length in mm as plain text for an error's words: trailing zeros dropped, six decimals at most."""
    sign = "-" if nm < 0 else ""
    whole, rest = divmod(abs(nm), 1_000_000)
    return f"{sign}{whole}.{rest:06d}".rstrip("0").rstrip(".") + " mm"
