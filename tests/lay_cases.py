"""Panels to lay, made from a seed: strips cut up without waste, and such strips with something shaved off."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from projects.calc.lay import LayPanel, LayRequest
from projects.calc.lengths import NM_PER_MM

Size = tuple[int, int]


def cut_up(seed: int, count: int, width_mm: int = 1_400, step_mm: int = 5) -> tuple[LayRequest, int]:
    """About `count` panels that fill a strip exactly, and the strip's length (nm)."""
    random = Random(seed)
    length = count * width_mm // 9 // step_mm * step_mm
    pieces: list[Size] = [(width_mm, length)]
    while len(pieces) < count:
        pieces.sort(key=lambda size: size[0] * size[1])
        w, long = pieces.pop()
        across = random.random() * (w + long) < w
        side = w if across else long
        at = random.randrange(side // 4, side * 3 // 4 + 1) // step_mm * step_mm
        if not 0 < at < side:
            at = side // 2
        pieces += [(at, long), (w - at, long)] if across else [(w, at), (w, long - at)]
    random.shuffle(pieces)
    panels = tuple(
        LayPanel(f"piece {at}", w * NM_PER_MM, long * NM_PER_MM) for at, (w, long) in enumerate(pieces, 1)
    )
    return LayRequest(width_mm * NM_PER_MM, panels, seed=seed), length * NM_PER_MM


def shaved(seed: int, count: int, width_mm: int = 1_400) -> tuple[LayRequest, int]:
    """The same with up to 3 % off the width of most panels: no lay can be longer than the strip need be."""
    request, length = cut_up(seed, count, width_mm)
    random = Random(-seed - 1)
    panels = tuple(
        replace(
            panel, width=panel.width - random.randrange(0, panel.width // NM_PER_MM // 33 + 1) * NM_PER_MM
        )
        for panel in request.panels
    )
    return replace(request, panels=panels), length


def garment(seed: int, sets: int = 1, width_mm: int = 1_400) -> LayRequest:
    """Pieces of a garment such as a maker cuts, `sets` times over; small ones may turn."""
    random = Random(seed)
    panels = []
    for at in range(1, sets + 1):
        for name, wide, long, count, turns in (
            ("bodice", 500, 420, 1, False),
            ("skirt", 340, 720, 2, False),
            ("sleeve", 400, 450, 2, False),
            ("facing", 320, 90, 2, True),
            ("belt", 720, 95, 1, True),
            ("pocket", 210, 240, 2, False),
        ):
            w, length = (side + random.randrange(-side // 6, side // 6) // 5 * 5 for side in (wide, long))
            panels.append(LayPanel(f"{name} {at}", w * NM_PER_MM, length * NM_PER_MM, count, turns))
    return LayRequest(width_mm * NM_PER_MM, tuple(panels), seed=seed)
