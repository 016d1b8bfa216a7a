"""A lay drawn with its numbered cuts, what remains, flaws, pins and the end that is lost."""

import re
from collections.abc import Iterator
from decimal import Decimal
from xml.etree import ElementTree

import pytest

from projects.calc.lay import Lay, LayPanel, LayRequest, plan_lay
from projects.calc.lay.cuts import Cut, Part, cuts_of, remnants_of
from projects.calc.lay.request import Flaw, Placement, StashLength, Used
from projects.calc.lengths import System
from projects.drawings.lay import lay
from projects.drawings.lay_cuts import CUT
from projects.drawings.lay_marks import PIN, Marks, rest_drawn

MM = 1_000_000
SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = '"><script>alert(1)</script> & \x00'


def coat(**asked: int) -> tuple[Lay, LayRequest]:
    panels = (
        LayPanel("Back", 1_240 * MM, 780 * MM),
        LayPanel("Front", 1_020 * MM, 760 * MM, 2),
        LayPanel("Cuff", 300 * MM, 90 * MM, 4, may_turn=True),
    )
    request = LayRequest(width=1_400 * MM, panels=panels, smallest_remnant=100 * MM, **asked)
    return plan_lay(request), request


def drawn(laid: Lay, **marks: object) -> ElementTree.Element:
    text = lay(laid, cloth_width=1_400 * MM, system=System.METRIC, title="x", marks=Marks(**marks), width=996)
    return ElementTree.fromstring(text)


def circles(root: ElementTree.Element) -> list[tuple[float, float]]:
    return [(float(c.get("cx")), float(c.get("cy"))) for c in root.iter(f"{SVG}circle")]


def words(root: ElementTree.Element) -> list[str]:
    return [text.text or "" for text in root.iter(f"{SVG}text")]


@pytest.mark.parametrize("gap", [0, 4 * MM])
def test_each_cut_to_make_has_one_line_and_one_number(gap: int) -> None:
    laid, request = coat(gap=gap)
    cuts = cuts_of(laid, request)
    root = drawn(laid, cuts=cuts)
    lines = [p for p in root.iter(f"{SVG}path") if p.get("stroke") == CUT]
    assert len(lines) == len(cuts) == len(circles(root)) > 4
    bold = [t.text for t in root.iter(f"{SVG}text") if t.get("font-size") == "12" and t.get("font-weight")]
    assert sorted(map(int, bold)) == [cut.number for cut in cuts]


def test_a_cut_lies_where_the_lay_says() -> None:
    laid, request = coat()
    cuts = [cut for cut in cuts_of(laid, request) if cut.straight and cut.y1 == cut.y2]
    root = drawn(laid, cuts=tuple(cuts))
    cloth = next(root.iter(f"{SVG}rect"))
    x, wide = float(cloth.get("x")), float(cloth.get("width"))
    lines = [p.get("d") for p in root.iter(f"{SVG}path") if p.get("stroke") == CUT]
    for cut, way in zip(cuts, lines, strict=True):
        at = x + wide * cut.y1 / laid.length
        assert [float(n) for n in re.findall(r"[ML]([\d.]+)", way or "")] == pytest.approx([at, at], abs=0.02)


def test_a_straight_cut_does_not_cross_what_was_cut_out_of_its_way() -> None:
    whole = Part(0, 0, 1_400 * MM, 1_000 * MM)
    out = Cut(1, "", 200 * MM, 300 * MM, 500 * MM, 700 * MM, (("Front", 1),), False, whole)
    after = Cut(2, "", 0, 500 * MM, 1_400 * MM, 500 * MM, (), True, whole)
    beside = Cut(3, "", 0, 300 * MM, 1_400 * MM, 300 * MM, (), True, whole)
    laid = Lay(1_000 * MM, (), 0, Decimal(0), False)
    root = drawn(laid, cuts=(out, after, beside))
    lines = [p.get("d") or "" for p in root.iter(f"{SVG}path") if p.get("stroke") == CUT]
    assert [way.count("M") for way in lines] == [1, 2, 1]
    before = drawn(laid, cuts=(after, out))
    lines = [p.get("d") or "" for p in before.iter(f"{SVG}path") if p.get("stroke") == CUT]
    assert [way.count("M") for way in lines] == [1, 1]


def test_what_is_cut_has_no_number_and_the_next_is_larger() -> None:
    laid, request = coat()
    cuts = cuts_of(laid, request)
    root = drawn(laid, cuts=cuts, done=frozenset({1, 2}), current=3)
    assert len(circles(root)) == len(cuts) - 2
    radii = sorted(c.get("r") for c in root.iter(f"{SVG}circle"))
    assert radii.count("14") == 1
    broken = [p for p in root.iter(f"{SVG}path") if p.get("stroke-dasharray") == "2 4"]
    assert len(broken) == 2


def test_numbers_of_cuts_do_not_cover_one_another_where_there_is_room() -> None:
    laid, request = coat()
    places = circles(drawn(laid, cuts=cuts_of(laid, request)))
    apart = [
        (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 for i, a in enumerate(places) for b in places[i + 1 :]
    ]
    assert min(apart) >= 20**2 - 1


def test_remnants_say_their_size_where_it_fits_and_nothing_is_written_where_it_does_not() -> None:
    laid, request = coat()
    left = max(remnants_of(laid, request), key=lambda r: r.width * r.length)
    assert "left over" in words(drawn(laid, remnants=(left,)))
    thin = type(left)("", left.x, left.y, 8 * MM, left.length)
    assert not any("left over" in text or "0.8 cm" in text for text in words(drawn(laid, remnants=(thin,))))


def test_pins_flaws_and_the_lost_end_are_told_apart_without_colour() -> None:
    laid, _ = coat(end_loss=20 * MM)
    plain = drawn(laid)
    pinned = drawn(laid, pinned=frozenset({("Front", 2)}))
    assert "pinned" in words(pinned) and "pinned" not in words(plain)
    assert [p for p in pinned.iter(f"{SVG}path") if p.get("stroke") == PIN and p.get("stroke-width") == "2.5"]
    flawed = drawn(laid, flaws=(Flaw(0, 0, 40 * MM, 30 * MM),), lost=20 * MM)
    assert len(list(flawed.iter(f"{SVG}path"))) == len(list(plain.iter(f"{SVG}path"))) + 3


def test_one_cloth_of_several_is_drawn_with_what_lies_on_it_and_its_rest() -> None:
    placed = (
        Placement("Front", 0, 0, 600 * MM, 700 * MM, False, 1, "1"),
        Placement("Back", 0, 0, 600 * MM, 900 * MM, False),
    )
    laid = Lay(900 * MM, placed, 900 * MM, Decimal("0.1"), True, (Used("1", 700 * MM),))

    def one(on: str, whole: int) -> list[str]:
        marks = Marks(whole=whole)
        text = lay(laid, cloth_width=800 * MM, system=System.METRIC, title="x", on=on, marks=marks)
        return words(ElementTree.fromstring(text))

    assert "Front" in " ".join(one("1", 3_000 * MM)) and "Back" not in " ".join(one("1", 3_000 * MM))
    assert "2.30 m left" in one("1", 3_000 * MM)
    assert "Back" in " ".join(one("", 0)) and not any("left" in text.split() for text in one("", 0)[:3])
    assert rest_drawn(600, 650) == 50 and rest_drawn(600, 9_000) == 100 and rest_drawn(600, 0) == 0


def groups(root: ElementTree.Element) -> Iterator[ElementTree.Element]:
    return (g for g in root.iter(f"{SVG}g") if g.get("class") == "movable")


def test_only_a_lay_to_work_on_tells_a_script_where_panels_lie() -> None:
    laid, _ = coat()
    assert not list(groups(drawn(laid)))
    root = drawn(laid, movable=True)
    found = [(g.get("data-name"), int(g.get("data-x")), int(g.get("data-y"))) for g in groups(root)]
    assert found == [(p.name, p.x, p.y) for p in laid.placements]
    cloth = next(root.iter(f"{SVG}rect"))
    assert float(cloth.get("width")) * float(root.get("data-nm")) == pytest.approx(laid.length, rel=1e-4)


def test_hostile_names_stay_text() -> None:
    request = LayRequest(width=1_400 * MM, panels=(LayPanel(HOSTILE, 500 * MM, 700 * MM, 2),))
    laid = plan_lay(request)
    root = drawn(laid, movable=True, cuts=cuts_of(laid, request), pinned=frozenset({(HOSTILE, 1)}))
    assert not list(root.iter(f"{SVG}script")) and len(list(groups(root))) == 2


def test_a_flaw_beyond_what_is_drawn_is_left_out() -> None:
    length = StashLength("1", 1_400 * MM, 3_000 * MM, flaws=(Flaw(0, 2_900 * MM, 50 * MM, 50 * MM),))
    laid, _ = coat()
    beyond = drawn(laid, flaws=length.flaws, whole=0)
    assert len(list(beyond.iter(f"{SVG}path"))) == len(list(drawn(laid).iter(f"{SVG}path")))


@pytest.mark.parametrize("high", range(10, 160, 6))
def test_every_panel_says_which_it_is_however_low(high: int) -> None:
    panels = (LayPanel("Back", 1_300 * MM, 780 * MM), LayPanel("Strip", 1_300 * MM, high * MM))
    said = words(drawn(plan_lay(LayRequest(width=1_400 * MM, panels=panels))))
    assert any(text == "A" or text.startswith(("Strip", "A Strip")) for text in said), said
