"""What to buy: the reasons sum to what is bought, and notions are named with how many."""

import re
import uuid
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from projects.activities import stock
from projects.activities.panels import book_cut, sync_panels
from projects.activities.pieces import create_piece
from projects.calc.lengths import Rounding, System, parse, rounded, rounded_up
from projects.models import NotionNeed, Panel, Project
from projects.planning.fabric_plan import BuyLine
from projects.planning.making import plan_project
from projects.planning.materials import ON_HAND, ROUNDING
from projects.templatetags.lengths import buy_lines
from tests import make

pytestmark = pytest.mark.django_db
MM = make.MM


@pytest.fixture
def project(workroom):
    project = make.project()
    fabric = make.fabric()
    make.length(fabric, received=500 * MM)
    values = {
        "name": "Front",
        "across": 900 * MM,
        "along": 900 * MM,
        "version": make.version(),
        "fabric": fabric,
    }
    create_piece(project=project, values=values)
    return project


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_each_line_says_why_and_they_sum(owner_page, project, units):
    make.workroom(units=units)
    fabric = plan_project(project).fabrics[0]
    page = owner_page.get(reverse("project_buy", args=[project.pk])).content.decode()
    assert sum(line.length for line in fabric.lines) == fabric.buy
    assert all(line.why in page for line in fabric.lines)
    if units == "metric":
        shown = re.findall(r'data-label="Length">(.?[\d.]+) m<', page)
        assert len(shown) == len(fabric.lines)
        total = sum(Decimal(number.replace("−", "-")) for number in shown)
        assert f"<strong>{total} m</strong>" in page, "what is shown sums to what is shown"
    assert f"<strong>{rounded(fabric.buy, Rounding.CLOTH, System(units))}</strong>" in page


def test_cloth_that_is_all_cut_has_a_sentence_and_no_table(owner, owner_page, workroom):
    project = make.project()
    make.piece(project, name="Front", fabric=make.fabric(shrink_along=Decimal(0), shrink_across=Decimal(0)))
    sync_panels(project.pieces.get())
    where = reverse("project_buy", args=[project.pk])
    assert "Nothing to buy" not in owner_page.get(where).content.decode()
    book_cut(Panel.objects.get(), person=owner, now=timezone.now())
    page = owner_page.get(where).content.decode()
    assert "Nothing to buy" in page and 'data-label="To buy"' not in page


@pytest.mark.parametrize("units", list(System))
@pytest.mark.parametrize(("panels", "on_hand", "step"), [
    (1_006, 0, 100), (1_325, 0, 100), (2_001, 0, 1), (1_006, 400, 100), (1_325, 1_625, 1), (1_599, 0, 100),
])  # fmt: skip
def test_one_length_is_one_figure_whatever_stands_above_it(units, panels, on_hand, step):
    """A swatch of 30 cm beside any panels: enough to cut it from, and the sum is what is bought."""
    left = panels + 300 - on_hand
    lengths = [("Panels as laid", panels), ("Wash swatch", 300), (ON_HAND, -on_hand)]
    lengths.append((ROUNDING, -left % step))
    lines = [BuyLine(why, length * MM) for why, length in lengths if length]
    said = buy_lines({"workroom": SimpleNamespace(units=units)}, lines)
    system = System(units)
    assert dict(said)["Wash swatch"] == rounded_up(300 * MM, Rounding.CLOTH, system)
    assert dict(said)["Panels as laid"] == rounded_up(panels * MM, Rounding.CLOTH, system)
    unit = "m" if system is System.METRIC else "yd"
    total = sum((-1 if text[0] == "−" else 1) * parse(text.lstrip("−"), unit).nm for _, text in said)
    bought = rounded_up((left + -left % step) * MM, Rounding.CLOTH, system)
    assert rounded(total, Rounding.CLOTH, system) == bought
    assert not dict(said).get(ROUNDING, "").startswith("−")


def test_a_notion_is_needed_changed_and_no_longer(owner_page, project):
    notion = make.notion(received=12)
    address = reverse("project_buy", args=[project.pk])
    typed = {"notion": notion.pk, "amount": "14.5", "why": "front and cuffs", "op": str(uuid.uuid4())}
    for _ in range(2):
        assert owner_page.post(address, typed).status_code == 303
    assert NotionNeed.objects.get().amount == 14_500
    page = owner_page.get(address).content.decode()
    assert "front and cuffs" in page and "<strong>2.5 pieces</strong>" in page
    owner_page.post(address, {"notion": notion.pk, "amount": "3"})
    assert NotionNeed.objects.get().amount == 3_000
    owner_page.post(reverse("need_remove", args=[project.pk, notion.pk]))
    assert not NotionNeed.objects.exists()


@pytest.mark.parametrize(
    "wrong",
    [
        {"amount": "0"},
        {"amount": "-3"},
        {"amount": "many"},
        {"amount": ""},
        {"amount": "1,000"},
        {"amount": "9" * 30},
        {"notion": ""},
        {"notion": "987654"},
        {"why": "w" * 300},
    ],
)
def test_what_can_not_be_stays_on_the_page(owner_page, project, wrong):
    typed = {"notion": make.notion().pk, "amount": "4", "why": "cuffs", **wrong}
    answer = owner_page.post(reverse("project_buy", args=[project.pk]), typed)
    assert answer.status_code == 422
    assert not NotionNeed.objects.exists()


def test_removing_is_posted(owner_page, project):
    notion = make.notion()
    address = reverse("need_remove", args=[project.pk, notion.pk])
    assert owner_page.get(address).status_code == 405
    assert owner_page.post(reverse("need_remove", args=[project.pk, 987654])).status_code == 404


def test_the_lengths_that_serve_are_named(owner_page, workroom):
    project, fabric = make.project(), make.fabric()
    make.length(fabric, label="V1", dye_lot="2231", received=3_000 * MM)
    values = {"name": "Yoke", "across": 300 * MM, "along": 200 * MM, "fabric": fabric}
    create_piece(project=project, values=values)
    ((label, length),) = plan_project(project).fabrics[0].uses
    page = owner_page.get(reverse("project_buy", args=[project.pk])).content.decode()
    shown = rounded_up(length, Rounding.CLOTH, System.METRIC)
    assert f"From the stash, dye lot 2231: {label} {shown}" in page and '<tr class="sum">' in page


def test_who_else_wants_the_cloth_is_said(owner_page, owner, project, django_assert_num_queries):
    """What is reserved for the other project is its own; as many queries for five others as for one."""
    page = reverse("project_buy", args=[project.pk])
    fabric = project.pieces.get().fabric
    assert "Also planned for" not in owner_page.get(page).content.decode()
    other = make.project("Velvet bag")
    values = {"name": "Front", "across": 300 * MM, "along": 200 * MM, "fabric": fabric}
    create_piece(project=other, values=values)
    with CaptureQueriesContext(connection) as one:
        said = owner_page.get(page).content.decode()
    assert "Also planned for" in said and "Velvet bag" in said
    for number in range(4):
        more = make.project(f"Bag {number}")
        create_piece(project=more, values=values)
    with django_assert_num_queries(len(one)):
        owner_page.get(page)
    length = fabric.lengths.get()
    stock.receive(row=length, amount=3_000 * MM, person=owner)
    stock.reserve(row=length, project=other, amount=2_000 * MM, person=owner)
    assert "Velvet bag" not in owner_page.get(page).content.decode()
    Project.objects.filter(title__startswith="Bag ").update(state="finished")
    assert "Also planned for" not in owner_page.get(page).content.decode()


def test_a_step_of_the_other_system_is_said_in_the_studios_too(owner_page, project):
    """It is bought in yards, and "100 mm" above them reads as a slip."""
    make.workroom(units="inch", buy_step=100 * MM)
    page = owner_page.get(reverse("project_buy", args=[project.pk])).content.decode()
    assert "in steps of" not in page and "to steps of about 3 ¹⁵⁄₁₆ in, set as 100 mm;" in page
    make.workroom(units="inch", buy_step=228_600_000)
    page = owner_page.get(reverse("project_buy", args=[project.pk])).content.decode()
    assert "to steps of 1/4 yd;" in page
