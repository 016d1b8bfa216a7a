"""A request as it is sent to the command line, and what comes back read into a lay. See `wire`."""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction
from typing import Any

from projects.calc.lay.request import Lay, LayRequest, Placement, StashLength, Used
from projects.calc.lay.wire import mm_of
from projects.calc.units import NM_PER_MM


def asked_text(request: LayRequest, time_limit_s: float) -> str:
    """The JSON that the command line reads as this request."""
    asked: dict[str, Any] = {
        "width_mm": mm_of(request.width),
        "time_limit_s": time_limit_s,
        "straight_cuts": request.straight_cuts,
        "gap_mm": mm_of(request.gap),
        "seed": request.seed,
        "end_loss_mm": mm_of(request.end_loss),
        "one_way": request.one_way,
        "one_dye_lot": request.one_dye_lot,
        "smallest_remnant_mm": mm_of(request.smallest_remnant),
        "panels": [
            {"name": p.name, **_size(p.width, p.length), "count": p.count, "may_turn": p.may_turn}
            for p in request.panels
        ],
        "lengths": [_length(length) for length in request.lengths],
        "pins": [
            {"name": p.name, "copy": p.copy, **_place(p.x, p.y), "turned": p.turned, "on": p.on}
            for p in request.pins
        ],
    }
    return json.dumps(asked)


def _length(length: StashLength) -> dict[str, Any]:
    flaws = [{**_place(f.x, f.y), **_size(f.width, f.length)} for f in length.flaws]
    return {
        "name": length.name,
        **_size(length.width, length.length),
        "dye_lot": length.dye_lot,
        "flaws": flaws,
    }


def _size(width: int, length: int) -> dict[str, Any]:
    return {"width_mm": mm_of(width), "length_mm": mm_of(length)}


def _place(x: int, y: int) -> dict[str, Any]:
    return {"x_mm": mm_of(x), "y_mm": mm_of(y)}


def read_answer(text: str, request: LayRequest) -> tuple[Lay, dict[str, Any]]:
    """The lay of an answer, and the answer as it stands (numbers as decimals).

    Raises ValueError where it can't be read, with nothing else about it checked. Placements of one name are
    numbered in their order.
    """
    try:
        answer = json.loads(text, parse_float=Decimal)
        counts: dict[str, int] = {}
        placements = tuple(_placement(entry, counts) for entry in answer["placements"])
        used = tuple(Used(str(u["name"]), _nm(u["length_mm"])) for u in answer.get("used", ()))
        length, bound = _nm(answer["length_mm"]), _nm(answer["lower_bound_mm"])
        waste = waste_of(request, length, used, placements)
        return Lay(length, placements, bound, waste, answer["proven"] is True, used), answer
    except (KeyError, TypeError, AttributeError, ArithmeticError, RecursionError) as error:
        raise ValueError("The answer can't be read.") from error


def waste_of(
    request: LayRequest, length: int, used: tuple[Used, ...], placements: tuple[Placement, ...]
) -> Decimal:
    """The share of the cloth taken that no panel lies on."""
    widths = {x.name: x.width for x in request.lengths}
    taken = request.width * length + sum(widths.get(u.name, 0) * u.length for u in used)
    cut = sum(p.width * p.length for p in placements)
    waste = 1 - Fraction(cut, taken) if taken else Fraction(0)
    return (Decimal(waste.numerator) / Decimal(waste.denominator)).quantize(Decimal("0.0001"))


def _placement(entry: dict[str, Any], counts: dict[str, int]) -> Placement:
    name = str(entry["name"])
    counts[name] = counts.get(name, 0) + 1
    return Placement(
        name=name,
        x=_nm(entry["x_mm"]),
        y=_nm(entry["y_mm"]),
        width=_nm(entry["width_mm"]),
        length=_nm(entry["length_mm"]),
        turned=entry["turned"] is True,
        copy=counts[name],
        on=str(entry.get("on") or ""),
    )


def _nm(mm: Any) -> int:
    if isinstance(mm, bool) or not isinstance(mm, int | Decimal):
        raise TypeError("no number")
    return int(round(Decimal(mm) * NM_PER_MM))
