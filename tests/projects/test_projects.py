"""Projects: started, changed, moved between states, copied, deleted and brought back."""

import uuid
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from projects.activities import projects as activity
from projects.activities.pieces import create_piece
from projects.models import Client, Deletion, LabourTotal, NotionNeed, Panel, Piece, Project, Step
from tests import make

pytestmark = pytest.mark.django_db
TYPED = {"title": "Concert coat", "washing": "before", "brief": "For the spring concert"}
MM = make.MM


def test_a_new_project_gets_the_next_number_and_a_new_client(owner_page):
    make.project(number=41)
    answer = owner_page.post(
        reverse("project_new"), {**TYPED, "new_client": "Quayside Choir", "due": "2026-05-30"}
    )
    project = Project.objects.get(title="Concert coat", state="asked")
    assert answer["Location"] == reverse("project", args=[project.pk])
    assert (project.number, project.client.name, str(project.due)) == (42, "Quayside Choir", "2026-05-30")


def test_a_number_taken_meanwhile_is_passed_over(owner, monkeypatch):
    make.project(number=7)
    seen = []

    def slow(**kwargs):
        most = Project.objects.order_by("-number").first().number
        seen.append(most)
        return {"most": most - 1 if len(seen) == 1 else most}

    monkeypatch.setattr(Project.objects, "aggregate", slow)
    project = activity.create_project(values={"title": "Capelet"}, person=owner)
    assert project.number == 8
    assert len(seen) == 2


def test_a_doubled_post_makes_one_project_and_one_client(owner_page):
    typed = {**TYPED, "new_client": "Quayside Choir", "op": str(uuid.uuid4())}
    answers = [owner_page.post(reverse("project_new"), typed) for _ in range(2)]
    assert (Project.objects.count(), Client.objects.count()) == (1, 1)
    assert answers[0]["Location"] == answers[1]["Location"]


@pytest.mark.parametrize(
    "wrong",
    [
        {"title": ""},
        {"title": "x" * 10_000},
        {"due": "30 febr"},
        {"due": "0026-01-01"},
        {"washing": "boiled"},
        {"client": "999"},
        {"client": "abc"},
        {"new_client": "n" * 500},
        {"brief": "b" * 20_001},
        {"title": "a\x00b"},
    ],
)
def test_what_can_not_be_stays_on_the_page(owner_page, wrong):
    answer = owner_page.post(reverse("project_new"), {**TYPED, **wrong})
    assert answer.status_code == 422
    assert "For the spring concert" in answer.content.decode() or "brief" in wrong
    assert not Project.objects.exists()
    assert not Client.objects.exists()


def test_a_client_chosen_and_a_new_name_typed_is_refused(owner_page):
    client = make.client()
    answer = owner_page.post(reverse("project_new"), {**TYPED, "client": client.pk, "new_client": "Another"})
    assert answer.status_code == 422
    assert "not both" in answer.content.decode()


def test_a_stale_edit_shows_both_and_keeps_what_was_typed(owner_page):
    project = make.project("Concert coat", brief="first words")
    typed = {**TYPED, "title": "Concert coat, long", "brief": "my words", "revision": project.revision}
    Project.objects.update(brief="their words", revision=2)
    answer = owner_page.post(reverse("project_edit", args=[project.pk]), typed)
    shown = answer.content.decode()
    assert answer.status_code == 409
    assert all(words in shown for words in ("their words", "my words", "Concert coat, long", 'value="2"'))
    project.refresh_from_db()
    assert project.brief == "their words"
    again = owner_page.post(reverse("project_edit", args=[project.pk]), {**typed, "revision": 2})
    project.refresh_from_db()
    assert (again.status_code, project.brief, project.revision) == (303, "my words", 3)


def test_an_untouched_form_writes_nothing(owner_page):
    project = make.project("Concert coat", brief="For the spring concert")
    owner_page.post(reverse("project_edit", args=[project.pk]), {**TYPED, "revision": 1})
    project.refresh_from_db()
    assert project.revision == 1


def test_states_are_posted_and_only_those_there_are(owner_page):
    project = make.project(state="asked")
    assert (
        owner_page.post(reverse("project_state", args=[project.pk]), {"state": "in_hand"}).status_code == 303
    )
    assert owner_page.post(reverse("project_state", args=[project.pk]), {"state": "lost"}).status_code == 404
    project.refresh_from_db()
    assert project.state == "in_hand"


def test_copy_takes_pieces_and_notions_but_no_work(owner_page, owner):
    project = make.project("Concert coat", brief="As before", client=make.client(), due=timezone.localdate())
    piece = create_piece(
        project=project,
        values={
            "name": "Front",
            "across": 300 * MM,
            "along": 600 * MM,
            "count": 2,
            "mirrored": True,
            "version": make.version(),
            "typed": {"across": "in"},
        },
    )
    Panel.objects.filter(piece=piece, number=1).update(cut_at=timezone.now())
    make.step(project, state="done")
    make.log(owner, project)
    LabourTotal.objects.create(project=project, person=owner, stage="cut", minutes=60)
    NotionNeed.objects.create(project=project, notion=make.notion(), amount=3000, why="cuffs")
    owner_page.post(reverse("project_copy", args=[project.pk]))
    copied = Project.objects.latest("pk")
    found = copied.pieces.get()
    assert (copied.title, copied.brief, copied.due, copied.state) == (
        "Concert coat (copy)",
        "As before",
        None,
        "asked",
    )
    assert (found.name, found.across, found.version_id, found.typed) == (
        "Front",
        300 * MM,
        piece.version_id,
        {"across": "in"},
    )
    assert [panel.cut_at for panel in found.panels.all()] == [None, None]
    assert copied.notion_needs.get().amount == 3000
    assert not Step.objects.filter(project=copied).exists()
    assert not copied.labour.exists() and not copied.labour_totals.exists()


def test_a_long_title_is_still_copied(owner_page):
    project = make.project("t" * 200)
    assert owner_page.post(reverse("project_copy", args=[project.pk])).status_code == 303
    assert len(Project.objects.latest("pk").title) == 200


def test_a_project_and_its_pieces_go_and_come_back_together(owner_page, owner):
    project = make.project()
    kept, gone = make.piece(project), make.piece(project, name="Gone before")
    make.deletion(gone, by=owner)
    page = owner_page.post(reverse("project_delete", args=[project.pk]), follow=True)
    deletion = Deletion.objects.latest("pk")
    assert not Project.objects.live().exists() and not Piece.objects.live().exists()
    assert owner_page.get(reverse("piece", args=[kept.pk])).status_code == 404
    assert reverse("restore", args=[deletion.pk]) in page.content.decode()
    owner_page.post(reverse("restore", args=[deletion.pk]))
    assert Project.objects.live().get() == project
    assert list(Piece.objects.live()) == [kept]


def test_due_dates_speak_plainly(owner_page):
    today = timezone.localdate()
    for days, words in (
        (12, "In 12 days"),
        (1, "Tomorrow"),
        (0, "Today"),
        (-1, "1 day late"),
        (-3, "3 days late"),
    ):
        project = make.project(due=today + timedelta(days=days))
        assert words in owner_page.get(reverse("project", args=[project.pk])).content.decode()


def test_a_maker_sees_own_hours_only(maker_page, owner, maker):
    project = make.project()
    LabourTotal.objects.create(project=project, person=owner, stage="cut", minutes=4000)
    LabourTotal.objects.create(project=project, person=maker, stage="cut", minutes=95)
    for address in (reverse("project", args=[project.pk]), reverse("projects")):
        shown = maker_page.get(address).content.decode()
        assert "1 h 35 min" in shown
        assert "66 h 40 min" not in shown and "68 h 15 min" not in shown


CHANGING = ["project_state", "project_copy", "project_delete"]


@pytest.mark.parametrize("name", CHANGING)
def test_changes_are_posted(owner_page, name):
    project = make.project()
    assert owner_page.get(reverse(name, args=[project.pk])).status_code == 405


@pytest.mark.parametrize("name", [*CHANGING, "project_edit", "project_buy", "piece_new", "piece_new_preview"])
def test_a_missing_project_is_404(owner_page, name):
    assert owner_page.post(reverse(name, args=[987654]), {"state": "asked"}).status_code == 404


@pytest.mark.parametrize(
    "address",
    [
        "/projects/abc/",
        "/projects/-1/edit/",
        "/pieces/x/",
        "/clients/1.5/",
        "/projects/?state=lost",
        f"/projects/{10**30}/",
        f"/pieces/{10**30}/",
        f"/clients/{10**30}/edit/",
    ],
)
def test_a_malformed_address_is_404(owner_page, address):
    assert owner_page.get(address).status_code == 404


@pytest.mark.parametrize("name", ["project", "projects", "clients", "today"])
def test_pages_that_show_take_no_posts(owner_page, name):
    args = [make.project().pk] if name == "project" else []
    assert owner_page.post(reverse(name, args=args)).status_code == 405


def pieces_of(project):
    return [piece.name for piece in Piece.objects.live().filter(project=project)]


def test_pieces_change_places_with_their_neighbours(owner_page):
    project = make.project()
    front, yoke, collar = (make.piece(project, name=name) for name in ("Front", "Yoke", "Collar"))
    make.piece(project, name="Gone", deleted_at=timezone.now())
    other = make.piece(make.project("Bag"), name="Flap")
    answer = owner_page.post(reverse("piece_move", args=[collar.pk]), {"to": "earlier"})
    assert answer.status_code == 303
    assert answer["Location"] == reverse("project", args=[project.pk]) + "#pieces"
    assert pieces_of(project) == ["Front", "Collar", "Yoke"]
    owner_page.post(reverse("piece_move", args=[front.pk]), {"to": "later"})
    assert pieces_of(project) == ["Collar", "Front", "Yoke"]
    owner_page.post(reverse("piece_move", args=[yoke.pk]), {"to": "later"})
    owner_page.post(reverse("piece_move", args=[collar.pk]), {"to": "earlier"})
    assert pieces_of(project) == ["Collar", "Front", "Yoke"]
    assert [p.revision for p in Piece.objects.live().filter(project=project)] == [1, 1, 1]
    other.refresh_from_db()
    assert other.order == 0


def test_a_doubled_tap_moves_a_piece_once(owner_page):
    project = make.project()
    first = [make.piece(project, name=name) for name in "ABC"][0]
    posted = {"to": "later", "op": "2f0c7b1e-7d58-4a33-9d2a-6f6e3f0b8a11"}
    for _ in range(2):
        assert owner_page.post(reverse("piece_move", args=[first.pk]), posted).status_code == 303
    assert pieces_of(project) == ["B", "A", "C"]


def test_a_piece_moves_only_earlier_or_later(owner_page):
    piece = make.piece()
    assert owner_page.post(reverse("piece_move", args=[piece.pk]), {"to": "away"}).status_code == 404


def test_moves_are_offered_where_they_lead_somewhere(owner_page):
    project = make.project()
    make.piece(project, name="Front")
    where = reverse("project", args=[project.pk])
    assert 'name="to"' not in owner_page.get(where).content.decode()
    make.piece(project, name="Yoke")
    page = owner_page.get(where).content.decode()
    assert page.count('value="later"') == page.count('value="earlier"') == 1


def test_a_missing_page_leads_to_what_was_deleted(maker_page, client):
    deleted = reverse("deleted")
    assert deleted in maker_page.get("/projects/999999/").text
    assert deleted not in client.get("/no-such-page/").text
