"""Empty places among rectangles: every rectangle free of them that can't grow."""

from __future__ import annotations

from collections.abc import Iterable

Rect = tuple[int, int, int, int]  # x and y of the nearest corner, x and y of the farthest (nm)


def empty_places(box: Rect, taken: Iterable[Rect], least: int = 1) -> list[Rect]:
    """All largest empty rectangles in `box` at least `least` on both sides; they may overlap."""
    places = [box] if _keeps(box, least) else []
    for other in taken:
        places = without(places, other, least)
    return places


def without(places: list[Rect], taken: Rect, least: int = 1) -> list[Rect]:
    """Largest empty rectangles after one more place is taken: those it touches fall into up to four."""
    a, b, c, d = taken
    kept: list[Rect] = []
    new: set[Rect] = set()
    for place in places:
        x1, y1, x2, y2 = place
        if c <= x1 or x2 <= a or d <= y1 or y2 <= b:
            kept.append(place)
            continue
        new |= {(x1, y1, a, y2), (c, y1, x2, y2), (x1, y1, x2, b), (x1, d, x2, y2)}
    large = [place for place in sorted(new) if _keeps(place, least)]
    grown = [p for p in large if not any(_holds(o, p) for o in large if o != p)]
    return kept + [p for p in grown if not any(_holds(o, p) for o in kept)]


def _keeps(place: Rect, least: int) -> bool:
    return place[2] - place[0] >= least and place[3] - place[1] >= least


def _holds(outer: Rect, inner: Rect) -> bool:
    return outer[0] <= inner[0] and outer[1] <= inner[1] and inner[2] <= outer[2] and inner[3] <= outer[3]
