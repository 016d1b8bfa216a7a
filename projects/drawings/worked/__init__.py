"""How a texture by ratio is worked: its marks on the flat cloth above, what they make below, to scale."""

from __future__ import annotations

from collections.abc import Callable

from django.utils.safestring import SafeString

from projects.calc.ratio import ByRatio

from .cloths import Look
from .dots import english, honeycomb
from .lattice import joined, lattice
from .lines import quilting, segments, trapunto
from .rows import gathers, shirring
from .words import how

__all__ = ["Look", "how", "joined", "segments", "worked"]

_DRAWN: dict[str, Callable[[ByRatio, Look], SafeString]] = {
    "gathers": gathers,
    "shirring": shirring,
    "english": english,
    "honeycomb": honeycomb,
    "lattice": lattice,
    "quilting": quilting,
    "trapunto": trapunto,
}


def worked(recipe: ByRatio, look: Look) -> SafeString:
    """The drawing of one technique, for a wide page or, with `look.phone`, close up for a phone."""
    return _DRAWN[recipe.technique](recipe, look)
