"""Recipes side by side: the same numbers as the piece's own plan, no money for makers, and choosing one."""

import re
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from projects.calc.money import format_money
from projects.calc.ratio import ByRatio
from projects.calc.recipe import Recipe as Content
from projects.models import Edge, Fabric, Person, Piece, Project, RecipeVersion
from projects.planning.compare import Comparison, compare
from projects.planning.making import plan_project
from projects.planning.recipe_trial import rectangle
from projects.printing.available import pdf_available
from projects.printing.compare import Cell, rows_of
from tests import make

pytestmark = pytest.mark.django_db
TODAY = date(2026, 3, 20)


@pytest.fixture
def voile(workroom: Any) -> Fabric:
    return make.fabric(
        thickness=250_000, price=Decimal("14.50"), shrink_along=Decimal(0), shrink_across=Decimal(0)
    )


@pytest.fixture
def versions(workroom: Any) -> list[RecipeVersion]:
    """Graduated tucks, shallow ones, and ones that can't be laid."""
    return [
        make.version(),
        make.recipe("Pin tucks", of=make.content(make.tucks((18, 2)))).versions.get(),
    ]


@pytest.fixture
def front(voile: Fabric, versions: list[RecipeVersion]) -> Piece:
    return make.piece(make.project(), fabric=voile, version=versions[0])


def beside(piece: Piece, versions: list[RecipeVersion], money: bool = True) -> Comparison:
    return compare(piece, versions, workroom=make.workroom(), today=TODAY, money=money)


def said(piece: Piece, versions: list[RecipeVersion], row: str) -> Cell:
    """The first recipe's cell in the row whose title begins so."""
    rows = rows_of(beside(piece, versions), make.workroom())
    return next(line.cells[0] for line in rows if line.title.startswith(row))


def test_each_column_is_the_plan_of_the_piece_with_that_recipe(
    front: Piece, versions: list[RecipeVersion]
) -> None:
    found = beside(front, versions)
    for column, version in zip(found.columns, versions, strict=True):
        Piece.objects.filter(pk=front.pk).update(version=version)
        plan = plan_project(Project.objects.get(pk=front.project_id))
        part = plan.pieces[0]
        assert column.panel == part.panels[0].plan
        assert (column.minutes, column.low, column.high) == (plan.minutes, plan.low, plan.high)
        assert column.length == plan.fabrics[0].need and column.weight == plan.fabrics[0].grams
    assert front.version_id == versions[0].pk


def test_edges_of_the_piece_are_counted(front: Piece, versions: list[RecipeVersion]) -> None:
    """A neckline bound with strips of the piece's own cloth: the comparison is still the piece's own plan."""
    bare = beside(front, versions[:1]).columns[0]
    Edge.objects.create(piece=front, name="Neckline", length=600 * make.MM)
    column, plan = beside(front, versions[:1]).columns[0], plan_project(front.project)
    assert column.minutes == plan.minutes > bare.minutes
    assert column.length == plan.fabrics[0].need


def test_techniques_by_ratio_stand_beside_tucks(
    front: Piece, versions: list[RecipeVersion], owner_page: Client
) -> None:
    """Gathers at two to one take twice the width; no sample yet, so a starting value is said."""
    full = ByRatio("gathers", Decimal(2), Decimal(1), rows=2)
    gathers = make.recipe("Gathers", of=Content(ratio=full)).versions.get()
    tucks, gathered = beside(front, [versions[0], gathers]).columns
    assert not gathered.problem and gathered.rests_on == "none"
    assert abs(gathered.ratio("across") - 2) < Decimal("0.01") and gathered.minutes != tucks.minutes
    where = {"piece": front.pk, "version": [versions[0].pk, gathers.pk]}
    page = owner_page.get(reverse("compare"), where).content.decode()
    assert "2.00 across, 1.00 along" in page and "can&#x27;t be planned" not in page


def test_cloth_and_hours_at_their_prices(front: Piece, versions: list[RecipeVersion]) -> None:
    make.hour_rate(1800)
    for column in beside(front, versions).columns:
        assert column.money is not None
        assert column.money.cloth == int(Decimal(column.length) * 1450 / 10**9 + Decimal("0.5"))
        assert column.money.hours == int(column.minutes * 30 + Decimal("0.5"))
        assert column.cost == column.money.cloth + column.money.hours


def test_without_a_price_or_rate_the_cost_is_unknown(front: Piece, versions: list[RecipeVersion]) -> None:
    Fabric.objects.update(price=None)
    front.fabric.refresh_from_db()
    found = beside(front, versions).columns[0]
    assert found.money is not None and (found.money.cloth, found.money.hours, found.cost) == (
        None,
        None,
        None,
    )
    assert found.money.lacking == ("Linen voile has no price",) and found.money.at_least == 0


def test_the_best_is_where_no_other_is_less(front: Piece, versions: list[RecipeVersion]) -> None:
    make.hour_rate(1800)
    deep, pins = beside(front, versions).columns
    assert pins.area < deep.area and {"area", "weight", "minutes", "cost"} == pins.best
    assert deep.best == frozenset()
    assert (pins.layers, pins.length) == (deep.layers, deep.length), "nobody is best where all are alike"
    alike = beside(front, [versions[0], versions[0]])
    assert all(not column.best for column in alike.columns)


def test_what_it_rests_on_and_the_sample_to_make(
    front: Piece, versions: list[RecipeVersion], voile: Fabric
) -> None:
    assert [c.rests_on for c in beside(front, versions).columns] == ["none", "none"]
    assert all(c.sample is not None and c.for_sample for c in beside(front, versions).columns)
    make.sample(versions[0], make.fabric("Cotton lawn"))
    assert beside(front, versions).columns[0].rests_on == "another cloth"
    few = {"across_flat": 110, "across_finished": 54, "across_depths": 56}
    make.sample(versions[0], voile, across_tucks=4, **{name: mm * make.MM for name, mm in few.items()})
    column = beside(front, versions).columns[0]
    assert (column.rests_on, column.sample, column.for_sample) == ("this cloth", None, 0)
    assert not column.enough
    assert "would tell more surely" in said(front, versions, "Sample to make first").under
    for _ in range(2):
        make.sample(versions[0], voile)
    assert beside(front, versions).columns[0].enough
    settled = said(front, versions, "Sample to make first")
    assert (settled.text, settled.under) == ("none needed", "")


def test_cloth_for_a_wash_swatch_is_not_called_a_sample(
    front: Piece, versions: list[RecipeVersion], voile: Fabric
) -> None:
    Fabric.objects.filter(pk=voile.pk).update(shrink_along=None)
    front.fabric.refresh_from_db()
    assert said(front, versions, "Length of cloth").under.endswith("of it for a sample and a wash swatch")
    make.sample(versions[0], voile)
    assert said(front, versions, "Length of cloth").under.endswith("0.30 m of it for a wash swatch")


def test_a_backing_without_a_price_is_named_beside_what_is_known(front: Piece) -> None:
    make.hour_rate(1800)
    quilting = Content(ratio=ByRatio("quilting", Decimal(1), Decimal(1), spacing=25 * make.MM))
    version = make.recipe("Quilting", of=quilting).versions.get()
    front.backing = make.fabric("Cotton lawn", price=None)
    cell, column = said(front, [version], "Cloth and hours cost"), beside(front, [version]).columns[0]
    assert column.money.cloth is None and column.cost is None
    voile = int(Decimal(column.length) * 1450 / 10**9 + Decimal("0.5"))
    assert (column.money.known, column.money.at_least) == (voile, voile + column.money.hours)
    assert cell.text == f"at least {format_money(column.money.at_least, 'EUR')}"
    assert f"cloth at least {format_money(voile, 'EUR')} (Cotton lawn has no price)" in cell.under


def test_a_recipe_that_cant_be_planned_says_why(
    front: Piece, versions: list[RecipeVersion], owner_page: Client
) -> None:
    """A recipe from a later version of the program: its column says so, the others are compared."""
    strange = RecipeVersion.objects.create(recipe=versions[0].recipe, number=9, content={"format": 99})
    column = beside(front, [*versions, strange]).columns[2]
    assert column.problem and column.area is None and column.best == frozenset()
    where = {"piece": front.pk, "version": [versions[0].pk, versions[1].pk, strange.pk]}
    page = owner_page.get(reverse("compare"), where).content.decode()
    assert "can&#x27;t be planned" in page and "least cloth" in page
    assert page.count("Use this recipe") == 1


def test_a_free_size_too_wide_for_the_cloth_says_so_in_a_sentence(workroom: Any, voile: Fabric) -> None:
    """A lattice hides no join, so a panel wider than the cloth can't be cut."""
    lattice = ByRatio(
        "lattice", Decimal("2.83"), Decimal("1.41"), spacing=25 * make.MM, diagonal=35 * make.MM
    )
    version = make.recipe("Lattice", of=Content(ratio=lattice)).versions.get()
    plain = rectangle(across=900 * make.MM, along=500 * make.MM, fabric=voile, workroom=workroom)
    column = beside(plain, [version]).columns[0]
    assert column.problem.startswith("This piece can't be cut") and plain.name == ""


def test_as_many_queries_for_six_as_for_two(
    front: Piece, versions: list[RecipeVersion], django_assert_num_queries: Any
) -> None:
    workroom, many = make.workroom(), [*versions, *(make.version() for _ in range(4))]
    for some in (versions, many):
        with django_assert_num_queries(7):
            compare(front, some, workroom=workroom, today=TODAY, money=True)


@pytest.mark.parametrize("units, shown", [("metric", "m²"), ("inch", "yd²")])
def test_the_page_in_both_systems(
    front: Piece, versions: list[RecipeVersion], owner_page: Client, units: str, shown: str
) -> None:
    make.workroom(units=units, currency="GBP")
    make.hour_rate(1800)
    where = {"piece": front.pk, "version": [v.pk for v in versions]}
    page = owner_page.get(reverse("compare"), where).content.decode()
    assert shown in page and "least cloth" in page and "costs least" in page and "GBP" in page
    free = owner_page.get(reverse("compare"), {"version": [v.pk for v in versions]}).content.decode()
    assert ("20 in" if units == "inch" else "50 cm") in free and shown in free


def test_no_money_for_a_maker(front: Piece, versions: list[RecipeVersion], maker_page: Client) -> None:
    make.hour_rate(1800)
    where = {"piece": front.pk, "version": [v.pk for v in versions]}
    page = maker_page.get(reverse("compare"), where).content.decode()
    assert "least cloth" in page
    assert not re.search(r"EUR|cost|price|14[.,]50|18[.,]00", page.split("<main")[1])
    found = compare(front, versions, workroom=make.workroom(), today=TODAY)
    assert not found.money and all(column.money is None for column in found.columns)


def test_what_is_typed_wrongly_is_kept(versions: list[RecipeVersion], owner_page: Client) -> None:
    for live in ({}, {"HTTP_HX_REQUEST": "true"}):
        where = {"across": "wide", "along": "70 cm", "version": versions[0].pk}
        answer = owner_page.get(reverse("compare"), where, **live)
        page = answer.content.decode()
        assert answer.status_code == 422 and "wide" in page
        assert live or ('value="wide"' in page and 'value="70 cm"' in page)
        assert f'name="version" value="{versions[0].pk}"' in page


@pytest.mark.parametrize(
    "where",
    ["version=x&version=-1", "piece=abc", "version=" + "9" * 40, "across=1&along=1&fabric=zz", "add=7"],
)
def test_nonsense_in_the_address_is_no_error(where: str, owner_page: Client, workroom: Any) -> None:
    assert owner_page.get(reverse("compare") + "?" + where).status_code in (200, 422)
    assert owner_page.get(reverse("compare_pdf") + "?" + where).status_code in (200, 302)


def test_more_than_six_are_left_out_and_said(owner_page: Client, workroom: Any) -> None:
    many = [make.version().pk for _ in range(8)]
    page = owner_page.get(reverse("compare"), {"version": many}).content.decode()
    assert page.count('<th scope="col">') == 6 and "The rest were left out" in page


def test_a_piece_takes_the_recipe_chosen(
    front: Piece, versions: list[RecipeVersion], maker_page: Client
) -> None:
    chosen = {"piece": front.pk, "version": versions[1].pk, "revision": front.revision}
    stale = maker_page.post(reverse("compare_use"), {**chosen, "revision": 99}, follow=True)
    assert "was changed meanwhile" in stale.content.decode()
    page = maker_page.post(reverse("compare_use"), chosen, follow=True).content.decode()
    front.refresh_from_db()
    assert front.version_id == versions[1].pk and "now follows Pin tucks, version 1" in page


def test_a_piece_that_is_cut_keeps_its_recipe(
    front: Piece, versions: list[RecipeVersion], maker: Person, maker_page: Client
) -> None:
    panel = make.panel(front)
    type(panel).objects.filter(pk=panel.pk).update(cut_at=make.timezone.now())
    where = {"piece": front.pk, "version": [v.pk for v in versions]}
    page = maker_page.get(reverse("compare"), where).content.decode()
    assert "1 panel is cut from Front already" in page and "Use this recipe" not in page
    chosen = {"piece": front.pk, "version": versions[1].pk, "revision": front.revision}
    answer = maker_page.post(reverse("compare_use"), chosen, follow=True)
    front.refresh_from_db()
    assert front.version_id == versions[0].pk and "stays as it is" in answer.content.decode()


def test_a_free_size_is_planned_like_a_piece(versions: list[RecipeVersion], voile: Fabric) -> None:
    workroom = make.workroom()
    plain = rectangle(across=500 * make.MM, along=700 * make.MM, fabric=voile, workroom=workroom)
    saved = make.piece(make.project(), fabric=voile, version=versions[0])
    assert beside(plain, versions).columns[0].panel == beside(saved, versions).columns[0].panel


@pytest.mark.skipif(not pdf_available(), reason="no PDF can be made on this computer")
@pytest.mark.parametrize("paper, wide", [("A4", 595), ("Letter", 612)])
def test_it_prints(
    front: Piece, versions: list[RecipeVersion], maker_page: Client, paper: str, wide: int
) -> None:
    from io import BytesIO

    from pypdf import PdfReader

    make.workroom(paper=paper)
    where = {"piece": front.pk, "version": [v.pk for v in versions]}
    answer = maker_page.get(reverse("compare_pdf"), where)
    read = PdfReader(BytesIO(answer.content))
    text = " ".join(read.pages[0].extract_text().split())
    assert answer["Content-Type"] == "application/pdf" and round(read.pages[0].mediabox.width) == wide
    for words in ("Recipes compared", "Pin tucks", "least cloth", "page 1 of 1", "Linen voile", "Front of"):
        assert words in text, words
    assert "EUR" not in text


def test_wadding_that_is_not_counted_makes_nothing_thinnest_or_lightest(
    front: Piece, versions: list[RecipeVersion]
) -> None:
    """Quilting reads as one or two layers, since its wadding is in none: that is said, and wins nothing."""
    quilted = Content(ratio=ByRatio("quilting", Decimal("1.03"), Decimal("1.03"), spacing=25 * make.MM))
    version = make.recipe("Lines", of=quilted).versions.get()
    found = beside(front, [versions[0], version])
    deep, lines = found.columns
    assert lines.padded and not deep.padded
    assert lines.layers < deep.layers and lines.weight < deep.weight
    assert not lines.best & {"thickness", "weight"} and not deep.best & {"thickness", "weight"}
    cells = {row.title: row.cells[1] for row in rows_of(found, make.workroom())}
    for title in ("At the thickest", "Finished weight"):
        assert "wadding and backing not counted" in cells[title].under and not cells[title].best


def test_what_has_no_wadding_may_still_be_thinnest(front: Piece, versions: list[RecipeVersion]) -> None:
    """Wadding only adds: plain gathers thinner than quilting without it stay so."""
    dense = Content(ratio=ByRatio("quilting", Decimal(1), Decimal("2.5"), spacing=25 * make.MM))
    gathers = Content(ratio=ByRatio("gathers", Decimal("1.2"), Decimal(1), rows=2))
    made = [make.recipe(n, of=c).versions.get() for n, c in (("Lines", dense), ("Full", gathers))]
    lines, full = beside(front, made).columns
    assert {"thickness", "weight"} <= full.best and not lines.best & {"thickness", "weight"}
