"""A small, safe SVG writer.

Everything given is escaped, numbers are short, colours are presentation attributes: the same text serves the
page under a strict content policy and the printer, which sees no style sheet. Coordinates are pixels at the
width the drawing is made for.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from html import escape

from django.utils.safestring import SafeString, mark_safe

INK = "#1d2329"
SOFT = "#55606a"
EDGE = "#7f8a90"
CLOTH = "#f6f4ee"
FONT = "Source Sans 3, sans-serif"
TEXT = 14
SMALLEST_TEXT = 12

Value = str | int | float | None


def number(value: float) -> str:
    """At most two decimals, no trailing zeros, never an exponent.

    >>> number(12.0), number(0.126), number(-0.001)
    ('12', '0.13', '0')
    """
    text = f"{value:.2f}"
    text = text[:-3] if text.endswith(".00") else text.rstrip("0")
    return "0" if text == "-0" else text


def tag(name: str, inside: str = "", **attributes: Value) -> str:
    """One element. `inside` is markup already; attribute names take ``_`` for ``-``; None leaves one out."""
    written = [f' {_name(key)}="{_value(value)}"' for key, value in attributes.items() if value is not None]
    opened = f"<{name}{''.join(written)}"
    return f"{opened}>{inside}</{name}>" if inside else f"{opened}/>"


@lru_cache(maxsize=256)
def _name(key: str) -> str:
    return key.rstrip("_").replace("_", "-")


@lru_cache(maxsize=4096)
def _words(text: str) -> str:
    """Escaped; colours, anchors and weights come again and again."""
    return escape(_printable(text))


def _value(value: Value) -> str:
    if isinstance(value, str):
        return _words(value) if len(value) < 40 else escape(_printable(value))
    return number(value or 0)


def _printable(text: str) -> str:
    """Without the control characters XML has no place for."""
    return text if text.isprintable() else "".join(c if c.isprintable() else " " for c in text)


class Drawing:
    """A drawing being made: `width` and `height` in pixels; `title` is what a screen reader says of it."""

    def __init__(self, width: float, height: float, title: str, kind: str = "") -> None:
        self.width, self.height, self.title, self.kind = width, height, title, kind
        self.parts: list[str] = []
        self.data: dict[str, str] = {}
        """What a script needs of the drawing, by name without ``data-``."""

    def add(self, name: str, inside: str = "", **attributes: Value) -> None:
        self.parts.append(tag(name, inside, **attributes))

    def path(self, steps: Iterable[str], **attributes: Value) -> None:
        """One path for all `steps`; nothing where there are none."""
        way = "".join(steps)
        if way:
            self.add("path", d=way, **attributes)

    def box(self, x: float, y: float, width: float, height: float, **attributes: Value) -> None:
        attributes = {"fill": CLOTH, "stroke": EDGE, "stroke_width": 1, **attributes}
        self.add("rect", x=x, y=y, width=width, height=height, **attributes)

    def text(self, x: float, y: float, words: str, **attributes: Value) -> None:
        """Words at a point; 14 px unless `font_size` says, never under 12."""
        size = max(SMALLEST_TEXT, float(attributes.pop("font_size", None) or TEXT))
        attributes = {"font_family": FONT, "font_size": size, "fill": INK, **attributes}
        self.add("text", escape(_printable(words)), x=x, y=y, **attributes)

    def text_over(self, x: float, y: float, words: str, **attributes: Value) -> None:
        """Words over lines or tints: a pale edge first, then the words.

        Written twice because the printer knows no paint-order and would lay the edge over the letters. The
        first is for the eye alone: it is neither read out nor copied.
        """
        edge = {"stroke": "#fff", "stroke_width": 4, "stroke_linejoin": "round", "aria_hidden": "true"}
        self.text(x, y, words, **attributes, **edge)
        self.text(x, y, words, **attributes)

    def svg(self) -> SafeString:
        """The finished element. Nothing in it carries an id, so it can stand on a page more than once."""
        body = "".join(self.parts)
        classes = f"drawing {self.kind}".strip()
        data = "".join(f' data-{name}="{escape(value)}"' for name, value in self.data.items())
        return mark_safe(  # every part was escaped when it was added
            f'<svg xmlns="http://www.w3.org/2000/svg" class="{escape(classes)}" role="img" '
            f'aria-label="{escape(_printable(self.title))}" width="{number(self.width)}" '
            f'height="{number(self.height)}" viewBox="0 0 {number(self.width)} {number(self.height)}"{data}>'
            f"{body}</svg>"
        )


def rect(x0: float, y0: float, x1: float, y1: float) -> str:
    """A closed rectangle as a path's steps."""
    return f"M{number(x0)} {number(y0)}H{number(x1)}V{number(y1)}H{number(x0)}z"


def line(x0: float, y0: float, x1: float, y1: float) -> str:
    return f"M{number(x0)} {number(y0)}L{number(x1)} {number(y1)}"


def polygon(*points: tuple[float, float]) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points) + "z"


def letter_width(words: str, size: float = TEXT) -> float:
    """About how wide words are, in pixels; a little too much rather than too little."""
    return len(words) * size * 0.56
