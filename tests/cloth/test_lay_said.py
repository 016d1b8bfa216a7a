"""What the pages say of the cloth of a lay: the same figures everywhere, before the wash and after it."""

import re
import uuid
from decimal import Decimal
from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from projects.activities import balances, lay_cutting, lay_work
from projects.activities.lays import accept
from projects.activities.panels import sync_panels
from projects.models import Fabric, KeptLay, Person, Piece, Project
from projects.planning import plan_project
from projects.planning.lay_others import others_for
from tests import make
from tests.cloth.posts import METRE, MM
from tests.cloth.test_lay_cutting import kept_coat


def planned(cloth: Fabric, title: str = "Coat", **values: Any) -> Project:
    project = make.project(title, **values)
    for name in ("Front", "Back"):
        sync_panels(make.piece(project, name=name, across=1_200 * MM, fabric=cloth))
    return project


def said(page: Client, name: str, *keys: int) -> str:
    """The text of a page, all blanks alike."""
    html = page.get(reverse(name, args=keys)).content.decode()
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def test_a_length_that_serves_is_chosen_and_reserved(owner_page: Client) -> None:
    cloth = make.fabric()
    project = planned(cloth)
    make.length(cloth, received=METRE, label="Short")
    flawed = make.length(cloth, received=1_600 * MM, label="Flawed")
    flawed.flaws.create(along=0, across=0, length=100 * MM, width=100 * MM)
    row = make.length(cloth, received=2 * METRE, label="V2")
    make.length(cloth, received=5 * METRE, label="Long")
    form = owner_page.get(reverse("lay", args=[project.pk, cloth.pk])).context["accept"]
    assert form.initial["cloth"] == row.pk, "the shortest that serves"
    said_so = "accepted so, it is cut from V2. Choose “Still to buy” to leave that length alone"
    assert said_so in said(owner_page, "lay", project.pk, cloth.pk)
    data = {"seen": form.initial["seen"], "cloth": row.pk, "reserve": "on", "op": str(uuid.uuid4())}
    assert owner_page.post(reverse("lay_accept", args=[project.pk, cloth.pk]), data).status_code == 303
    assert balances.reserved_for(row, project) == KeptLay.objects.get().length
    lay_work.set_options(project=planned(cloth, "Cape"), fabric=cloth, values={"use_stash": False})
    cape = Project.objects.get(title="Cape")
    asked = owner_page.get(reverse("lay", args=[cape.pk, cloth.pk])).context["accept"]
    assert asked.initial["cloth"] is None, "asked on cloth to buy alone"
    assert "accepted so" not in said(owner_page, "lay", cape.pk, cloth.pk)


def test_pages_agree_where_a_lay_is_on_no_length_and_the_shelf_serves(
    owner_page: Client, owner: Person
) -> None:
    cloth = make.fabric()
    project = planned(cloth)
    accept(project=project, fabric=cloth, seen=None, person=owner)
    assert "1.50 m still to buy" in said(owner_page, "lay", project.pk, cloth.pk)
    make.length(cloth, received=9 * METRE, label="V2")
    assert plan_project(project).fabrics[0].buy == 0
    text = said(owner_page, "lay", project.pk, cloth.pk)
    assert "still to buy" not in text and "Cloth on the shelf serves" in text
    assert "nothing of it is reserved for this lay yet" in text


def test_nothing_to_reserve_is_said(owner_page: Client) -> None:
    cloth = make.fabric()
    project = planned(cloth)
    data = {"reserve": "on", "op": str(uuid.uuid4())}
    answer = owner_page.post(reverse("lay_accept", args=[project.pk, cloth.pk]), data, follow=True)
    assert "can’t be reserved yet" in answer.content.decode()


def test_what_is_cut_off_already_is_said_among_the_materials(owner_page: Client, owner: Person) -> None:
    project, cloth, _ = kept_coat(owner_page)
    takes = said(owner_page, "project", project.pk)
    figure = re.search(r"Linen voile (\d\.\d\d m)", takes)
    assert figure
    kept = KeptLay.objects.get()
    lay_cutting.tick(kept=kept, number=1, person=owner, now=timezone.now())
    text = said(owner_page, "project", project.pk)
    assert f"Linen voile {figure[1]} {figure[1]} 1.50 m of it cut off already nothing" in text


def test_a_length_is_said_as_it_was_laid_also_after_the_cut(owner_page: Client, owner: Person) -> None:
    cloth = make.fabric()
    project = planned(cloth)
    row = make.length(cloth, received=1_605 * MM, label="W1")
    lay_work.set_options(project=project, fabric=cloth, values={"use_stash": True})
    kept = accept(project=project, fabric=cloth, seen=None, person=owner)
    before = "W1 1.50 m of 1.60 m"
    assert before in said(owner_page, "lay", project.pk, cloth.pk)
    lay_cutting.tick(kept=kept, number=1, person=owner, now=timezone.now())
    row.refresh_from_db()
    assert row.shelf == 105 * MM
    assert before in said(owner_page, "lay", project.pk, cloth.pk)


def test_the_other_project_of_a_lay_sees_when_and_by_whom_it_was_accepted(
    owner_page: Client, owner: Person
) -> None:
    cloth = make.fabric()
    project, other = planned(cloth), planned(cloth, "Cape")
    make.length(cloth, received=4 * METRE, label="L1")
    values = {"use_stash": True, "others": [other]}
    lay_work.set_options(project=project, fabric=cloth, values=values)
    accept(project=project, fabric=cloth, seen=None, person=owner)
    own, theirs = (said(owner_page, "lay", p.pk, cloth.pk) for p in (project, other))
    day = timezone.localtime().strftime("%-d %b %Y")
    for text in (own, theirs):
        assert f"Accepted on {day} by {owner}" in text and "L1 3.00 m of 4.00 m" in text
    assert "Let it go and release" in own and "Let it go and release" not in theirs
    assert f"To the lay of {project.title}" in theirs
    swatch = "0.30 m"
    text = f"Linen voile {swatch} {swatch}; project {project.number} takes it for panels"
    assert text in said(owner_page, "project", other.pk)
    make.workroom(buy_swatch=False)
    text = f"Linen voile in another lay project {project.number} takes it nothing"
    assert text in said(owner_page, "project", other.pk)


def test_what_to_buy_before_the_wash_stands_beside_what_is_worked(owner_page: Client) -> None:
    cloth = make.fabric(width=1_500 * MM, shrink_along=Decimal("0.04"), shrink_across=Decimal("0.03"))
    project = planned(cloth)
    text = said(owner_page, "lay", project.pk, cloth.pk)
    assert "on cloth 145.5 cm wide once washed" in text
    assert "to buy for it before the wash, 150.0 cm wide 1.57 m" in text
    assert "150.0 cm wide, 145.5 cm once washed" in said(owner_page, "project_buy", project.pk)
    row = make.length(cloth, received=4 * METRE)
    accept(project=project, fabric=cloth, seen=None, person=make.anybody(), cloth=row)
    text = said(owner_page, "lay", project.pk, cloth.pk)
    assert "145.5 cm wide once washed" in text and "of it before the wash, 150.0 cm wide 1.57 m" in text
    type(row).objects.filter(pk=row.pk).update(washed=True)
    assert "before the wash" not in said(owner_page, "lay", project.pk, cloth.pk)
    plain = make.fabric("Wool", shrink_along=Decimal(0), shrink_across=Decimal(0))
    assert "before the wash" not in said(owner_page, "lay", planned(plain, "Cape").pk, plain.pk)


def test_cloth_that_is_not_washed_yet_has_its_own_large_figure(owner_page: Client, owner: Person) -> None:
    project, cloth, roll = kept_coat(owner_page, shrink_along=Decimal("0.04"))
    text = said(owner_page, "lay_table", project.pk, cloth.pk)
    assert balances.reserved_for(roll, project) == 1_562_500_000
    assert "once it is washed 150.0 cm if it is not washed yet 156.3 cm" in text, "never too little"
    assert f"Wash {roll.label} first" in text
    type(roll).objects.filter(pk=roll.pk).update(washed=True)
    assert "washed yet" not in said(owner_page, "lay_table", project.pk, cloth.pk)


@pytest.mark.parametrize("shrinks", [None, Decimal(0)])
def test_cloth_that_is_to_be_washed_first_says_so_whatever_the_wash_takes(
    owner_page: Client, owner: Person, shrinks: Decimal | None
) -> None:
    """What is left over of it is put on the shelf as washed, so nobody may cut it unwashed unawares."""
    project, cloth, roll = kept_coat(owner_page, shrink_along=shrinks)
    text = said(owner_page, "lay_table", project.pk, cloth.pk)
    assert f"Wash {roll.label} first. It is not said to be washed yet" in text
    assert ("What the wash takes of it along is not known" in text) == (shrinks is None)
    Project.objects.filter(pk=project.pk).update(washing="never")
    assert "washed yet" not in said(owner_page, "lay_table", project.pk, cloth.pk)


def test_like_is_compared_with_like_where_the_plan_changed(owner_page: Client, owner: Person) -> None:
    project, cloth, _ = kept_coat(owner_page)
    kept = KeptLay.objects.get()
    for number in range(1, len(lay_cutting.cutting_of(kept).steps)):
        lay_cutting.tick(kept=kept, number=number, person=owner, now=timezone.now())
    Piece.objects.filter(name="Front").update(along=740 * MM)
    page = owner_page.get(reverse("lay", args=[project.pk, cloth.pk]))
    line = page.context["line"]
    assert page.context["before"].takes == kept.length < line.whole, "all panels, before and now"
    text = said(owner_page, "lay", project.pk, cloth.pk)
    assert f"All panels as they are now, cut ones too, would take {line.whole / METRE:.2f} m" in text
    assert "Look at it as it was accepted" in text
    assert page.content.decode().count("<svg") >= 1 + len(page.context["before"].cloths)


def test_other_projects_are_offered_both_ways_or_not_at_all(workroom: object) -> None:
    cloth = make.fabric()
    coat, cape = planned(cloth), planned(cloth, "Cape")
    planned(cloth, "Done", state="finished")
    yoke, bag = planned(cloth, "Yoke", state="asked"), planned(cloth, "Bag", washing="after")
    assert others_for(coat, cloth) == [cape] and others_for(cape, cloth) == [coat]
    assert others_for(yoke, cloth) == [] and others_for(bag, cloth) == []


def test_a_panel_of_two_widths_is_one_panel_in_two_parts(owner_page: Client) -> None:
    cloth = make.fabric(width=900 * MM, shrink_across=Decimal(0), shrink_along=Decimal(0))
    project = make.project()
    sync_panels(make.piece(project, name="Body", fabric=cloth, version=make.version()))
    sync_panels(make.piece(project, name="Collar", fabric=cloth))
    text = said(owner_page, "lay", project.pk, cloth.pk)
    assert "panels to cut, in 3 parts, with" in text


def test_what_laying_together_saves_is_said(owner_page: Client) -> None:
    cloth = make.fabric()
    coat, cape = make.project("Coat"), make.project("Cape")
    for project in (coat, cape):
        sync_panels(make.piece(project, across=600 * MM, fabric=cloth))
    lay_work.set_options(project=coat, fabric=cloth, values={"others": [cape]})
    assert "less than each project laid by itself 0.75 m" in said(owner_page, "lay", coat.pk, cloth.pk)
    accept(project=coat, fabric=cloth, seen=None, person=make.anybody())
    assert "less than each project" not in said(owner_page, "lay", coat.pk, cloth.pk)
    hem = make.project("Hem")
    sync_panels(make.piece(hem, across=1_300 * MM, fabric=cloth))
    skirt = planned(cloth, "Skirt")
    lay_work.set_options(project=skirt, fabric=cloth, values={"others": [hem]})
    text = said(owner_page, "lay", skirt.pk, cloth.pk)
    assert "saved: each project laid by itself takes no more nothing" in text


def test_inches_of_a_lay_are_not_yards(owner_page: Client) -> None:
    make.workroom(units="inch")
    cloth = make.fabric()
    project = planned(cloth)
    make.length(cloth, received=2_500 * MM, label="V1")
    text = said(owner_page, "lay", project.pk, cloth.pk)
    assert "V1, 98 ³⁄₈ in free" in text and "59 ¹⁄₁₆ in" in text
    assert not re.search(r"\d yd", text)
    lay_work.set_options(project=project, fabric=cloth, values={"use_stash": True})
    drawn = said(owner_page, "lay", project.pk, cloth.pk)
    assert "V1 59 ¹⁄₁₆ in of 98 ³⁄₈ in" in drawn and "used 59 ¹⁄₁₆ in" in drawn
    assert "39 ⁵⁄₁₆ in left" in drawn and not re.search(r"\d yd", drawn)
