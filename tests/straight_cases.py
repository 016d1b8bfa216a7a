"""Lays that straight cuts take apart, by construction: a strip cut again and again, then shaved."""

from __future__ import annotations

from random import Random

from projects.calc.lay import LayPanel, LayRequest

MM = 1_000_000


def shaved_strip(seed: int, *, turn: bool = False, most_shaved: float = 0.03) -> tuple[LayRequest, int]:
    """A request and the length of the strip its panels were cut from (nm): no shortest lay is longer.

    The strip is cut into 8 to 40 panels by cuts edge to edge of the part they cut. Then half of the sides of
    panels lose 0.5 % up to `most_shaved`, in whole mm, so that an exact fit gives nothing away.
    """
    rng = Random(seed)
    panels = rng.randint(8, 40)
    width = rng.randint(900, 1_500)
    length = round(width * rng.uniform(0.8, 2.5))
    parts = [(width, length)]
    least = round((width * length / panels) ** 0.5 / 3)
    while len(parts) < panels:
        at = max(range(len(parts)), key=lambda i: parts[i][0] * parts[i][1] * rng.uniform(0.3, 1))
        w, h = parts.pop(at)
        across = rng.random() < h / (w + h)
        side = h if across else w
        if side < 2 * least:
            across, side = not across, w if across else h
        cut = rng.randint(least, side - least) if side > 2 * least else side // 2
        parts += [(w, cut), (w, side - cut)] if across else [(cut, h), (side - cut, h)]
    rng.shuffle(parts)
    shaved = [(_shave(w, rng, most_shaved), _shave(h, rng, most_shaved)) for w, h in parts]
    found = tuple(LayPanel(f"piece {i}", w * MM, h * MM, 1, turn) for i, (w, h) in enumerate(shaved))
    return LayRequest(width * MM, found, straight_cuts=True), length * MM


def _shave(side: int, rng: Random, most: float) -> int:
    return side if rng.random() < 0.5 else max(1, round(side * (1 - rng.uniform(0.005, most))))
