"""Two at once, and people where they should not be: what each of them sees."""

import re
import threading
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client as Visitor
from django.utils import timezone

from projects.models import LabourLog, Person, Piece, Project
from tests import make
from tests.browser import looks_wrong
from tests.conftest import signed_in

pytestmark = pytest.mark.django_db(transaction=True)
BOTH = pytest.mark.parametrize("javascript", [True, False], ids=["with JavaScript", "without JavaScript"])
CONTACT = ("choir@example.org", "01632 960 001", "4 Lantern Yard", "pays late")
OWNERS_PAGES = (
    "/studio/people/",
    "/studio/settings/",
    "/studio/rates/",
    "/studio/rates/tucks/",
    "/studio/backup/",
)


def press(page: Any, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def heading(page: Any, name: str) -> None:
    page.get_by_role("heading", level=1, name=name).wait_for()


@pytest.fixture
def piece(owner: Person, maker: Person) -> Piece:
    return make.piece(make.project(client=_client()), fabric=make.fabric(), version=make.version())


def _client() -> Any:
    return make.client(telephone="01632 960 001", address="4 Lantern Yard", notes="pays late")


@BOTH
def test_two_people_edit_the_same_piece(
    browser_page: Callable[..., Any], piece: Piece, owner: Person, maker: Person, javascript: bool
) -> None:
    wren = browser_page(1280, person=owner, javascript=javascript)
    moss = browser_page(360, person=maker, javascript=javascript)
    for page in (wren, moss):
        page.goto(f"/pieces/{piece.pk}/edit/")
    wren.get_by_label("Finished size across, cm", exact=True).fill("52")
    press(wren, "Save")
    heading(wren, "Front")
    moss.get_by_label("Name", exact=True).fill("Front, as fitted")
    moss.get_by_label("Finished size across, cm", exact=True).fill("512 mm")
    press(moss, "Save")
    heading(moss, "Front was changed while you were editing it")
    rows = {
        row.get_by_role("rowheader").inner_text(): row.inner_text()
        for row in moss.get_by_role("row").filter(has=moss.get_by_role("rowheader")).all()
    }
    assert "52 cm" in rows["Finished size across"] and "51.2 cm" in rows["Finished size across"]
    assert "Front, as fitted" in rows["Name"] and set(rows) == {"Name", "Finished size across"}
    assert not javascript or looks_wrong(moss, phone=True) == []
    piece.refresh_from_db()
    assert (piece.across, piece.name) == (520 * make.MM, "Front"), "the first save stands until it is settled"
    assert moss.get_by_label("Finished size across, cm", exact=True).input_value() == "512 mm"
    moss.get_by_label("Finished size across, cm", exact=True).fill("51.5")
    press(moss, "Save what is in these boxes")
    heading(moss, "Front, as fitted")
    piece.refresh_from_db()
    assert (piece.across, piece.name, piece.revision) == (515 * make.MM, "Front, as fitted", 3)


@BOTH
def test_the_second_may_keep_what_the_first_saved(
    browser_page: Callable[..., Any], piece: Piece, maker: Person, javascript: bool
) -> None:
    page = browser_page(1280, person=maker, javascript=javascript)
    page.goto(f"/pieces/{piece.pk}/edit/")
    page.get_by_label("Name", exact=True).fill("Front, as fitted")
    Piece.objects.filter(pk=piece.pk).update(name="Front panel", revision=2)
    press(page, "Save")
    page.get_by_role("link", name="Keep what was saved").click()
    heading(page, "Front panel")
    piece.refresh_from_db()
    assert (piece.name, piece.revision) == ("Front panel", 2)


@BOTH
def test_two_taps_on_the_timer(
    browser_page: Callable[..., Any], piece: Piece, maker: Person, javascript: bool
) -> None:
    """One person, a phone at the machine and a screen at the table: one timer, and one stop."""
    phone = browser_page(360, person=maker, javascript=javascript)
    table = browser_page(1280, person=maker, javascript=javascript)
    for page in (phone, table):
        page.goto("/hours/")
        page.get_by_role("region", name="Timer").get_by_label("Project").select_option(label="Concert coat")
    for page in (phone, table):
        press(page, "Start the timer")
        page.get_by_text("The timer runs for Concert coat").wait_for()
    assert LabourLog.objects.count() == 1
    LabourLog.objects.update(started_at=timezone.now() - timedelta(minutes=1))
    press(phone, "Stop the timer")
    phone.get_by_text("Logged 1 min for Concert coat").wait_for()
    press(table, "Stop the timer")
    table.get_by_text("No timer is running").wait_for()
    log = LabourLog.objects.get()
    assert (log.minutes, log.person, log.ended_at is not None) == (1, maker, True)


def test_two_taps_at_the_very_same_moment(piece: Piece, maker: Person) -> None:
    """Two requests let go together: both are answered, one timer runs."""
    gate, answers = threading.Barrier(4), []
    visitors = [signed_in(maker) for _ in range(4)]

    def tap(visitor: Visitor) -> None:
        gate.wait()
        answers.append(visitor.post("/hours/start/", {"project": piece.project_id}).status_code)
        connection.close()

    taps = [threading.Thread(target=tap, args=[visitor]) for visitor in visitors]
    for one in taps:
        one.start()
    for one in taps:
        one.join()
    assert answers == [303] * 4
    assert LabourLog.objects.count() == 1 and LabourLog.objects.get().minutes is None


@BOTH
def test_a_form_posted_after_signing_out_elsewhere(
    browser_page: Callable[..., Any], piece: Piece, owner: Person, javascript: bool
) -> None:
    """Nothing is saved; the sign-in page keeps what was typed and hands it back to be sent again."""
    page = browser_page(360, person=owner, javascript=javascript)
    page.goto(f"/projects/{piece.project_id}/edit/")
    page.get_by_label("Title", exact=True).fill("Concert coat, second fitting")
    page.get_by_label("Brief: what was asked for", exact=True).fill("Cuffs wider & <softer>\nby May")
    elsewhere = page.context.new_page()
    elsewhere.goto("/")
    elsewhere.locator("summary").filter(has_text="Larkfield Workroom").click()
    press(elsewhere, "Sign out")
    heading(elsewhere, "Larkfield Workroom")
    page.bring_to_front()
    press(page, "Save")
    page.get_by_text("what you sent was not saved").wait_for()
    assert not javascript or looks_wrong(page, phone=True) == []
    row = Project.objects.get(pk=piece.project_id)
    assert (row.title, row.brief, row.revision) == ("Concert coat", "", 1)
    page.get_by_label("User name").fill("wren")
    page.get_by_label("Password").fill(make.PASSWORD)
    press(page, "Sign in")
    heading(page, "Send it again?")
    page.get_by_text("Concert coat, second fitting").wait_for()
    assert not javascript or looks_wrong(page, phone=True) == []
    press(page, "Send it again")
    heading(page, "Concert coat, second fitting")
    row.refresh_from_db()
    assert (row.title, row.brief) == ("Concert coat, second fitting", "Cuffs wider & <softer>\nby May")


@BOTH
def test_a_maker_reaching_for_an_owners_pages(
    browser_page: Callable[..., Any], piece: Piece, owner: Person, maker: Person, javascript: bool
) -> None:
    page = browser_page(1280, person=maker, javascript=javascript)
    page.goto("/")
    page.locator("summary").filter(has_text="Larkfield Workroom").click()
    links = [link.inner_text() for link in page.locator("header").get_by_role("link").all()]
    assert links == ["My account", "Deleted", "Help"]
    for where in OWNERS_PAGES:
        assert page.goto(where).status == 403
        heading(page, "Not for this sign-in")
        page.get_by_text("This page is for an owner of the studio. Ask one of them").wait_for()
    assert not javascript or looks_wrong(page) == []
    page.get_by_role("link", name="To Today").click()
    heading(page, "Today")
    visitor = signed_in(maker)
    for where in (
        "/studio/people/invite/",
        f"/studio/people/{owner.pk}/off/",
        f"/studio/people/{maker.pk}/password/",
        f"/clients/{piece.project.client_id}/delete/",
    ):
        answer = visitor.post(where, {"shown_name": "Fern", "role": "owner"})
        assert answer.status_code == 403 and b"for an owner" in answer.content, where
    maker.refresh_from_db()
    assert maker.role == Person.MAKER and Person.objects.filter(is_active=True).count() == 2


def everywhere(piece: Piece, log: LabourLog) -> list[str]:
    """Every page a maker may read of a project with a client."""
    project, fabric = piece.project_id, piece.fabric_id
    pages = [
        "/",
        "/projects/",
        "/projects/?state=all",
        "/clients/",
        f"/clients/{piece.project.client_id}/",
        f"/clients/{piece.project.client_id}/edit/",
        "/clients/?words=choir",
        "/cloth/",
        "/cloth/notions/",
        f"/cloth/fabrics/{fabric}/",
        "/recipes/",
        f"/recipes/{piece.version.recipe_id}/",
        "/hours/",
        "/hours/?person=all",
        f"/hours/?person={log.person_id}",
        f"/hours/?week={log.date}&person=all",
        "/hours/new/",
        "/deleted/",
        f"/pieces/{piece.pk}/",
        f"/pieces/{piece.pk}/edit/",
    ]
    pages += [
        f"/projects/{project}/{part}"
        for part in ("", "edit/", "buy/", "steps/", "sheet/", "hours/", "pieces/new/", f"lay/{fabric}/")
    ]
    return pages + [
        f"/search/?q={words}"
        for words in ("Quayside", "choir@example.org", "01632", "Lantern", "late", "Concert")
    ]


def test_no_contact_and_no_others_hours_anywhere_in_a_makers_pages(
    piece: Piece, owner: Person, maker: Person
) -> None:
    """The owner logged 611 minutes, the maker 7: a maker's pages know of 7 alone."""
    theirs = make.log(owner, piece.project, minutes=611, note="drafting alone")
    from projects.models import LabourTotal

    for person, minutes in ((owner, 611), (maker, 7)):
        LabourTotal.objects.create(project=piece.project, person=person, stage="texture", minutes=minutes)
    make.log(maker, piece.project, minutes=7)
    secret = (*CONTACT, "10 h 11", "10 h 18", "drafting alone")
    page, own = signed_in(maker), signed_in(owner)
    for where in everywhere(piece, theirs):
        html = re.sub(
            r'name="csrfmiddlewaretoken" value="\w+"|"X-CSRFToken": "\w+"|value="[0-9a-f-]{36}"',
            "",
            page.get(where).content.decode(),
        )
        html = re.sub(
            r'\bd="[^"]*"|points="[^"]*"|\b[xy][12]?="[^"]*"', "", html
        )  # drawings are full of figures
        asked = where.partition("q=")[2]
        found = [text for text in secret if text in html and not (asked and asked in text)]
        assert not found, f"{where} shows {found}"
    assert "choir@example.org" in own.get(f"/clients/{piece.project.client_id}/").content.decode()
    assert "10 h 18" in own.get(f"/projects/{piece.project_id}/hours/").content.decode()


def test_a_maker_cannot_change_what_others_logged_nor_who_logged(
    piece: Piece, owner: Person, maker: Person
) -> None:
    theirs, mine = make.log(owner, piece.project), make.log(maker, piece.project)
    page = signed_in(maker)
    for where in (f"/hours/{theirs.pk}/edit/", f"/hours/{theirs.pk}/delete/"):
        answer = page.post(where, {"minutes": "1 min", "date": "2026-03-02"})
        assert answer.status_code == 403 and "somebody else" in answer.content.decode()
    answer = page.post(
        f"/hours/{mine.pk}/edit/",
        {
            "minutes": "5 min", "date": "2026-03-02", "person": owner.pk, "reason": "typed wrong",
            "revision": 1,
        },  # fmt: skip
    )
    mine.refresh_from_db()
    assert answer.status_code == 303 and (mine.person, mine.minutes) == (maker, 5)
    answer = page.post("/hours/new/", {"minutes": "5 min", "date": "2026-03-02", "person": owner.pk})
    assert answer.status_code == 303 and LabourLog.objects.order_by("-pk").first().person == maker
    client = piece.project.client
    answer = page.post(
        f"/clients/{client.pk}/edit/",
        {"name": "Quayside Singers", "reference": "QS", "email": "", "notes": "", "revision": 1},
    )
    client.refresh_from_db()
    assert answer.status_code == 303 and (client.name, client.email) == (
        "Quayside Singers",
        "choir@example.org",
    )
