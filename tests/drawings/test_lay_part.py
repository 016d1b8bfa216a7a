"""The part that is cut next: to scale, with its own panels alone, its measure, and the line in its place."""

import re
from decimal import Decimal

import pytest

from projects.calc.lay import Lay, LayPanel, LayRequest, Placement
from projects.calc.lengths import System
from projects.drawings.lay_part import LEFT, TOP, part
from projects.planning.lay_cuts import steps_of
from tests.make import MM

PLACED = (
    Placement("skirt", 0, 0, 600 * MM, 1_000 * MM, False),
    Placement("cuff", 600 * MM, 0, 400 * MM, 200 * MM, False),
    Placement("sash", 0, 1_000 * MM, 1_000 * MM, 150 * MM, False),
)
LAY = Lay(1_150 * MM, PLACED, 0, Decimal(0), False)
REQUEST = LayRequest(1_000 * MM, (LayPanel("skirt", 1, 1),), smallest_remnant=50 * MM)
CUT = re.compile(r'd="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)"[^>]*stroke-width="4"')


def drawn(number: int, system: System = System.METRIC) -> str:
    return part(LAY, steps_of(LAY, REQUEST)[number - 1].cut, system=system, title="Cut <it>")


@pytest.mark.parametrize(
    ("number", "measure", "names"),
    [
        (1, "115.0 cm", {"skirt", "cuff", "sash"}),
        (2, "100.0 cm", {"skirt", "cuff", "sash"}),
        (3, "60.0 cm", {"skirt", "cuff"}),
        (4, "20.0 cm", {"cuff"}),
    ],
)
def test_only_what_lies_in_the_part_is_drawn_with_its_measure(
    number: int, measure: str, names: set[str]
) -> None:
    text = drawn(number)
    assert f">{measure}<" in text
    assert {name for name in ("skirt", "cuff", "sash") if f">{name}<" in text} == names
    assert 'aria-label="Cut &lt;it&gt;"' in text


def test_the_line_lies_to_scale() -> None:
    """The third cut: 60 of 100 cm across the part of 100 x 100 cm."""
    x0, y0, x1, y1 = map(float, CUT.search(drawn(3)).groups())  # type: ignore[union-attr]
    wide = (x0 - LEFT) / 0.6
    assert x0 == x1 and y0 < TOP and abs(y1 - 6 - TOP - wide) < 0.1


def test_inches_are_said_in_inches() -> None:
    assert "in<" in drawn(3, System.INCH) and "cm<" not in drawn(3, System.INCH)


def test_what_is_cut_out_of_a_part_is_a_hole_in_it_and_not_drawn_again() -> None:
    """Four panels round a hole: the first is cut out, and the line after it does not begin in the hole."""
    sizes = (("a", 0, 0, 6, 4), ("b", 6, 0, 4, 6), ("c", 4, 6, 6, 4), ("d", 0, 4, 4, 6))
    placed = tuple(
        Placement(name, x * 100 * MM, y * 100 * MM, w * 100 * MM, long * 100 * MM, False)
        for name, x, y, w, long in sizes
    )
    wheel = Lay(1_000 * MM, placed, 0, Decimal(0), False)
    steps = steps_of(wheel, REQUEST)
    assert steps[1].frees == ("a",)
    text = part(wheel, steps[2].cut, system=System.METRIC, title="Cut")
    assert ">d</text>" in text and ">a</text>" not in text
    assert text.count('stroke-dasharray="2 4"') == 1
    line = CUT.search(text)
    assert line and float(line[2]) > TOP + 50
