"""Hours, fabrics and notions for a spreadsheet."""

import csv
from io import StringIO
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from projects.models import LabourLog, Person
from tests import make
from tests.make import MM

pytestmark = pytest.mark.django_db


def table(page: Client, where: str) -> list[dict[str, str]]:
    answer = page.get(where)
    assert answer.status_code == 200 and answer["Content-Type"].startswith("text/csv")
    data = b"".join(answer.streaming_content)
    assert data.startswith(b"\xef\xbb\xbf")
    return list(csv.DictReader(StringIO(data.decode("utf-8-sig"), newline="")))


def test_owners_get_all_hours_and_makers_their_own(
    owner: Person, maker: Person, owner_page: Client, maker_page: Client
) -> None:
    coat = make.project("=HYPERLINK(1)")
    make.log(owner, coat, note="+1")
    make.log(maker, coat, note="Größe 12, “eng”\nzweite Zeile")
    LabourLog.objects.create(
        worker="@Fern", project=coat, date="2026-03-05", minutes=30, stage="sample", note="-2"
    )
    rows = table(owner_page, "/hours/csv/")
    assert [row["Who"] for row in rows] == ["Wren", "Moss", "'@Fern"]
    assert rows[0]["Note"] == "'+1" and rows[0]["Project"] == "'=HYPERLINK(1)"
    assert rows[1]["Note"] == "Größe 12, “eng”\nzweite Zeile"
    assert [row["Who"] for row in table(maker_page, "/hours/csv/")] == ["Moss"]
    assert [row["Who"] for row in table(owner_page, "/hours/csv/?from=2026-03-03&to=2026-03-05")] == [
        "'@Fern"
    ]


@pytest.mark.parametrize("wrong", ["soon", "2026-02-30", "2026-13-01", "9" * 50])
def test_what_is_no_date_is_refused(owner_page: Client, wrong: str) -> None:
    assert owner_page.get("/hours/csv/", {"from": wrong}).status_code == 400


@pytest.mark.parametrize(
    ("units", "heading", "width", "shelf"), [("metric", "cm", "127", "2.5"), ("inch", "in", "50", "2.734")]
)
def test_fabrics_in_the_studios_units(
    owner_page: Client, maker_page: Client, units: str, heading: str, width: str, shelf: str
) -> None:
    make.workroom(units=units, currency="GBP")
    cloth = make.fabric("Linen voile", width=1270 * MM, price="18.50")
    make.length(cloth, label="L7", received=2500 * MM)
    make.fabric("Organza")
    rows = table(owner_page, "/cloth/csv/")
    assert [row["Fabric"] for row in rows] == ["Linen voile", "Organza"]
    long = "m" if units == "metric" else "yd"
    assert rows[0][f"Usable width, {heading}"] == width and rows[0]["Length"] == "L7"
    assert rows[0][f"Free, {long}"] == shelf and rows[1]["Length"] == ""
    assert rows[0]["Price, GBP"] == "18.5"
    assert not any("Price" in key for key in table(maker_page, "/cloth/csv/")[0])


def test_notions_with_what_is_free(owner_page: Client, maker_page: Client) -> None:
    make.notion("Shell buttons", received=12, price="0.45")
    row: dict[str, Any] = table(owner_page, "/cloth/notions/csv/")[0]
    assert (row["On the shelf"], row["Free"], row["Counted in"]) == ("12", "12", "pieces")
    assert any("Price" in key for key in row)
    assert not any("Price" in key for key in table(maker_page, "/cloth/notions/csv/")[0])


@pytest.mark.parametrize("where", ["/hours/csv/", "/cloth/csv/", "/cloth/notions/csv/"])
def test_as_many_queries_for_many_rows_as_for_one(owner: Person, owner_page: Client, where: str) -> None:
    def filled(number: int) -> int:
        for _ in range(number):
            make.length(make.fabric())
            make.notion()
            make.log(owner, make.project())
        with CaptureQueriesContext(
            connection,
        ) as queries:
            table(owner_page, where)
        return len(queries)

    assert filled(1) == filled(20)
