"""A panel's numbers kept as they were when it was cut: JSON with a format number and calc's version.

The numbers themselves are kept, not what they came from alone, so that neither an edit nor a later version
of the program changes a panel that lies cut on the table. One file per format stays under tests/kept/.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from projects.calc.axis import Axis, Pressing
from projects.calc.caught import Zone
from projects.calc.margin import MarginParts
from projects.calc.need import Parts
from projects.calc.order import Order
from projects.calc.panels import Cloth, Opening, PanelPlan, PieceSize, SidePlan, Sizing
from projects.calc.ratio_work import RatioWork
from projects.calc.recipe import Recipe
from projects.calc.sampling import TakeUp
from projects.calc.sizes import Under

from .kept_ratio import ratio_json, read_fraction, read_ratio_up, read_work, work_json
from .plan import Change

FORMAT = 4
"""The latest: format 1 has tucks and pleats, and is still what they are written in; 2 also what is worked by
ratio, 3 also in what order tucks are sewn, where it is not one after the other, 4 also what lies under
quilted cloth."""
CALC_VERSION = "3"
"""Raised whenever the same inputs would give other numbers."""

AXIS_COLUMNS = {
    "seams_nm": "seams", "depths_nm": "depths", "take_ups_nm": "take_ups", "marks": "marks",
    "reaches_nm": "reaches", "numbers": "numbers",
}
PARTS = {
    "pattern_nm": "pattern", "allowance_start_nm": "allowance_start", "allowance_end_nm": "allowance_end",
    "squaring_nm": "squaring", "margin_start_nm": "margin_start", "margin_end_nm": "margin_end",
    "repeat_start_nm": "repeat_start", "repeat_end_nm": "repeat_end",
}
MARGIN_OF = {"margin_hand_nm": "hand", "margin_sample_nm": "sample", "margin_tape_nm": "tape"}
TAKE_UP = {
    "extra_nm": "extra", "se_nm": "se", "low_nm": "low", "high_nm": "high", "basis": "basis",
    "samples": "samples", "tucks": "tucks",
}
SIZING = {
    "squaring_nm": "squaring", "border_nm": "border", "depth_spread_nm": "depth_spread",
    "check_every": "check_every", "tape_nm": "tape", "wash": "wash", "needle_lift_nm": "needle_lift",
}
EDGES = ("left", "right", "top", "bottom")
PIECE = {
    "across_nm": "across", "along_nm": "along",
    **{f"{where}_{edge}_nm": f"{where}_{edge}" for where in ("allowance", "inside") for edge in EDGES},
    "whole_repeats": "whole_repeats", "caught": "caught", "margin_at": "margin_at",
}
ZONE = {"cut_nm": "cut", "stitching_nm": "stitching", "name": "name", "kind": "kind"}
OPENING = {"direction": "direction", "start_nm": "start", "end_nm": "end", "name": "name"}


@dataclass(frozen=True, slots=True)
class Kept:
    """A panel as it was kept: its hand, its numbers, and the row of the fabric it was cut from."""

    hand: str
    plan: PanelPlan
    fabric_id: int | None = None


class UnknownFormat(ValueError):
    """A kept panel written by a later version of the program."""


def keep(hand: str, plan: PanelPlan, fabric_id: int | None = None) -> dict[str, Any]:
    """The JSON of a panel's numbers."""
    by_ratio = {} if plan.work is None else {"work": work_json(plan.work)}
    return {
        "format": _format(plan),
        "calc": CALC_VERSION,
        "hand": hand,
        "fabric": fabric_id,
        "mirrored": plan.mirrored,
        "first": plan.first,
        "recipe": plan.recipe.to_json() if plan.recipe else None,
        "piece": _piece_json(plan.piece),
        "sizing": _write(plan.sizing, SIZING),
        "cloth": _cloth_json(plan.cloth),
        "order": {"first": plan.order.first, "saves_nm": plan.order.saves, "why": plan.order.why},
        "across": side_json(plan.across),
        "along": side_json(plan.along),
        **by_ratio,
    }


def _format(plan: PanelPlan) -> int:
    """The earliest format that can say all of it."""
    if plan.cloth.under:
        return 4
    if plan.piece.work_order:
        return 3
    return 1 if plan.work is None else 2


def read_kept(given: Mapping[str, Any]) -> Kept:
    """The panel a kept JSON holds. Raises UnknownFormat for one this program does not know."""
    if given.get("format") not in range(1, FORMAT + 1):
        number = given.get("format")
        raise UnknownFormat(f"This panel was kept in format {number}; update the program to read it.")
    recipe = Recipe.from_json(given["recipe"]) if given["recipe"] else None
    piece, order = _piece(given["piece"]), given["order"]
    sides = [_side(name, given[name], getattr(recipe, name, None)) for name in ("across", "along")]
    work = read_work(given["work"]) if given.get("work") else None
    _check_work(recipe, work, sides)
    return Kept(
        given["hand"],
        PanelPlan(
            recipe,
            piece,
            Sizing(**_read(given["sizing"], SIZING)),
            _cloth(given["cloth"]),
            *sides,
            Order(order["first"], order["saves_nm"], order["why"]),
            given["first"],
            given["mirrored"],
            work,
        ),
        given.get("fabric"),
    )


def _check_work(recipe: Recipe | None, work: RatioWork | None, sides: list[SidePlan]) -> None:
    """All of it is worked by ratio, or nothing is."""
    technique = recipe.ratio.technique if recipe and recipe.ratio else None
    by_ratio = {side.ratio is not None for side in sides}
    if technique != (work.technique if work else None) or by_ratio != {technique is not None}:
        raise ValueError("This panel is kept half by ratio.")


def fabric_kept(given: Mapping[str, Any] | None) -> int | None:
    """The row of the fabric a kept panel was cut from, without reading the rest; None where not kept."""
    found = given.get("fabric") if isinstance(given, Mapping) else None
    return found if isinstance(found, int) else None


def changes(kept: PanelPlan, now: PanelPlan) -> tuple[Change, ...]:
    """What later edits would have changed in a panel that is cut."""
    asked = [
        ("cut width", kept.cut_width, now.cut_width, "length"),
        ("cut length", kept.cut_length, now.cut_length, "length"),
        ("tucks across", kept.across.count, now.across.count, "count"),
        ("tucks along", kept.along.count, now.along.count, "count"),
        ("margin across", kept.across.parts.margin, now.across.parts.margin, "length"),
        ("margin along", kept.along.parts.margin, now.along.parts.margin, "length"),
        ("texture sewn", _sewn(kept), _sewn(now), "length"),
        *((what, _counted(kept, what), _counted(now, what), "count") for what in COUNTED),
    ]
    return tuple(Change(label, was, is_, kind) for label, was, is_, kind in asked if was != is_)


def _sewn(plan: PanelPlan) -> int:
    return plan.sewn_across + plan.sewn_along + (plan.work.metres if plan.work else 0)


COUNTED = ("dots", "lines", "stitches")


def _counted(plan: PanelPlan, what: str) -> int:
    return getattr(plan.work, what) if plan.work else 0


def _write(row: object, names: Mapping[str, str]) -> dict[str, Any]:
    return {key: getattr(row, name) for key, name in names.items()}


def _read(given: Mapping[str, Any], names: Mapping[str, str]) -> dict[str, Any]:
    return {name: given[key] for key, name in names.items()}


def _piece_json(piece: PieceSize) -> dict[str, Any]:
    openings = [_write(o, OPENING) for o in piece.openings]
    wish = {"work_order": piece.work_order} if piece.work_order else {}
    return {**_write(piece, PIECE), "hems": list(piece.hems), "openings": openings, **wish}


def _piece(given: Mapping[str, Any]) -> PieceSize:
    openings = tuple(Opening(**_read(o, OPENING)) for o in given["openings"])
    wish = given.get("work_order", "")
    return PieceSize(**_read(given, PIECE), hems=tuple(given["hems"]), openings=openings, work_order=wish)


SHARES = ("grams", "light", "shrink_along", "shrink_across")


def _cloth_json(cloth: Cloth) -> dict[str, Any]:
    shares = {name: _text(getattr(cloth, name)) for name in SHARES}
    lengths = {"thickness_nm": cloth.thickness, "usable_width_nm": cloth.usable_width}
    under = [{"role": u.role, "thickness_nm": u.thickness, "grams": _text(u.grams)} for u in cloth.under]
    return {**lengths, **shares, "one_way": cloth.one_way, **({"under": under} if under else {})}


def _text(number: Decimal | int | None) -> str | None:
    return None if number is None else str(number)


def _cloth(given: Mapping[str, Any]) -> Cloth:
    shares = {name: None if given[name] is None else Decimal(given[name]) for name in SHARES}
    lengths = {"thickness": given["thickness_nm"], "usable_width": given["usable_width_nm"]}
    return Cloth(**lengths, **shares, one_way=given["one_way"], under=_under(given.get("under", ())))


def _under(given: Sequence[Mapping[str, Any]]) -> tuple[Under, ...]:
    grams = [None if u["grams"] is None else Decimal(u["grams"]) for u in given]
    return tuple(Under(u["role"], u["thickness_nm"], g) for u, g in zip(given, grams, strict=True))


def side_json(plan: SidePlan) -> dict[str, Any]:
    """One direction of a panel, with every seam."""
    return {
        "parts": _parts_json(plan.parts),
        "length_nm": plan.length,
        "drawn_in_nm": plan.drawn_in,
        "border_nm": plan.border,
        "stretch": str(plan.stretch),
        "near": _write(plan.near, ZONE),
        "far": _write(plan.far, ZONE),
        "caught": [{"number": number, "reason": reason} for number, reason in plan.found],
        "caught_dropped": plan.dropped,
        "take_up": _write(plan.take_up, TAKE_UP),
        "axis": _axis_json(plan.axis) if plan.axis else None,
        **_ratio_json(plan),
    }


def _ratio_json(plan: SidePlan) -> dict[str, Any]:
    """What only a direction worked by ratio has."""
    if plan.ratio is None:
        return {}
    return {"ratio": ratio_json(plan.ratio), "drawn_from_nm": plan.drawn_from}


def _parts_json(parts: Parts) -> dict[str, Any]:
    """Without what the margin comes from where the direction is plain."""
    of = _write(parts.margin_of, MARGIN_OF) if parts.margin_of else {}
    return {**_write(parts, PARTS), **of}


def _parts(given: Mapping[str, Any]) -> Parts:
    of = MarginParts(**_read(given, MARGIN_OF)) if "margin_hand_nm" in given else None
    return Parts(**_read(given, PARTS), margin_of=of)


def _side(name: str, given: Mapping[str, Any], direction: Any) -> SidePlan:
    return SidePlan(
        name=name,
        direction=direction,
        parts=_parts(given["parts"]),
        axis=_axis(given["axis"]) if given["axis"] else None,
        length=given["length_nm"],
        drawn_in=given["drawn_in_nm"],
        border=given["border_nm"],
        stretch=read_fraction(given["stretch"]),
        near=Zone(**_read(given["near"], ZONE)),
        far=Zone(**_read(given["far"], ZONE)),
        found=tuple((c["number"], c["reason"]) for c in given["caught"]),
        dropped=given["caught_dropped"],
        take_up=TakeUp(**_read(given["take_up"], TAKE_UP)),
        ratio=read_ratio_up(given["ratio"]) if given.get("ratio") else None,
        drawn_from=given.get("drawn_from_nm", 0),
    )


def _axis_json(axis: Axis) -> dict[str, Any]:
    columns = {key: list(getattr(axis, name)) for key, name in AXIS_COLUMNS.items()}
    pressings = [p.value for p in axis.pressings]
    ends = {"length_nm": axis.length, "placed": axis.placed, "repeat_nm": axis.repeat, "phase_nm": axis.phase}
    wish = {"order": axis.order} if axis.order else {}
    return {**ends, **columns, "pressings": pressings, **wish}


def _axis(given: Mapping[str, Any]) -> Axis:
    columns = {name: tuple(given[key]) for key, name in AXIS_COLUMNS.items()}
    return Axis(
        length=given["length_nm"],
        placed=given["placed"],
        repeat=given["repeat_nm"],
        phase=given["phase_nm"],
        order=given.get("order", ""),
        pressings=tuple(Pressing(p) for p in given["pressings"]),
        **columns,
    )
