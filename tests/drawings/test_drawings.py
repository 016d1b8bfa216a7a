"""Drawings: well formed, escaped, every mark told apart without colour, letters 12 px or more."""

import re
from decimal import Decimal
from xml.etree import ElementTree

import pytest

from projects.calc.axis import place
from projects.calc.folds import Pressing, Tuck
from projects.calc.lay import LayPanel, LayRequest, plan_lay
from projects.calc.lengths import Rounding, System, rounded
from projects.calc.panels import Cloth, PanelPlan, PieceSize, Sizing
from projects.calc.panels import panel as plan_panel
from projects.calc.recipe import mark_letter
from projects.drawings import key
from projects.drawings.lay import lay
from projects.drawings.light import bands, colour, light
from projects.drawings.marks import look
from projects.drawings.panel import panel, spread
from projects.drawings.strip import strip
from projects.drawings.svg import Drawing, number
from tests import make

MM = 1_000_000
HOSTILE = '<script>alert("x")</script> & \x00\x0b\'"]]>'
SVG = "{http://www.w3.org/2000/svg}"


def axis():  # type: ignore[no-untyped-def]
    recipe = make.content()
    return place(recipe.across.tucks, length=162 * MM)


def a_panel(**sizing: int) -> PanelPlan:
    both = make.content(make.tucks(*make.GRADUATED), make.tucks(*make.GRADUATED))
    piece = PieceSize(300 * MM, 400 * MM, 15 * MM, 15 * MM, 15 * MM, 15 * MM)
    return plan_panel(both, piece, Sizing(**sizing), cloth=Cloth(usable_width=500 * MM))


def a_lay():  # type: ignore[no-untyped-def]
    panels = (LayPanel(HOSTILE, 500 * MM, 700 * MM, 2), LayPanel("Back", 600 * MM, 900 * MM, may_turn=True))
    return plan_lay(LayRequest(width=1400 * MM, panels=panels))


def drawings() -> dict[str, str]:
    metric = System.METRIC
    return {
        "strip": strip(axis(), system=metric, title=HOSTILE),
        "phone strip": strip(axis(), system=System.INCH, title=HOSTILE, width=312),
        "light": light(axis(), axis(), share=Decimal("0.78"), extent=(100 * MM, 90 * MM), title=HOSTILE),
        "unknown light": light(None, axis(), share=None, extent=(100 * MM, 90 * MM), title=HOSTILE),
        "panel": panel(a_panel(border=25 * MM), system=metric, title=HOSTILE, hand="left"),
        "corner": panel(a_panel(), system=metric, title=HOSTILE, width=312, corner=(150 * MM, 150 * MM)),
        "lay": lay(a_lay(), cloth_width=1400 * MM, system=metric, title=HOSTILE),
        "key": key.sample("B"),
    }


@pytest.mark.parametrize("name", drawings())
def test_well_formed_escaped_and_without_styles_ids_or_uses(name: str) -> None:
    svg = drawings()[name]
    root = ElementTree.fromstring(svg)
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    assert root.get("aria-label")
    assert "<script" not in svg
    for element in root.iter():
        assert element.get("style") is None
        assert element.get("id") is None
        assert element.tag not in (f"{SVG}use", f"{SVG}symbol", f"{SVG}style")


@pytest.mark.parametrize("name", drawings())
def test_words_are_never_under_12_px_at_the_drawn_width(name: str) -> None:
    root = ElementTree.fromstring(drawings()[name])
    width = float(root.get("width"))
    assert root.get("viewBox") == f"0 0 {root.get('width')} {root.get('height')}"
    sizes = [float(text.get("font-size")) for text in root.iter(f"{SVG}text")]
    assert all(size >= 12 for size in sizes)
    for text in root.iter(f"{SVG}text"):
        assert -1 <= float(text.get("x")) <= width


def test_the_strip_holds_every_mark_once_in_a_line_style_of_its_own() -> None:
    root = ElementTree.fromstring(strip(axis(), system=System.METRIC, title="x"))
    letters = [t.text for t in root.iter(f"{SVG}text") if t.get("text-anchor") == "middle"]
    assert sorted(letters) == sorted(axis().marks)
    assert set(letters) == {"A", "B", "C"}
    heavy = [p for p in root.iter(f"{SVG}path") if p.get("stroke-width") == "2"]
    assert len(heavy) == 6  # flat and finished, one path for each of three styles
    assert len({p.get("stroke-dasharray") for p in heavy}) == 3


def test_the_strip_is_to_scale() -> None:
    """Stitch lines of the first tuck stand a depth on each side of its fold."""
    one = place((Tuck(20 * MM, 5 * MM, "A"),), length=20 * MM, phase=10 * MM)
    root = ElementTree.fromstring(strip(one, system=System.METRIC, title="x", width=320))
    stitches = next(p for p in root.iter(f"{SVG}path") if p.get("stroke-width") == "2")
    xs = [float(x) for x in re.findall(r"M([\d.]+) ", stitches.get("d"))]
    scale = 300 / 30
    assert xs == pytest.approx([10 + 10 * scale, 10 + 20 * scale], abs=0.02)


def test_first_thirty_marks_differ_in_letter_and_in_style_and_colour_together() -> None:
    looks = [look(mark_letter(n)) for n in range(30)]
    assert len({m.letter for m in looks}) == 30
    assert len({(m.style, m.colour) for m in looks}) == 30
    assert len({m.style for m in looks[:6]}) == 6


def test_light_multiplies_layers_of_both_directions() -> None:
    one = place((Tuck(20 * MM, 5 * MM, "A"),), length=40 * MM, phase=10 * MM)
    assert bands(one, 40 * MM) == [
        (0, 10 * MM, 1),
        (10 * MM, 15 * MM, 3),
        (15 * MM, 30 * MM, 1),
        (30 * MM, 35 * MM, 3),
        (35 * MM, 40 * MM, 1),
    ]
    svg = light(one, one, share=Decimal("0.78"), extent=(40 * MM, 40 * MM), title="x")
    fills = [p.get("fill") for p in ElementTree.fromstring(svg).iter(f"{SVG}path")]
    assert fills == [colour(Decimal("0.78"), n) for n in (1, 3, 9)]
    shades = [int(fill[1:3], 16) for fill in fills]
    assert shades == sorted(shades, reverse=True)
    assert len(set(shades)) == 3


def test_unknown_light_is_drawn_with_the_neutral_share() -> None:
    known = light(axis(), None, share=Decimal("0.75"), extent=(100 * MM, 90 * MM), title="x")
    assert light(axis(), None, share=None, extent=(100 * MM, 90 * MM), title="x") == known


def test_an_opaque_and_a_clear_cloth() -> None:
    assert colour(Decimal(1), 9) == "#ffffff"
    assert colour(Decimal(0), 1) == "#324d79"


def test_a_panel_says_its_cut_size_its_hand_and_its_joins() -> None:
    plan = a_panel()
    svg = panel(plan, system=System.METRIC, title="x", hand="right")
    words = [t.text for t in ElementTree.fromstring(svg).iter(f"{SVG}text")]
    assert "RIGHT" in words
    assert f"cut {plan.cut_width / 1e7:.1f} cm" in words
    assert plan.joins is not None
    assert [w for w in dict.fromkeys(words) if w.startswith("join in")] == [
        f"join in {j.number}" for j in plan.joins.joins
    ]
    assert "1A" in words
    assert f"{plan.across.count}{plan.across.axis.marks[-1]}" in words


def test_words_along_an_edge_never_run_into_one_another() -> None:
    places = [float(x) for x in range(0, 400, 3)]
    chosen = spread(places, [20.0] * len(places))
    assert chosen[-1] == len(places) - 1
    gaps = [places[b] - places[a] for a, b in zip(chosen, chosen[1:], strict=False)]
    assert min(gaps) >= 20


def test_pressing_back_covers_the_other_side() -> None:
    back = place((Tuck(20 * MM, 5 * MM, "A"),), length=40 * MM, phase=10 * MM, pressing=Pressing.BACK)
    assert bands(back, 40 * MM)[1] == (5 * MM, 10 * MM, 3)


def test_numbers_are_short() -> None:
    assert [number(x) for x in (1.0, 1 / 3, -0.0001, 1e9)] == ["1", "0.33", "0", "1000000000"]


def test_small_words_are_raised_to_12_px() -> None:
    drawing = Drawing(100, 100, "x")
    drawing.text(1, 1, "small", font_size=7)
    assert 'font-size="12"' in drawing.svg()


def test_words_over_lines_stay_legible_where_paint_order_is_not_known() -> None:
    """The pale edge comes first, the words after it with no stroke of their own; they are read out once."""
    texts = [t for t in ElementTree.fromstring(drawings()["panel"]).iter(f"{SVG}text") if t.text == "grain"]
    assert [t.get("stroke") for t in texts] == ["#fff", None]
    assert [t.get("aria-hidden") for t in texts] == ["true", None]
    assert all(t.get("paint-order") is None for t in texts)


def strips(count: int, length: int = 30) -> str:
    """A back, and strips beside it that are too narrow for their names."""
    panels = (LayPanel("Back", 700 * MM, 1_300 * MM), LayPanel("Binding strip", 900 * MM, length * MM, count))
    laid = plan_lay(LayRequest(width=1_400 * MM, panels=panels))
    cut = [i for i, p in enumerate(laid.placements) if p.name == "Back"]
    return lay(laid, cut=cut, cloth_width=1_400 * MM, system=System.METRIC, title="x")


def words(svg: str) -> list[str]:
    return [t.text or "" for t in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def test_no_name_is_cut_off_in_a_lay_and_each_letter_is_told_in_the_key() -> None:
    said = words(strips(4))
    assert not any("…" in text for text in said)
    told = [text.split()[0] for text in said if "Binding strip, 90.0 cm" in text]
    assert told == ["A", "B", "C", "D"] and all(said.count(letter) >= 1 for letter in told)


@pytest.mark.parametrize("width", [640, 760, 996])
def test_the_name_and_size_of_each_panel_are_in_it_or_in_a_key_with_nothing_shortened(width: int) -> None:
    """Names are long or short and panels narrow or wide; the key takes as many columns as shorten nothing."""
    names = [f"{'Gathered flounce of the ' * (i % 2)}sleeve {i}" for i in range(9)]
    sizes = [((90 + 67 * i) * MM, (700 - 60 * i) * MM) for i in range(9)]
    panels = tuple(LayPanel(name, *size, 2) for name, size in zip(names, sizes, strict=True))
    laid = plan_lay(LayRequest(width=1_400 * MM, panels=panels))
    said = words(lay(laid, cloth_width=1_400 * MM, system=System.METRIC, title="x", width=width))
    text = " ".join(said)
    assert "…" not in text
    for placed in laid.placements:
        size = " × ".join(rounded(nm, Rounding.PANEL, System.METRIC) for nm in (placed.width, placed.length))
        assert placed.name in text and size in text


def test_what_is_cut_is_hatched_inside_its_panel_and_named_so() -> None:
    root = ElementTree.fromstring(strips(1))
    hatching = [p for p in root.iter(f"{SVG}path") if p.get("stroke-width") == "0.8"]
    assert len(hatching) == 1 and "cut" in words(strips(1))
    boxes = [r for r in root.iter(f"{SVG}rect") if r.get("stroke-width") == "1.4"]
    box = max(boxes, key=lambda r: float(r.get("height")))
    x, y, wide, high = (float(box.get(k)) for k in ("x", "y", "width", "height"))
    for px, py in re.findall(r"[ML]([\d.]+) ([\d.]+)", hatching[0].get("d")):
        assert x - 0.02 <= float(px) <= x + wide + 0.02 and y - 0.02 <= float(py) <= y + high + 0.02


def test_a_short_lay_is_drawn_upright_and_fills_the_width() -> None:
    laid = plan_lay(LayRequest(width=1_120 * MM, panels=(LayPanel("Yoke", 510 * MM, 350 * MM, 2),)))
    root = ElementTree.fromstring(lay(laid, cloth_width=1_120 * MM, system=System.METRIC, title="x"))
    cloth = next(root.iter(f"{SVG}rect"))
    assert float(cloth.get("width")) > 0.85 * float(root.get("width"))
    assert abs(float(cloth.get("height")) / float(cloth.get("width")) - 350 / 1_120) < 0.001
