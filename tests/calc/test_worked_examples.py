"""Every entry of worked_examples.json through a public function of the calculation service.

An entry whose topic nobody covers fails. A checker takes the entry's inputs and returns what came out under
the names of `expected`; numbers are compared to the digits written down, or to `NEAR` of a topic.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from projects.calc import bands, binding, labour, price, thread
from projects.calc.axis import place, repeat_flat, repeat_of, take_up_of
from projects.calc.folds import Pressing, Tuck
from projects.calc.gaps import visible_gaps
from projects.calc.lattice import whole_squares
from projects.calc.margin import sewing_margin
from projects.calc.need import repeat_up
from projects.calc.order import sewn_difference
from projects.calc.rounds import flounce, puff_circle
from projects.calc.ruffle import ruffle
from projects.calc.shrinkage import buy_for, washed_width
from projects.calc.techniques import box_pleats, graduated, knife_pleats, pleat_strips

MM, CM, M, INCH = 10**6, 10**7, 10**9, 25_400_000
EXAMPLES = json.loads(Path(__file__).with_name("worked_examples.json").read_text(encoding="utf-8"))
Found = dict[str, Any]


def nm(value: float | str, unit: int) -> int:
    """A figure of the file, "1/8" too, as whole nm."""
    return int(Fraction(str(value)) * unit)


def tucks_of(given: Found) -> tuple[Tuck, ...]:
    rows = zip(given["seam_to_seam_mm"], given["depths_mm"], strict=True)
    return tuple(Tuck(space * MM, depth * MM) for space, depth in rows)


def tucks(given: Found) -> Found:
    if "depths_in" in given:
        total = sum(take_up_of(nm(depth, INCH), 0) for depth in given["depths_in"])
        return {"take_up_in": str(Fraction(total, INCH))}
    repeat, times = tucks_of(given), given["repeats"]
    length = repeat_of(repeat) * times
    return {
        "repeat_finished_mm": repeat_of(repeat) / MM,
        "repeat_flat_mm": repeat_flat(repeat) / MM,
        "take_up_mm": place(repeat, length=length, phase=0).take_up / MM,
    }


def tucks_graduated(given: Found) -> Found:
    depths = graduated(given["first_depth_mm"] * MM, given["step_mm"] * MM, given["n"])
    return {"take_up_mm": sum(take_up_of(depth, 0) for depth in depths) / MM}


def knife(given: Found) -> Found:
    section, depth, wished = (nm(given[k], CM) for k in ("section_cm", "depth_cm", "wished_width_cm"))
    found = knife_pleats(section, depth, wished)
    return {"n": found.n, "width_cm": float(found.width / CM), "pattern_cm": found.pattern / CM}


def strips(given: Found) -> Found:
    sizes = (nm(given[k], CM) for k in ("pattern_cm", "cloth_cm", "allowance_cm", "length_cm"))
    found = pleat_strips(*sizes)
    return {"strips": found.strips, "cloth_length_cm": found.cloth_length / CM}


def box(given: Found) -> Found:
    section = nm(given["section_cm"], CM)
    found = box_pleats(section, nm(given["depth_cm"], CM), section // given["n"])
    assert found.n == given["n"]
    return {"pattern_cm": found.pattern / CM}


def ruffles(given: Found) -> Found:
    found = ruffle(given["edge_in"] * INCH, Fraction(str(given["ratio"])), 45 * INCH)
    return {"flat_in": found.flat / INCH}


def lattice(given: Found) -> Found:
    square, diagonal = nm(given["square_cm"], CM), nm(given["diagonal_cm"], CM)
    wide = whole_squares(given["width_cm"] * CM, Fraction(4 * square, diagonal), square, 10 * MM)
    long = whole_squares(given["length_cm"] * CM, Fraction(2 * square, diagonal), square, 10 * MM)
    return {
        "squares_across": wide.count,
        "squares_down": long.count,
        "flat_cm": [wide.flat / CM, long.flat / CM],
        "finished_cm": [wide.finished / CM, long.finished / CM],
    }


def flounces(given: Found) -> Found:
    """Its inner edge is pi diameters of a whole circle."""
    edge = round(Fraction("3.14159265358979") * given["inner_diameter"] * M)
    found = flounce(edge, given["depth"] * M)
    inner = Fraction(found.outer_edge) / found.ratio
    return {
        "inner_edge": float(inner / M),
        "outer_edge": found.outer_edge / M,
        "ratio": float(found.ratio),
    }


def puff(given: Found) -> Found:
    return {"circle_mm": puff_circle(given["finished_mm"] * MM, given["turn_mm"] * MM) / MM}


def repeat_rounding(given: Found) -> Found:
    return {"cut": repeat_up(given["need"], given["repeat"])}


def shrinkage(given: Found) -> Found:
    return {"buy_m": buy_for(given["need_m"] * M, Decimal(str(given["shrinkage"]))) / M}


def shrinkage_both_ways(given: Found) -> Found:
    return {"usable_mm": washed_width(given["width_mm"] * MM, Decimal(str(given["across"]))) / MM}


def machine_minutes(given: Found) -> Found:
    found = labour.machine_minutes(given["length_in"] * INCH, given["stitches_per_in"], given["rpm"])
    return {"seconds": float(found * 60)}


def learning(given: Found) -> Found:
    first, rate = Decimal(given["first_h"]), Decimal(str(given["rate"]))
    return {"hours": [float(labour.learning(first, rate, n)) for n in given["n"]]}


def asked(given: Found) -> Found:
    """In whole currency units of a hundred minor ones."""
    found = price.cost(
        materials=given["materials"] * 100,
        hours=Decimal(given["hours"]),
        rate=given["rate"] * 100,
        overhead=given["overhead"] * 100,
    )
    shares = (Decimal(given["margin"]), Decimal(given["tax"]))
    return {"price": price.price(found, *shares).total / 100}


def axis(given: Found) -> Found:
    found = place(
        tucks_of(given),
        length=given["length_mm"] * MM,
        extra=given["e_mm"] * MM,
        phase=given["phase_mm"] * MM,
    )
    return {"flat_mm": found.flat / MM, "seams_mm": [seam / MM for seam in found.seams]}


def gaps(given: Found) -> Found:
    repeat = tucks_of(given)
    return {
        "pressed_on_mm": [gap / MM for gap in visible_gaps(repeat, Pressing.ON)],
        "pressed_back_mm": [gap / MM for gap in visible_gaps(repeat, Pressing.BACK)],
    }


def sewing_order(given: Found) -> Found:
    n1, n2 = given["n1"], given["n2"]
    sums = [n * given[key] * MM for n, key in ((n1, "mean_q1_mm"), (n2, "mean_q2_mm"))]
    found = sewn_difference(n1, sums[0], n2, sums[1])
    return {"first_direction_first_minus_second_first_mm": found / MM}


def margin(given: Found) -> Found:
    assert given["z"] == 2.33
    found = sewing_margin(
        given["n"],
        nm(given["se_mm"], MM),
        depth_spread=nm(given["s_mm"], MM),
        check_every=given.get("check_every"),
    )
    return {"margin_mm": found / MM}


def piping(given: Found) -> Found:
    strip = bands.piping_strip(nm(given["circumference_in"], INCH), nm(given["allowance_in"], INCH))
    return {"strip_in": strip / INCH}


def area_bound(given: Found) -> Found:
    side = given["side_in"] * INCH
    return {"length_in": binding.area_bound(side, side, given["strip_in"] * INCH) / INCH}


def side_bound(given: Found) -> Found:
    total, strip = given["length_in"] * INCH, nm(given["strip_in"], INCH)
    return {"side_at_least_in": binding.least_side(total, strip, INCH) / INCH}


def join_loss(given: Found) -> Found:
    return {"loss_mm": binding.join_loss(given["allowance_mm"] * MM) / MM}


def loop(given: Found) -> Found:
    sizes = (nm(given[key], INCH) for key in ("side_in", "strip_in", "allowance_in"))
    found = binding.continuous_loop(*sizes)
    return {"rows": found.rows, "yield_in": found.gives / INCH}


def button_loop(given: Found) -> Found:
    sizes = (given[key] * MM for key in ("diameter_mm", "thickness_mm", "gap_mm"))
    return {"visible_at_least_mm": bands.visible_loop(*sizes) / MM}


def bias(given: Found) -> Found:
    unit, name = (INCH, "in") if "side_in" in given else (MM, "mm")
    sides = [given.get(key, given.get("side_in")) for key in ("width_mm", "height_mm")]
    wide, high, strip = (nm(side, unit) for side in (*sides, given[f"strip_{name}"]))
    ways = {key: nm(given[f"{key}_{name}"], unit) for key in ("allowance", "least")}
    found = binding.bias_strips(wide, high, strip, **ways)
    return {"strips": len(found.lengths), f"yield_{name}_about": round(found.gives / unit)}


def sewing_thread(given: Found) -> Found:
    return {"thread_m": thread.thread(given["sewn_m"] * M, given["starts"], given["stitch"]) / M}


CHECKERS: dict[str, Callable[[Found], Found]] = {
    "tucks": tucks,
    "tucks_graduated": tucks_graduated,
    "knife_pleats": knife,
    "pleat_strips": strips,
    "box_pleats": box,
    "ruffle": ruffles,
    "lattice": lattice,
    "flounce": flounces,
    "puff": puff,
    "repeat_rounding": repeat_rounding,
    "shrinkage": shrinkage,
    "shrinkage_both_ways": shrinkage_both_ways,
    "machine_minutes": machine_minutes,
    "learning": learning,
    "price": asked,
    "axis": axis,
    "gaps": gaps,
    "sewing_order": sewing_order,
    "sewing_margin": margin,
    "piping_strip": piping,
    "bias_area_bound": area_bound,
    "bias_side_area_bound": side_bound,
    "bias_join_loss": join_loss,
    "bias_loop": loop,
    "button_loop": button_loop,
    "bias_strips": bias,
    "thread": sewing_thread,
}
"""Topic of the file -> what works its entries out."""

SAID = ("note",)
"""Entries of `expected` that are words, not figures."""


@pytest.mark.parametrize("number", range(len(EXAMPLES)))
def test_worked_example(number: int) -> None:
    example = EXAMPLES[number]
    assert example["topic"] in CHECKERS, f"nobody covers {example['topic']}: {example['source']}"
    found = CHECKERS[example["topic"]](example["inputs"])
    for name, figure in example["expected"].items():
        if name not in SAID:
            assert _agree(found[name], figure), (name, found[name], figure)


def _agree(found: Any, figure: Any) -> bool:
    """To half a unit of the last digit written down; lists entry by entry."""
    if isinstance(figure, list):
        return len(found) == len(figure) and all(map(_agree, found, figure))
    if isinstance(figure, str):
        return bool(found == figure)
    places = -int(Decimal(str(figure)).as_tuple().exponent)
    if places <= 0:
        return bool(found == figure)
    return abs(float(found) - figure) <= 0.5 * 10.0**-places * (1 + 1e-9)


def test_the_smallest_difference_is_seen() -> None:
    """The comparison itself can fail."""
    assert _agree(39.9, 39.9) and not _agree(39.8, 39.9)
    assert _agree(3.157894737, 3.157895) and not _agree(3.1578937, 3.157895)
    assert not _agree(37, 38) and not _agree([1, 2], [1, 2, 3])
