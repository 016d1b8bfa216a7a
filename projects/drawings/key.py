"""Samples of marks for the mark key and for tables."""

from __future__ import annotations

from functools import lru_cache

from django.utils.safestring import SafeString

from .marks import level, look
from .svg import Drawing


@lru_cache(maxsize=64)
def sample(letter: str, *, width: int = 36) -> SafeString:
    """A short piece of a mark's line; its words are for screen readers ("mark A: solid, indigo")."""
    mark = look(letter)
    drawing = Drawing(width, 12, f"mark {letter}: {mark.words}" if letter else "a plain line", "key")
    level(drawing, mark, [6], 1, width - 1, 2.4)
    return drawing.svg()
