"""The places that straight cuts leave around panels held where they are."""

from __future__ import annotations

from collections.abc import Sequence

from projects.calc.lay.request import LayError, LayRequest
from projects.calc.lay.skyline import Spot
from projects.calc.lay.straight.filling import Place

Stretch = tuple[int, int, list[Spot]]


def places_around(
    pinned: Sequence[Spot], room: int, request: LayRequest, *, along_first: bool
) -> list[Place]:
    """Empty places up to the end of the last pinned panel, all freed by straight cuts. Sizes include the gap.

    Raises LayError where no straight cut parts some of the pinned panels.
    """
    top = max(spot.y + spot.length for spot in pinned)
    places: list[Place] = []
    waiting: list[tuple[Place, list[Spot]]] = [((0, 0, room, top), list(pinned))]
    while waiting:
        place, inside = waiting.pop()
        if not inside:
            places.append(place)
        elif (place[2], place[3]) != (inside[0].width, inside[0].length):
            waiting += _apart(place, inside, request, along_first)
    return places


def _apart(
    place: Place, inside: list[Spot], request: LayRequest, along_first: bool
) -> list[tuple[Place, list[Spot]]]:
    x, y, width, length = place
    for along in (along_first, not along_first):
        start, size = (x, width) if along else (y, length)
        stretches = _stretches(inside, along)
        lines = sorted({at for a, b, _ in stretches for at in (a, b)} | {start, start + size})
        if len(lines) == 2:
            continue
        held = {a: spots for a, _, spots in stretches}
        return [
            ((a, y, b - a, length) if along else (x, a, width, b - a), held.get(a, []))
            for a, b in zip(lines, lines[1:], strict=False)
        ]
    raise _locked(inside, request)


def _stretches(inside: Sequence[Spot], along: bool) -> list[Stretch]:
    """Panels in groups with clear lines between them."""
    found: list[Stretch] = []
    for spot in sorted(inside, key=lambda spot: spot.x if along else spot.y):
        a, b = (spot.x, spot.x + spot.width) if along else (spot.y, spot.y + spot.length)
        if found and a < found[-1][1]:
            first, last, spots = found[-1]
            found[-1] = (first, max(last, b), [*spots, spot])
        else:
            found.append((a, b, [spot]))
    return found


def _locked(inside: Sequence[Spot], request: LayRequest) -> LayError:
    names = ", ".join(f"{spot.item.panel.name} {spot.item.copy}" for spot in inside)
    return LayError(
        f"No straight cut parts these pinned panels: {names}.",
        panel=inside[0].item.panel.name,
        given=names,
        expected="pinned panels with a line clear of them from edge to edge",
        remedy="Pin one of them elsewhere, or let straight cuts go.",
    )
