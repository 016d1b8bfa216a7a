"""The job sheet: one Plan's numbers on paper, in both unit systems, and nothing fetched from outside."""

import io
from datetime import date

import pytest
from django.core.exceptions import SuspiciousFileOperation
from pypdf import PdfReader

from projects.activities.panels import sync_panels
from projects.calc.direction import Direction
from projects.calc.lengths import Rounding, System, rounded
from projects.planning import plan_project
from projects.printing.available import pdf_available
from projects.printing.marks import mark_tables
from projects.printing.pdf import STATIC, own_fetcher, render_pdf
from projects.printing.sheet import make_sheet
from tests import make

needs_pango = pytest.mark.skipif(not pdf_available(), reason="this computer has no Pango")
TODAY = date(2026, 11, 25)


@pytest.fixture
def coat(workroom, maker):
    """A pair of fronts tucked both ways and a plain collar, for a client, due in spring."""
    coat = make.project(client=make.client(), due=date(2027, 3, 26))
    cloth, side = make.fabric(thickness=160_000, sheer=True), make.tucks(*make.GRADUATED)
    version = make.version(of=make.content(side, side))
    for values in ({"name": "Front", "count": 2, "mirrored": True, "version": version}, {"name": "Collar"}):
        sync_panels(make.piece(coat, fabric=cloth, **values))
    return coat


def sheet_of(coat, workroom, **values):
    return make_sheet(plan_project(coat), workroom, today=TODAY, **values)


def test_every_panel_is_listed_in_both_systems_with_its_hand(coat, workroom):
    sheet = sheet_of(coat, workroom)
    lines = [line for piece in plan_project(coat).pieces for line in piece.panels]
    assert [(row.name, row.hand) for row in sheet.cuts] == [
        ("Front, left", "left"),
        ("Front, right", "right"),
        ("Collar", ""),
    ]
    for row, line in zip(sheet.cuts, lines, strict=True):
        assert rounded(line.plan.cut_width, Rounding.PANEL, System.METRIC) in row.metric
        assert rounded(line.plan.cut_length, Rounding.PANEL, System.INCH) in row.inches


def test_only_a_sheet_with_pairs_has_a_column_for_them(coat, workroom):
    assert sheet_of(coat, workroom).pairs
    bag = make.project()
    sync_panels(make.piece(bag, name="Body", count=2))
    assert not sheet_of(bag, workroom).pairs


def test_a_check_measure_has_room_to_write_after_each_reading(coat, workroom):
    steps = [step for _, stage in sheet_of(coat, workroom).stages for step in stage if step.checks]
    assert steps
    for row in (row for step in steps for part in step.checks for row in part.rows):
        after, seam, first, edge, second, within = row.split("\t")
        assert after.startswith("□ after ") and within.startswith("together within ")
        assert {first, second} == {"______"} and seam.endswith(" mm") and edge.endswith(" mm")


def test_a_pair_shares_one_table_measured_from_opposite_edges(coat, workroom):
    across, along = mark_tables(plan_project(coat).pieces, System.METRIC)
    if "along" in across.title:
        across, along = along, across
    assert across.title == "Front, left and Front, right: tucks across"
    assert across.edges == "LEFT from the left edge, RIGHT from the right edge, both face up"
    assert along.edges == "from the top edge, face up"


def test_marks_are_one_row_a_repeat_and_end_with_the_far_edge(coat, workroom):
    plan = plan_project(coat)
    side = plan.pieces[0].panels[0].plan.across
    table = next(t for t in mark_tables(plan.pieces, System.METRIC) if "across" in t.title)
    cells = [cell for row in table.rows for cell in row.cells if cell]
    marks = list(side.marks())
    assert len(cells) == side.count == table.count
    assert [cell.number for cell in cells] == [mark.number for mark in marks]
    assert len({row.label for row in table.rows}) == len(table.rows)
    for row in table.rows[1:-1]:
        assert [cell.letter for cell in row.cells] == [cell.letter for cell in table.rows[1].cells]
    for cell, mark in zip(cells, marks, strict=True):
        assert float(cell.fold) * 1_000_000 == pytest.approx(mark.fold, abs=250_001)
    assert table.last == rounded(side.last_mark_from_far_edge, Rounding.MARK, System.METRIC)


def test_box_pleats_say_how_their_flaps_lie_in_one_sentence(workroom, maker):
    pleats = make.content(Direction("box", width=40_000_000, depth=20_000_000))
    frill = make.project()
    sync_panels(make.piece(frill, fabric=make.fabric(), version=make.version(of=pleats)))
    (table,) = mark_tables(plan_project(frill).pieces, System.METRIC)
    towards, away = "towards the edge measured from", "away from the edge measured from"
    assert table.flaps.strip() == f"Flaps in pairs: odd numbers {towards}, even numbers {away}."


def test_without_an_address_the_number_stands_where_the_code_would(coat, workroom, maker_page):
    assert sheet_of(coat, workroom).qr == ""
    assert sheet_of(coat, workroom, address="https://larkfield.example/projects/1/").qr.startswith(
        "data:image/svg"
    )
    assert (
        f'class="big-number">{coat.number}<' in maker_page.get(f"/projects/{coat.pk}/sheet/").content.decode()
    )


def test_a_caution_is_said_once_under_a_heading_and_done_steps_are_one_line(coat, workroom, maker):
    from django.utils import timezone

    from projects.activities import steps

    key = next(s.key for s in plan_project(coat).steps if s.title.startswith("Mark Front, left"))
    steps.tick(project=coat, key=key, person=maker, now=timezone.now())
    for _, rows in sheet_of(coat, workroom).stages:
        said = [text for row in rows for text in row.cautions]
        assert len(said) == len(set(said))
        assert all(not (row.measures or row.checks or row.detail) for row in rows if row.done)


def test_the_sheet_shows_what_local_rules_decide(coat, workroom):
    assert any("rules" in text for text in sheet_of(coat, workroom).cautions)


def text_of(body: bytes) -> tuple[str, list]:
    pages = PdfReader(io.BytesIO(body)).pages
    return "\n".join(page.extract_text() for page in pages), list(pages)


@needs_pango
@pytest.mark.parametrize(("paper", "width"), [("A4", 595), ("Letter", 612)])
def test_the_pdf_has_the_paper_pages_numbers_and_sizes(coat, maker_page, paper, width):
    make.workroom(paper=paper)
    answer = maker_page.get(f"/projects/{coat.pk}/sheet.pdf")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    words, pages = text_of(answer.content)
    assert round(float(pages[0].mediabox.width)) == width
    for number, page in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in page.extract_text()
    for row in sheet_of(coat, make.workroom()).cuts:
        assert row.metric.split(" ×")[0] in words
    for expected in ("Concert coat", "QC", "26 Mar 2027", "LEFT", "RIGHT", "Quayside"):
        assert (expected in words) is (expected != "Quayside")


@needs_pango
def test_a_hostile_title_prints_as_text_and_nothing_is_fetched(coat, maker_page):
    coat.title = '<script>alert(1)</script><link rel=attachment href="file:///etc/passwd"> عربي 👗'
    coat.save(update_fields=["title"])
    answer = maker_page.get(f"/projects/{coat.pk}/sheet.pdf")
    assert answer.status_code == 200
    assert "alert(1)" in text_of(answer.content)[0]
    assert "root:" not in answer.content.decode("latin-1")


@needs_pango
@pytest.mark.parametrize(
    "address", ["file:///etc/hostname", "http://127.0.0.1:9/x.css", "http://static.invalid/../key"]
)
def test_the_printer_reads_nothing_but_its_own_files(address):
    with pytest.raises((ValueError, SuspiciousFileOperation)):
        own_fetcher().fetch(address)
    assert render_pdf(f'<link rel="stylesheet" href="{address}"><img src="{address}"><p>plain</p>')


@needs_pango
def test_the_printer_finds_its_own_style():
    assert b"@page" in own_fetcher().fetch(f"{STATIC}css/sheet.css").read()


@needs_pango
def test_a_print_asks_not_to_be_scaled():
    reader = PdfReader(io.BytesIO(render_pdf("<p>plain</p>")))
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_where_no_pdf_can_be_made_the_page_offers_the_browsers_own_print(coat, maker_page, monkeypatch):
    from projects.views import sheets

    monkeypatch.setattr(sheets, "pdf_available", lambda: False)
    monkeypatch.setattr(sheets, "why_not", lambda: "The system library Pango is missing.")
    answer = maker_page.get(f"/projects/{coat.pk}/sheet.pdf")
    assert (answer.status_code, answer["Location"]) == (302, f"/projects/{coat.pk}/sheet/")
    shown = maker_page.get(f"/projects/{coat.pk}/sheet/").content.decode()
    assert "Pango is missing" in shown
    assert "browser's own print" in shown


def test_a_project_without_pieces_still_prints(workroom, maker_page):
    empty = make.project("Nothing yet")
    assert maker_page.get(f"/projects/{empty.pk}/sheet/").status_code == 200
