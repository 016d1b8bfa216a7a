"""Out and in by the pages: said before it is done, done once, one's own file only."""

import html
import json
import os
import re
import time
from typing import Any

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from projects.activities.exchange import bring_recipe, nouns, project_text, read_file, waiting
from projects.models import Person, Project, Recipe, Workroom
from tests import make
from tests.conftest import signed_in

pytestmark = pytest.mark.django_db
PLAIN = {"id", "created_at", "changed_at", "deleted_at", "deletion", "revision", "words", "shelf", "held"}
LEFT = {
    "Project": {
        "client", "client_note", "own_settings", "number", "steps_seen", "first_budget", "in_hand_from",
        "in_hand_until",
    },
    "RecipeVersion": {"recipe", "content", "made_by", "made_at"},
    "ClothLength": {"fabric", "cut_from"},
    "ClothFlaw": {"cloth"},
    "Piece": {"project", "fabric", "wadding", "backing", "version"},
    "Panel": {"piece", "cut_by", "kept"},
    "Edge": {"piece", "fabric"},
    "Sample": {"version", "fabric", "content", "person"},
    "OwnStage": {"key", "after"},
    "StepTemplate": {"stage", "order"},
    "Step": {"project", "panel", "key", "done_by", "stage"},
    "LabourLog": {"stage", "person", "entered_by", "project", "step", "removed_at", "seen_at", "gap_from"},
    "Run": {"project", "panel", "edge", "key", "begun_at"},
    "BenchFact": {"run", "op", "also", "undoes", "asked", "person", "worker", "device", "device_at", "at"},
    "LearnedRate": {"person"},
    "Workroom": {
        "name", "time_zone", "first_day", "paper", "public_address", "margin", "tax", "is_demo", "claim_hash",
        "claimed_at", "typed",
    },
}  # fmt: skip
"""Fields that travel by hand, or stay behind."""


def sent(page: Client, text: str, where: str = "project_import") -> Any:
    return page.post(reverse(where), {"file": SimpleUploadedFile("coat.json", text.encode())})


@pytest.fixture
def text(workroom: Workroom) -> str:
    """The file of a project from a studio that squares up by 14 mm; the project is gone."""
    Workroom.objects.update(squaring=14_000_000)
    project = make.project("Lantern <gown>")
    make.piece(project, fabric=make.fabric(), version=make.version())
    found = project_text(Project.objects.get(pk=project.pk))
    Workroom.objects.update(squaring=10_000_000)
    make.deletion(project)
    return found


@pytest.mark.parametrize("noun", [n for n in vars(nouns).values() if isinstance(n, nouns.Noun)])
def test_every_field_of_a_model_travels_or_is_named_as_staying(noun: nouns.Noun) -> None:
    """A field that somebody adds must be thought of here."""
    fields = {field.name for field in noun.model._meta.concrete_fields}
    assert fields - PLAIN == set(noun.names) | LEFT.get(noun.model.__name__, set())


def test_it_is_looked_into_first_and_planned_with_its_own_settings(owner_page: Client, text: str) -> None:
    before = Project.objects.count()
    answer = sent(owner_page, text)
    assert answer.status_code == 303 and Project.objects.count() == before
    shown = html.unescape(owner_page.get(answer["Location"]).content.decode())
    assert "Lantern <gown>" in shown and "1 piece" in shown and "14 mm" in shown and "10 mm" in shown
    assert "photographs" in shown and "client" in shown
    done = owner_page.post(answer["Location"], {"use": "file", "op": ""})
    project = Project.objects.get(title="Lantern <gown>", deleted_at=None)
    assert done["Location"] == reverse("project", args=[project.pk])
    page = owner_page.get(done["Location"]).content.decode()
    assert "Planned with the settings that came with its file" in page
    assert owner_page.get(answer["Location"]).status_code == 404, "the file has gone"


def test_the_basis_can_be_changed_and_changed_back(owner_page: Client, maker_page: Client, text: str) -> None:
    owner_page.post(sent(owner_page, text)["Location"], {"use": "studio"})
    project = Project.objects.get(title="Lantern <gown>", deleted_at=None)
    where = reverse("project_settings", args=[project.pk])
    for use, used in (("file", True), ("file", True), ("studio", False)):
        assert maker_page.post(where, {"use": use}).status_code == 303
        project.refresh_from_db()
        assert project.own_settings and project.own_settings["used"] is used
    assert maker_page.post(where, {"use": "other"}).status_code == 404


def test_a_doubled_yes_brings_one_project(owner_page: Client, text: str) -> None:
    where = sent(owner_page, text)["Location"]
    key = "0b0e7a52-0000-4000-8000-000000000001"
    first = owner_page.post(where, {"use": "file", "op": key})
    again = owner_page.post(where, {"use": "file", "op": key})
    assert first.status_code == 303 and again.status_code in (303, 404)
    assert Project.objects.filter(title="Lantern <gown>", deleted_at=None).count() == 1


def test_a_file_that_was_sent_is_its_senders_own_and_expires(owner: Person, text: str) -> None:
    token = waiting.keep(owner, text.encode())
    other = make.person("ash", role=Person.OWNER)
    where = reverse("project_import_check", args=[token])
    assert signed_in(owner).get(where).status_code == 200
    assert signed_in(other).get(where).status_code == 404
    [path] = (settings.DATA_DIR / "waiting").glob(f"{owner.pk}-{token}.json")
    assert path.stat().st_mode & 0o077 == 0
    old = time.time() - waiting.LASTS - 5
    os.utime(path, (old, old))
    assert signed_in(owner).get(where).status_code == 404


def test_only_the_last_few_files_of_a_person_wait(owner: Person) -> None:
    tokens = [waiting.keep(owner, b"{}") for _ in range(waiting.MOST_EACH + 2)]
    assert sum(waiting.fetch(owner, token) is not None for token in tokens) == waiting.MOST_EACH
    assert waiting.fetch(owner, "../../etc/passwd") is None


def test_a_recipe_goes_out_and_comes_in_once(maker_page: Client, workroom: Workroom) -> None:
    recipe = make.recipe("Spaced tucks", notes="Slowly")
    answer = maker_page.get(reverse("recipe_export", args=[recipe.pk]))
    assert "attachment" in answer["Content-Disposition"]
    text = answer.content.decode()
    assert sent(maker_page, text, "recipe_import")["Location"] == reverse("recipe", args=[recipe.pk])
    assert Recipe.objects.count() == 1
    changed = json.loads(text)
    changed["recipes"][0]["notes"] = "Quickly"
    sent(maker_page, json.dumps(changed), "recipe_import")
    assert list(Recipe.objects.order_by("pk").values_list("name", "notes")) == [
        ("Spaced tucks", "Slowly"), ("Spaced tucks (2)", "Quickly"),
    ]  # fmt: skip


def test_the_example_in_the_help_can_be_brought_in(owner_page: Client) -> None:
    page = owner_page.get("/help/file_format/").content.decode()
    found = re.search(r"<pre[^>]*>(.*?)</pre>", page, re.DOTALL)
    assert found
    brought = bring_recipe(read_file(html.unescape(found[1]).encode()), person=None)
    assert [recipe.name for recipe in brought.recipes] == ["Spaced tucks"]


def test_the_commands_say_what_they_did_and_what_stays(tmp_path: Any, text: str, capsys: Any) -> None:
    there = tmp_path / "gown.json"
    there.write_text(text, encoding="utf-8")
    call_command("import_project", str(there))
    project = Project.objects.get(title="Lantern <gown>", deleted_at=None)
    out = tmp_path / "again.json"
    call_command("export_project", str(project.number), str(out))
    said = capsys.readouterr().out
    assert "Brought in as number" in said and "photographs" in said and "Left behind" in said
    with pytest.raises(CommandError, match="is there already"):
        call_command("export_project", str(project.number), str(out))
    with pytest.raises(CommandError, match="import_project"):
        call_command("import_recipe", str(out))
    (tmp_path / "bad.json").write_bytes(b"[" * 900)
    with pytest.raises(CommandError, match=r"Nothing was saved\."):
        call_command("import_project", str(tmp_path / "bad.json"))
    with pytest.raises(CommandError, match="can't be read"):
        call_command("import_project", str(tmp_path / "nowhere.json"))


def test_a_project_that_is_here_already_is_named_before_it_comes_twice(owner_page: Client) -> None:
    project = make.project("Concert coat")
    sent = SimpleUploadedFile("p.json", project_text(project).encode(), "application/json")
    answer = owner_page.post(reverse("project_import"), {"file": sent})
    page = owner_page.get(answer["Location"]).content.decode()
    assert "of this title is here already" in page and f"number {project.number}</a>" in page
    Project.objects.filter(pk=project.pk).update(title="Another coat")
    assert "of this title" not in owner_page.get(answer["Location"]).content.decode()
