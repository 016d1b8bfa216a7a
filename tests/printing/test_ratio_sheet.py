"""The job sheet and the marks page of pieces worked by ratio: positions as the plan has them."""

import io
from datetime import date

import pytest
from django.urls import reverse
from pypdf import PdfReader

from projects.activities.panels import sync_panels
from projects.calc.lengths import Rounding, System, about, rounded
from projects.planning import plan_project
from projects.printing.available import pdf_available
from projects.printing.pdf import STATIC, render_pdf
from projects.printing.ratio_marks import grid_tables_of
from projects.printing.sheet import make_sheet, sheet_html
from tests import make
from tests.recipes.ratios import TECHNIQUES, content

needs_pango = pytest.mark.skipif(not pdf_available(), reason="this computer has no Pango")
TODAY = date(2026, 11, 25)
MM = 1_000_000
SEAMS = {"allowance_sides": 15 * MM, "allowance_top": 15 * MM, "allowance_bottom": 15 * MM}


def bag(technique, **values):
    """A project with a piece of this technique, 20 by 22 cm, wide cloth."""
    project, cloth = make.project("Evening bag"), make.fabric("Cotton velvet", thickness=900_000)
    version = make.recipe("The texture", of=content(technique)).versions.get()
    piece = make.piece(
        project, fabric=cloth, version=version, across=200 * MM, along=220 * MM, **{**SEAMS, **values}
    )
    sync_panels(piece)
    return project, piece


@pytest.mark.parametrize("system", list(System))
@pytest.mark.parametrize("technique", TECHNIQUES)
def test_tables_say_where_the_plan_has_the_marks(workroom, maker, technique, system):
    project, _ = bag(technique, bordered=True)
    plan = plan_project(project)
    work = plan.pieces[0].panels[0].plan.work
    grids = {"across": (work.grid_across, work.width), "along": (work.grid_along, work.length)}
    tables = list(grid_tables_of(plan.pieces, system))
    assert {t.name for t in tables} == {name for name, (marks, _) in grids.items() if marks}
    for table in tables:
        marks, extent = grids[table.name]
        assert table.count == marks.count
        assert table.first == rounded(marks.first, Rounding.MARK, system)
        if not work.slant:
            assert table.step == (about(marks.step, system) if marks.count > 1 else "")
        last = marks.positions[-1]
        assert table.last == rounded(last if work.slant else extent - last, Rounding.MARK, system)
        for number, told in table.controls:
            assert told == rounded(marks.positions[number - 1], Rounding.MARK, system)


def test_slanted_lines_are_said_no_closer_than_anybody_marks(workroom, maker):
    """25 mm apart, 25 x root 2 = 35.36 mm along the edge: about 35 mm, or 1 3/8 in."""
    project, _ = bag("quilting")
    pieces = plan_project(project).pieces
    assert {t.step for t in grid_tables_of(pieces, System.METRIC)} == {"about 35 mm"}
    assert {t.step for t in grid_tables_of(pieces, System.INCH)} == {"about 1 ³⁄₈ in"}


def test_dots_are_the_same_from_both_edges(workroom, maker):
    """Centred by hand: 25 cm at 4 to 1 is 1000 mm; 166 spaces of 6 mm leave 4 mm, 2 at each end."""
    make.workroom(squaring=10 * MM)
    project, _ = bag("english")
    across, along = grid_tables_of(plan_project(project).pieces, System.METRIC)
    assert (across.first, across.step, across.count, across.last) == ("2.0 mm", "6 mm", 167, "2.0 mm")
    assert along.marks == "rows of dots"


def test_a_pair_shares_its_tables(workroom, maker):
    project, _ = bag("honeycomb", count=2, mirrored=True)
    sheet = make_sheet(plan_project(project), workroom, today=TODAY)
    assert [grid.title for grid in sheet.grids] == [
        "Front, left, Front, right: dots across",
        "Front, left, Front, right: rows of dots along",
    ]
    assert len(sheet.worked) == 1


def test_tucked_pieces_have_no_such_tables(workroom, maker):
    project = make.project()
    sync_panels(make.piece(project, fabric=make.fabric(), version=make.version()))
    sheet = make_sheet(plan_project(project), workroom, today=TODAY)
    assert sheet.marks and not sheet.grids and not sheet.worked


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("technique", TECHNIQUES)
def test_page_marks_and_sheet_say_the_same(maker_page, workroom, technique, units):
    make.workroom(units=units)
    project, piece = bag(technique)
    plan = plan_project(project)
    table = next(iter(grid_tables_of(plan.pieces, System(units))))
    for address in (
        reverse("piece", args=[piece.pk]),
        reverse("panel_marks", args=[piece.pk]),
        reverse("sheet", args=[project.pk]),
    ):
        answer = maker_page.get(address)
        assert answer.status_code == 200
        shown = answer.content.decode()
        assert str(table.count) in shown
        assert table.first in shown or table.at_edge
        assert table.step in shown
    shown = maker_page.get(reverse("piece", args=[piece.pk])).content.decode()
    assert "Flat to finished, planned with" in shown and "no sample, from a starting value" in shown
    assert "Tucks or pleats" not in shown and ">None<" not in shown


@needs_pango
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_pdf_says_how_it_is_worked_and_where_the_marks_lie(workroom, maker, paper):
    project, _ = bag("lattice")
    styles = {"fonts": "fonts-print", "style": "sheet", "paper_style": f"paper-{paper}"}
    sheet = make_sheet(plan_project(project), workroom, today=TODAY)
    html = sheet_html(sheet, pdf=True, **{key: f"{STATIC}css/{name}.css" for key, name in styles.items()})
    pages = PdfReader(io.BytesIO(render_pdf(html))).pages
    words = "\n".join(page.extract_text() for page in pages)
    assert "The texture: how it is worked" in words
    assert "Draw corners 1 and 2 together tight, and knot." in words
    assert f"{sheet.grids[0].count} in all." in words
    assert f"page 1 of {len(pages)}" in words
