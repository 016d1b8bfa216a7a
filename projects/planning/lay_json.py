"""Lays and what they were found for, as they are kept, exported and compared. Lengths are whole nm.

Format 1 knew one cloth and no options; it is still read. Format 2 adds the lengths of the stash, what each
gives (``used``), where each panel lies (``on``), and all that can be asked.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from projects.calc.lay import Lay, LayPanel, LayRequest, Placement
from projects.calc.lay.request import Flaw, Pin, StashLength, Used

FORMAT = 2
OPTIONS = {
    "gap_nm": "gap", "one_way": "one_way", "end_loss_nm": "end_loss", "one_dye_lot": "one_dye_lot",
    "smallest_remnant_nm": "smallest_remnant", "straight_cuts": "straight_cuts", "seed": "seed",
}  # fmt: skip
"""Names in the JSON -> plain fields of the request."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A lay read back with its question. ``projects``: numbers of all that are laid together, the lay's own
    first, none where it is alone; ``own_width``: the roll is as wide as the fabric is said to be."""

    request: LayRequest
    lay: Lay
    projects: tuple[int, ...] = ()
    own_width: bool = True


def inputs_json(
    request: LayRequest, projects: Sequence[int] = (), own_width: bool = True, cloths: Sequence[int] = ()
) -> dict[str, Any]:
    """What a lay is found for, to be kept beside it and compared later. ``cloths`` are the rows of its
    lengths, for a draft; an accepted lay has rows of its own for them."""
    return {
        "format": FORMAT,
        "width_nm": request.width,
        "own_width": own_width,
        "projects": list(projects),
        "cloths": list(cloths),
        **{key: getattr(request, name) for key, name in OPTIONS.items()},
        "panels": [_panel_json(p) for p in request.panels],
        "lengths": [_length_json(length) for length in request.lengths],
        "pins": [pin_json(pin) for pin in request.pins],
    }


def _panel_json(panel: LayPanel) -> dict[str, Any]:
    return {
        "name": panel.name,
        "width_nm": panel.width,
        "length_nm": panel.length,
        "count": panel.count,
        "may_turn": panel.may_turn,
    }


def _length_json(length: StashLength) -> dict[str, Any]:
    flaws = [{"x_nm": f.x, "y_nm": f.y, "width_nm": f.width, "length_nm": f.length} for f in length.flaws]
    sizes = {"width_nm": length.width, "length_nm": length.length}
    return {"name": length.name, **sizes, "dye_lot": length.dye_lot, "flaws": flaws}


def pin_json(pin: Pin) -> dict[str, Any]:
    place = {"x_nm": pin.x, "y_nm": pin.y, "turned": pin.turned, "on": pin.on}
    return {"name": pin.name, "copy": pin.copy, **place}


def pin_from_json(p: Mapping[str, Any]) -> Pin:
    return Pin(p["name"], p["copy"], p["x_nm"], p["y_nm"], p["turned"], p["on"])


def request_from_json(inputs: Mapping[str, Any]) -> LayRequest:
    """The request a lay was found for."""
    options = {name: inputs[key] for key, name in OPTIONS.items() if inputs["format"] > 1 or key in inputs}
    return LayRequest(
        width=inputs["width_nm"],
        panels=tuple(_panel(p) for p in inputs["panels"]),
        lengths=tuple(_length(x) for x in inputs.get("lengths", ())),
        pins=tuple(pin_from_json(p) for p in inputs.get("pins", ())),
        **options,
    )


def _panel(p: Mapping[str, Any]) -> LayPanel:
    return LayPanel(p["name"], p["width_nm"], p["length_nm"], p["count"], p["may_turn"])


def _length(x: Mapping[str, Any]) -> StashLength:
    flaws = tuple(Flaw(f["x_nm"], f["y_nm"], f["width_nm"], f["length_nm"]) for f in x["flaws"])
    return StashLength(x["name"], x["width_nm"], x["length_nm"], x["dye_lot"], flaws)


def lay_to_json(lay: Lay) -> dict[str, Any]:
    """A lay as it is kept and exported. ``shortest``: it is proven that nothing shorter exists."""
    return {
        "format": FORMAT,
        "length_nm": lay.length,
        "shortest_possible_nm": lay.lower_bound,
        "waste": str(lay.waste_share),
        "shortest": lay.shortest,
        "used": [{"name": used.name, "length_nm": used.length} for used in lay.used],
        "placements": [_placement_json(p) for p in lay.placements],
    }


def _placement_json(p: Placement) -> dict[str, Any]:
    sizes = {"x_nm": p.x, "y_nm": p.y, "width_nm": p.width, "length_nm": p.length}
    return {"name": p.name, **sizes, "turned": p.turned, "copy": p.copy, "on": p.on}


def lay_from_json(kept: Mapping[str, Any]) -> Lay:
    return Lay(
        length=kept["length_nm"],
        placements=tuple(_placements(kept["placements"])),
        lower_bound=kept["shortest_possible_nm"],
        waste_share=Decimal(kept["waste"]),
        shortest=kept["shortest"],
        used=tuple(Used(u["name"], u["length_nm"]) for u in kept.get("used", ())),
    )


def _placements(rows: Iterable[Mapping[str, Any]]) -> Iterable[Placement]:
    for p in rows:
        size = (p["x_nm"], p["y_nm"], p["width_nm"], p["length_nm"])
        yield Placement(p["name"], *size, p["turned"], p.get("copy", 1), p.get("on", ""))


def read_kept(inputs: Mapping[str, Any], result: Mapping[str, Any]) -> Kept:
    """A lay with its question. In format 1 panels could share a name: each gets its own, as in plans now."""
    request, lay = request_from_json(inputs), lay_from_json(result)
    projects, own_width = tuple(inputs.get("projects", ())), inputs.get("own_width", True)
    names = own_names([p.name for p in request.panels])
    if names != [p.name for p in request.panels]:
        panels = tuple(replace(p, name=name) for p, name in zip(request.panels, names, strict=True))
        lay = replace(lay, placements=_renamed(lay.placements, request.panels, names))
        request = replace(request, panels=panels)
    return Kept(request, lay, projects, own_width)


def own_names(names: Iterable[str]) -> list[str]:
    """The same names, later ones of equals numbered: "Front", "Front (2)"."""
    given = list(names)
    taken, seen, found = set(given), Counter[str](), list[str]()
    for name in given:
        own = name
        while seen[name] and (own == name or own in taken):
            seen[name] += 1
            own = f"{name} ({seen[name]})"
        seen[name] = max(1, seen[name])
        taken.add(own)
        found.append(own)
    return found


def _renamed(
    placements: Sequence[Placement], panels: Sequence[LayPanel], names: Sequence[str]
) -> tuple[Placement, ...]:
    """Placements with the own name of the first panel that each can be and that none before it was."""
    waiting = list(zip(panels, names, strict=True))
    return tuple(replace(placed, name=_name_of(placed, waiting)) for placed in placements)


def _name_of(placed: Placement, waiting: list[tuple[LayPanel, str]]) -> str:
    size = sorted((placed.width, placed.length))
    for index, (panel, own) in enumerate(waiting):
        if panel.name == placed.name and sorted((panel.width, panel.length)) == size:
            del waiting[index]
            return own
    return placed.name
