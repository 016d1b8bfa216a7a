"""How textures by ratio are worked, drawn: sound, to scale, told apart without colour; and on panels."""

import re
from collections import Counter
from xml.etree import ElementTree

import pytest

from projects.calc.lengths import System
from projects.calc.panels import Cloth, PanelPlan, PieceSize, Sizing
from projects.calc.panels import panel as plan_panel
from projects.calc.ratio_work import Point, Segment, stitch_places
from projects.calc.turning import mirrored
from projects.drawings.panel import panel
from projects.drawings.worked import Look, how, joined, segments, worked
from projects.drawings.worked.on_panel import Shown, _clipped
from tests.recipes.ratios import TECHNIQUES, by_ratio, content

MM = 1_000_000
HOSTILE = '<script>alert("x")</script> & \x00\x0b\'"]]>'
SVG = "{http://www.w3.org/2000/svg}"


def look(technique: str, phone: bool = False, system: System = System.METRIC) -> Look:
    recipe = by_ratio(technique)
    across, along = float(recipe.ratio_of("across")), float(recipe.ratio_of("along"))
    return Look(across, along, system, HOSTILE, 312 if phone else 976, phone)


def a_panel(technique: str, **sizing: int) -> PanelPlan:
    piece = PieceSize(300 * MM, 400 * MM, 15 * MM, 15 * MM, 15 * MM, 15 * MM)
    return plan_panel(content(technique), piece, Sizing(**sizing), cloth=Cloth(usable_width=1_400 * MM))


def sound(svg: str) -> ElementTree.Element:
    root = ElementTree.fromstring(svg)
    assert root.tag == f"{SVG}svg" and root.get("role") == "img" and root.get("aria-label")
    assert "<script" not in svg and "nan" not in svg and "inf" not in svg.replace("interface", "")
    for element in root.iter():
        assert element.get("style") is None and element.get("id") is None
    sizes = [float(t.get("font-size")) for t in root.iter(f"{SVG}text")]
    assert sizes and min(sizes) >= 12
    return root


@pytest.mark.parametrize("phone", [False, True])
@pytest.mark.parametrize("technique", TECHNIQUES)
def test_every_technique_is_drawn_soundly(technique: str, phone: bool) -> None:
    root = sound(worked(by_ratio(technique), look(technique, phone)))
    width, height = float(root.get("width")), float(root.get("height"))
    assert root.get("viewBox") == f"0 0 {root.get('width')} {root.get('height')}"
    assert width == (312 if phone else 976)
    assert height < (600 if phone else 760)
    words = " ".join(t.text for t in root.iter(f"{SVG}text"))
    assert "flat " in words and "finished " in words


@pytest.mark.parametrize("technique", TECHNIQUES)
def test_both_cloths_are_to_one_scale(technique: str) -> None:
    """The two boxes are as wide as the cloth before and after: their quotient is the ratio."""
    root = sound(worked(by_ratio(technique), look(technique)))
    flat, done = (float(r.get("width")) for r in list(root.iter(f"{SVG}rect"))[:2])
    high, low = (float(r.get("height")) for r in list(root.iter(f"{SVG}rect"))[:2])
    recipe = by_ratio(technique)
    assert flat / done == pytest.approx(float(recipe.ratio_of("across")), rel=0.01)
    assert high / low == pytest.approx(float(recipe.ratio_of("along")), rel=0.01)


def test_inches_are_said_in_inches() -> None:
    svg = worked(by_ratio("lattice"), look("lattice", system=System.INCH))
    assert re.search(r"flat about [^<]* in<", svg)


@pytest.mark.parametrize("technique", ["quilting", "english", "honeycomb", "lattice"])
def test_nothing_depends_on_colour_alone(technique: str) -> None:
    """Every colour of line comes with a width, dash or end of its own."""
    root = sound(worked(by_ratio(technique), look(technique)))
    lines = {
        (p.get("stroke-width"), p.get("stroke-dasharray"), p.get("stroke-linecap")): p.get("stroke")
        for p in root.iter(f"{SVG}path")
        if p.get("stroke") not in (None, "none")
    }
    assert len(lines) >= 2
    kinds = {(p.get("stroke"), p.get("stroke-width"), p.get("stroke-dasharray"), p.get("stroke-linecap"))
             for p in root.iter(f"{SVG}path") if p.get("stroke") not in (None, "none")}  # fmt: skip
    assert len(kinds) == len(lines)


@pytest.mark.parametrize(("columns", "rows"), [(2, 1), (4, 4), (14, 5), (38, 19), (6, 9)])
def test_the_lattice_joins_each_corner_once_in_pairs_of_columns(columns: int, rows: int) -> None:
    pairs = joined(columns, rows)
    used = Counter(corner for pair in pairs for corner in pair)
    assert max(used.values()) == 1
    assert len(pairs) == sum((rows + 1 - c % 2) // 2 for c in range(columns))
    assert len(pairs) == len(list(stitch_places("lattice", rows + 1, columns + 1)))
    for (a, b), (c, d) in pairs:
        assert abs(a - c) == 1 and d - b == 1
    order = [min(a, c) // 2 for (a, _), (c, _) in pairs]
    assert order == sorted(order)
    for (_, (c, d)), ((a, b), _) in zip(pairs, pairs[1:], strict=False):
        assert b <= d - rows + 1 or (b == d and abs(a - c) == 1)  # slack goes straight across, or to the top


def test_honeycomb_pairs_stand_between_those_of_the_row_above() -> None:
    root = sound(worked(by_ratio("honeycomb"), look("honeycomb")))
    numbers = [t.text for t in root.iter(f"{SVG}text") if t.text.isdecimal() and t.get("font-weight")]
    assert numbers[:2] == ["1", "1"] and max(map(int, numbers)) == 15  # written twice each, for a pale edge


@pytest.mark.parametrize(
    ("technique", "changed"),
    [
        ("english", {"spacing": MM, "row": 500 * MM}),
        ("english", {"spacing": 500 * MM, "row": MM}),
        ("honeycomb", {"spacing": MM, "row": 500 * MM}),
        ("lattice", {"spacing": 500 * MM, "diagonal": 500 * MM}),
        ("shirring", {"row": MM}),
        ("shirring", {"row": 500 * MM}),
        ("quilting", {"spacing": 500 * MM, "row": MM}),
        ("quilting", {"spacing": MM, "row": 500 * MM, "slant": True}),
        ("gathers", {"rows": 20}),
        ("trapunto", {"spacing": MM}),
    ],
)
def test_extreme_numbers_are_still_a_drawing(technique: str, changed: dict[str, object]) -> None:
    for phone in (False, True):
        svg = worked(by_ratio(technique, **changed), look(technique, phone))
        root = sound(svg)
        assert len(svg) < 120_000
        assert float(root.get("height")) < 900


@pytest.mark.parametrize("system", list(System))
@pytest.mark.parametrize("technique", TECHNIQUES)
def test_it_is_told_in_words_too(technique: str, system: System) -> None:
    told = how(by_ratio(technique), system)
    assert len(told) >= 2 and all(line.endswith(".") for line in told)
    assert not any(" 0 mm" in line or " 0 in" in line for line in told)


@pytest.mark.parametrize("slant", [False, True])
@pytest.mark.parametrize("crosses", [False, True])
def test_lines_of_a_set_are_as_far_apart_as_said(crosses: bool, slant: bool) -> None:
    lines = segments(200.0, 120.0, 25, crosses, slant)
    apart = [
        abs((c[0] - b[0]) * (b[3] - b[1]) - (c[1] - b[1]) * (b[2] - b[0]))
        / ((b[2] - b[0]) ** 2 + (b[3] - b[1]) ** 2) ** 0.5
        for b, c in zip(lines, lines[1:], strict=False)
    ]
    assert apart == pytest.approx([25.0] * len(apart))


@pytest.mark.parametrize("border", [0, 25 * MM])
@pytest.mark.parametrize("technique", TECHNIQUES)
def test_panels_show_their_marks(technique: str, border: int) -> None:
    plan = a_panel(technique, border=border)
    bare = panel(a_panel(technique, border=border), system=System.METRIC, title=HOSTILE)
    root = sound(bare)
    assert len(bare) < 200_000
    marks = [p for p in root.iter(f"{SVG}path") if p.get("stroke") in ("#2b3f73", "#a8362c", "#1d2329")]
    assert marks
    for drawn in (plan, mirrored(plan)):
        corner = panel(drawn, system=System.INCH, title="c", width=312, corner=(200 * MM, 260 * MM))
        sound(corner)
        assert _furthest(corner) <= 312


def _furthest(svg: str) -> float:
    """The rightmost end of any line of the marks."""
    root = ElementTree.fromstring(svg)
    ways = [p.get("d") for p in root.iter(f"{SVG}path") if p.get("fill") == "none"]
    return max(float(x) for way in ways for x in re.findall(r"[ML](-?[\d.]+) ", way))


@pytest.mark.parametrize(
    ("line", "kept"),
    [
        (((10, 0), (10, 200)), ((10, 0), (10, 80))),
        (((0, 10), (200, 10)), ((0, 10), (100, 10))),
        (((0, 0), (200, 200)), ((0, 0), (80, 80))),
        (((0, 150), (150, 0)), ((70, 80), (100, 50))),
        (((150, 0), (150, 50)), None),
        (((0, 90), (50, 90)), None),
        (((95, 0), (200, 105)), ((95, 0), (100, 5))),
    ],
)
def test_lines_end_where_the_part_shown_ends(line: tuple, kept: tuple | None) -> None:
    shown = Shown(float, float, 1.0, 100, 80)
    found = _clipped(Segment(Point(*line[0]), Point(*line[1])), shown)
    assert found == (None if kept is None else Segment(Point(*kept[0]), Point(*kept[1])))
