"""Files that must not come in: a plain reason with its place, and nothing saved."""

import copy
import json
from typing import Any

import pytest
from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from projects.activities import panels, pieces
from projects.activities.exchange import Unreadable, bring_project, project_text, read_file
from projects.activities.exchange.bytes import LARGEST
from projects.models import Person, Project
from tests import make
from tests.make import MM

from .studios import NOW

pytestmark = pytest.mark.django_db


@pytest.fixture
def good(owner: Person) -> dict[str, Any]:
    """The file of a small project with something of everything."""
    cloth, version = make.fabric(grams="92.0"), make.version()
    project = make.project()
    make.length(cloth)
    make.sample(version, cloth)
    values = {"name": "Front", "across": 300 * MM, "along": 300 * MM, "fabric": cloth, "version": version}
    piece = pieces.create_piece(project=project, values=values)
    panels.book_cut(piece.panels.get(), person=owner, now=NOW)
    make.step(project)
    make.log(owner, project)
    return json.loads(project_text(Project.objects.get(pk=project.pk)))


def changed(file: dict[str, Any], path: str, value: Any) -> bytes:
    """The file with one entry changed; ``...`` takes it out."""
    found = copy.deepcopy(file)
    *way, last = [int(part) if part.isdecimal() else part for part in path.split(".")]
    at: Any = found
    for part in way:
        at = at[part]
    if value is ...:
        del at[last]
    else:
        at[last] = value
    return json.dumps(found).encode()


def refusal(data: bytes) -> str:
    """Why a file is refused, by its reader or when it is brought in; nothing is saved."""
    before = everything()
    with pytest.raises(Unreadable) as caught:
        bring_project(read_file(data), person=None, own=True)
    assert everything() == before
    return str(caught.value)


def everything() -> list[int]:
    return [model._base_manager.count() for model in apps.get_app_config("projects").get_models()]


def test_the_good_file_comes_in(good: dict[str, Any]) -> None:
    assert bring_project(read_file(json.dumps(good).encode()), person=None, own=True).project


AT = "2026-03-02T09:30:00Z"
WRONG: list[tuple[str, Any, str]] = [
    ("format", 5, "format: 5 was given, format 4 or an earlier one was expected"),
    ("format", True, "format: true was given"),
    ("foldwright", "stash", "foldwright: The text “stash” was given"),
    ("pieces.0.across_nm", "12", "pieces[0].across_nm: The text “12” was given, a whole number was expected"),
    ("pieces.0.across_nm", ..., "pieces[0].across_nm: Nothing was given"),
    ("pieces.0.across_nm", -5, "pieces[0].across_nm: -5 was given"),
    ("pieces.0.across_nm", 10**17, "pieces[0].across_nm: 100000000000000000 was given"),
    ("pieces.0.across_nm", None, "pieces[0].across_nm: Nothing was given"),
    ("pieces.0.name", 5, "pieces[0].name: 5 was given, a text was expected"),
    ("pieces.0.name", "", "pieces[0].name: An empty text was given"),
    ("pieces.0.name", "x" * 5000, "pieces[0].name: A text of 5\N{NO-BREAK SPACE}000 characters was given"),
    ("pieces.0.name", "a\x00b", "pieces[0].name: A text with a character that can't be kept"),
    ("pieces.0.name", "\ud800", "pieces[0].name: A text with a character that can't be kept"),
    ("pieces.0.fabric", "f99", "pieces[0].fabric: The text “f99” was given, the id of one of the fabrics"),
    ("pieces.0.fabric", ["f1"], "pieces[0].fabric: A list of 1 entries was given"),
    ("pieces.0.version", "v7", "pieces[0].version: The text “v7” was given"),
    ("pieces.0.count", 4000, "pieces[0].count: 4000 was given"),
    ("pieces.0.mirrored", True, "pieces[0].count: 1 was given, an even number"),
    ("pieces.0.id", "p0x", "pieces[0].id: The text “p0x” was given"),
    ("pieces.0.typed", {"across": "ell"}, "pieces[0].typed.across: The text “ell” was given"),
    ("pieces.0.margin_at", "left", "pieces[0].margin_at: The text “left” was given, one of:"),
    ("pieces.0.extra", 1, "pieces[0].extra: An entry nobody knows was given"),
    ("pieces", {}, "pieces: An object of 0 entries was given, a list was expected"),
    ("pieces", [1] * 100_000, "pieces: A list of 100\u00a0000 entries was given, at most 300 was expected"),
    ("pieces.0.panels.0.kept.across.length_nm", "5", "pieces[0].panels[0].kept: Something of the wrong kind"),
    ("pieces.0.panels.0.kept.across", ..., "pieces[0].panels[0].kept: Nothing under the name"),
    ("pieces.0.panels.0.kept.across", 5, "pieces[0].panels[0].kept: Something"),
    ("pieces.0.panels.0.kept.format", 99, "pieces[0].panels[0].kept"),
    ("pieces.0.panels.0.kept.across.axis.seams_nm.0", None, "pieces[0].panels[0].kept: Something of"),
    ("pieces.0.panels.0.kept.hand", [], "pieces[0].panels[0].kept: Something of the wrong kind in hand"),
    ("pieces.0.panels.0.kept.extra", 1, "pieces[0].panels[0].kept: Numbers that do not read back"),
    ("pieces.0.panels.0.cut_at", "yesterday", "pieces[0].panels[0].cut_at: The text “yesterday” was given"),
    ("pieces.0.panels.0.number", 0, "pieces[0].panels[0].number: 0 was given"),
    ("fabrics.0.grams", 92, "fabrics[0].grams: 92 was given, a decimal as a text"),
    ("fabrics.0.grams", "NaN", "fabrics[0].grams: The text “NaN” was given"),
    ("fabrics.0.grams", "1e9", "fabrics[0].grams"),
    ("fabrics.0.grams", "0.5", "fabrics[0].grams"),
    ("fabrics.0.light", "1.5", "fabrics[0].light"),
    ("fabrics.0.width_nm", 0, "fabrics[0].width_nm: 0 was given"),
    ("lengths.0.available", -1, "lengths[0].available: -1 was given"),
    ("lengths.0.lines", [{"kind": "reserved", "amount": -9 * 10**12, "at": AT, "note": ""}],
     "lengths[0].lines: Lines that reserve"),
    ("lengths.0.lines", [{"kind": "cut", "amount": 5, "at": "2026-03-02T09:30:00Z", "note": ""}],
     "lengths[0].lines[0].amount: 5 cut was given"),
    ("lengths.0.lines", [{"kind": "burnt", "amount": 5, "at": "", "note": ""}], "lengths[0].lines[0].kind"),
    ("recipes.0.versions.0.content.across.tucks.0.depth_nm", "x", "recipes[0].versions[0].content.across"),
    ("recipes.0.versions.0.content.format", 9, "recipes[0].versions[0].content.format"),
    ("recipes.0.versions", [], "recipes[0].versions"),
    ("samples.0.across_finished_nm", 10**10, "samples[0].across_finished"),
    ("samples.0.version", "r1", "samples[0].version: The text “r1” was given"),
    ("steps.0.key", "p9.1:sew:across:1", "steps[0].key: The text “p9.1:sew:across:1” was given"),
    ("steps.0.key", "12.1:sew:across:1", "steps[0].key"),
    ("steps.0.key", "nonsense", "steps[0].key"),
    ("steps.0.place", "inf", "steps[0].place"),
    ("steps.0.state", "half", "steps[0].state"),
    ("hours.0.minutes", 0, "hours[0].minutes: 0 was given"),
    ("hours.0.minutes", None, "hours[0].minutes: Nothing was given"),
    ("hours.0.worker", "", "hours[0].worker: An empty text was given"),
    ("hours.0.date", "2026-02-30", "hours[0].date: The text “2026-02-30” was given"),
    ("settings.rates", {"knots": "1"}, "settings.rates: Minutes for knots was given"),
    ("settings.currency", "pounds", "settings.currency"),
    ("settings.squaring_nm", 10**12, "settings.squaring_nm"),
    ("project.number", 0, "project.number: 0 was given"),
    ("project.washing", "boiled", "project.washing: The text “boiled” was given"),
    ("project.due", "soon", "project.due: The text “soon” was given"),
    ("project", [], "project: A list of 0 entries was given"),
]  # fmt: skip


@pytest.mark.parametrize(("path", "value", "wanted"), WRONG, ids=[f"{p}={str(v)[:20]}" for p, v, _ in WRONG])
def test_one_wrong_entry_is_named(good: dict[str, Any], path: str, value: Any, wanted: str) -> None:
    assert refusal(changed(good, path, value)).startswith(wanted)


BYTES = {
    "empty": b"", "not_text": bytes(range(256)), "not_json": b"{'a': 1}", "cut_short": b'{"foldwright": "pro',
    "deep": b"[" * 200_000, "deep_closed": b"[" * 5_000 + b"]" * 5_000, "nan": b'{"foldwright": NaN}',
    "infinite": b'{"foldwright": -Infinity}', "huge_number": b'{"format": ' + b"9" * 5_000 + b"}",
    "twice": b'{"foldwright": "project", "foldwright": "recipe"}', "fraction": b'{"format": 1.0}',
    "list": b"[]", "many": b"[" + b"0," * 700_000 + b"0]", "boxes": b"[" + b"[]," * 300_000 + b"[]]",
    "quotes": b'"' + b'\\"' * 2_000_000, "mark": b"\xef\xbb\xbf[]", "null": b"null",
    "large": b" " * (LARGEST + 1),
}  # fmt: skip


@pytest.mark.parametrize("name", BYTES)
def test_hostile_bytes_are_refused_in_plain_words(name: str) -> None:
    said = refusal(BYTES[name])
    assert "was given" in said and "was expected" in said and len(said) < 400


def test_every_entry_may_be_anything_and_nothing_breaks(good: dict[str, Any]) -> None:
    """Each leaf in turn replaced by what is not meant there: refused or taken in, never anything else."""
    odd: tuple[Any, ...] = (None, "", "x", -1, 10**17, True, [], {}, [[]], ...)
    ways = list(leaves(good))
    for number, way in enumerate(ways):
        data = changed(good, way, odd[number % len(odd)])
        try:
            file = read_file(data)
        except Unreadable:
            continue
        assert file.kind == "project"


def leaves(value: Any, way: str = "") -> Any:
    entries = (
        value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    )
    for key, entry in entries:
        here = f"{way}.{key}" if way else str(key)
        if "." not in str(key):
            yield here
            yield from leaves(entry, here)


def sent(page: Client, data: bytes, where: str = "/projects/import/") -> Any:
    return page.post(where, {"file": SimpleUploadedFile("p.json", data), "op": ""})


@pytest.mark.parametrize("name", ["empty", "not_json", "deep", "large", "list", "twice"])
@pytest.mark.parametrize("where", ["/projects/import/", "/recipes/import/"])
def test_the_page_says_why_and_saves_nothing(owner_page: Client, name: str, where: str) -> None:
    before = everything()
    answer = sent(owner_page, BYTES[name], where)
    assert answer.status_code in (413, 422) and everything() == before


def test_a_project_is_no_recipe(good: dict[str, Any], owner_page: Client) -> None:
    answer = sent(owner_page, json.dumps(good).encode(), "/recipes/import/")
    assert answer.status_code == 422 and b"bring it in among the projects" in answer.content
