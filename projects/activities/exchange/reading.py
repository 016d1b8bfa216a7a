"""A file read whole before anything is saved: every entry checked, every id found."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from decimal import Decimal
from typing import Any

from projects.activities.workroom import PARTS
from projects.calc.recipe import Recipe as Content
from projects.calc.units import grouped

from . import nouns, values
from .budget_rows import read_first
from .bytes import decode
from .errors import at, refuse, wrong
from .hand_rows import read_hand
from .kept_values import check_kept
from .lay_rows import read_flaw, read_lay
from .learned_rows import read_learned
from .nouns import Noun, read_row
from .older import as_now
from .own_work import read_named, read_stage, read_template
from .rows import PROJECT, RECIPE, File, Row
from .run_rows import MOST_FACTS, read_run
from .stock_lines import KEYS as STOCK_KEYS
from .stock_lines import read_stock

FORMAT = 4
"""Earlier formats are still read: 1 had one cloth in each lay and no flaws; 2 had no runs at the bench, no
kind of work, no order of sewing, no rework, and nothing that logs taught; 3 had no stages and steps of the
studio's own, no time budget of the beginning, and nothing that check measures showed of hands."""
MOST = {
    "recipes": 1_000, "versions": 500, "fabrics": 2_000, "lengths": 5_000, "notions": 1_000, "samples": 5_000,
    "pieces": 300, "panels": 99, "edges": 60, "needs": 1_000, "lays": 500, "steps": 20_000, "hours": 50_000,
    "other_costs": 1_000, "flaws": 500, "runs": 3_000, "learned": 2_000, "hands": 5_000, "stages": 500,
    "templates": 1_000,
}  # fmt: skip
MOST_PANELS = 3_000
BENEATH = ("wadding", "backing")
"""Fabrics under a quilted piece, which a file names only where they are chosen."""
MOST_MINOR = 10**14


def read_file(data: bytes) -> File:
    """Raises Unreadable, and nothing else, whatever was given."""
    given = decode(data)
    if not isinstance(given, dict):
        wrong("", given, "a file written by Foldwright")
    kind = given.get("foldwright")
    if kind not in (PROJECT, RECIPE):
        wrong("foldwright", kind, "project or recipe", "Choose a file that Foldwright has written.")
    number = given.get("format")
    if isinstance(number, bool) or not isinstance(number, int) or not 1 <= number <= FORMAT:
        wrong(
            "format", number, f"format {FORMAT} or an earlier one",
            "A later version of the program wrote it: update this one, or export it again from this one.",
        )  # fmt: skip
    if number < FORMAT:
        given = as_now(given)
    return _Reader().recipe(given) if kind == RECIPE else _Reader().project(given)


TOP = ("foldwright", "format")
LISTS = (
    "recipes", "fabrics", "lengths", "notions", "samples", "hands", "pieces", "needs", "lays", "stages",
    "templates", "steps", "hours", "runs", "other_costs",
)  # fmt: skip


class _Reader:
    """Reads lists in such an order that what a row names has been read before it."""

    def __init__(self) -> None:
        self.versions = values.Ids("versions", "v")
        self.ids = {
            name: values.Ids(name, letter)
            for name, letter in {
                "recipes": "r", "fabrics": "f", "lengths": "l", "notions": "n", "pieces": "p", "panels": "c",
                "edges": "e", "steps": "s", "stages": "o", "templates": "t",
            }.items()
        }  # fmt: skip
        self.rows: dict[str, list[Row]] = {}

    def recipe(self, given: dict[str, Any]) -> File:
        values.an_object("", given, (*TOP, "recipes"))
        found = self._list(given, "recipes", self._recipe)
        if len(found) != 1:
            refuse("recipes", f"{len(found)} recipes", "one recipe", "Export one recipe at a time.")
        return File(RECIPE, found)

    def project(self, given: dict[str, Any]) -> File:
        values.an_object("", given, (*TOP, "project", "settings", *LISTS), may=("other_costs",))
        file = File(PROJECT)
        file.project = self._project(given["project"])
        file.settings, file.rates, file.learned = self._settings(given["settings"])
        readers: dict[str, Callable[[str, Any], Row]] = {
            "recipes": self._recipe, "fabrics": self._fabric, "lengths": self._length,
            "notions": self._notion, "samples": self._sample, "pieces": self._piece, "needs": self._need,
            "lays": self._lay, "steps": self._step, "hours": self._log, "runs": self._run,
            "other_costs": self._cost, "hands": self._hand, "stages": self._stage,
            "templates": self._template,
        }  # fmt: skip
        file.rows = {name: self._list(given, name, readers[name]) for name in LISTS}
        self._cut_from(given["lengths"], file.rows["lengths"])
        budget = read_first("project.first_budget", given["project"]["first_budget"], self.ids["stages"])
        file.project.parts["first_budget"] = [budget]
        file.recipes = file.rows["recipes"]
        named = ("pieces", "fabrics", "edges", "templates")
        file.by_id = {ident: row for name in named for ident, row in self.ids[name].rows.items()}
        self._check(file)
        return file

    def _list(
        self, given: dict[str, Any], name: str, read: Callable[[str, Any], Row], within: str = ""
    ) -> list[Row]:
        return self._rows(within + name, given.get(name, []), name, read)

    def _rows(self, place: str, given: Any, name: str, read: Callable[[str, Any], Row]) -> list[Row]:
        rows = values.a_list(place, given, MOST[name])
        return [read(f"{place}[{number}]", row) for number, row in enumerate(rows)]

    def _row(
        self, name: str, noun: Noun, place: str, given: Any, also: Iterable[str] = (), may: Iterable[str] = ()
    ) -> Row:
        """A row with an id of its own."""
        row = Row(place, read_row(noun, place, given, ("id", *also), may))
        self.ids[name].add(place, given["id"], row)
        return row

    def _project(self, given: Any) -> Row:
        row = Row("project", read_row(nouns.PROJECT, "project", given, ("number", "first_budget")))
        row.values["number"] = values.whole("project.number", given["number"], 1, 2_000_000_000)
        return row

    def _settings(self, given: Any) -> tuple[dict[str, Any], dict[str, Decimal], list[dict[str, Any]]]:
        found = read_row(nouns.SETTINGS, "settings", given, ("rates", "learned"))
        currency = found["currency"]
        if len(currency) != 3 or not (currency.isascii() and currency.isalpha() and currency.isupper()):
            wrong("settings.currency", currency, "three capital letters, such as EUR")
        if not isinstance(given["rates"], dict):
            wrong("settings.rates", given["rates"], "an object of minutes by what they are for")
        rates = {}
        for driver, minutes in given["rates"].items():
            if driver not in PARTS:
                refuse(
                    "settings.rates", f"Minutes for {driver[:40]}", "what this program counts", "Take it out."
                )
            rates[driver] = values.decimal(f"settings.rates.{driver}", minutes, 8, 3)
            if rates[driver] < 0:
                wrong(f"settings.rates.{driver}", minutes, "minutes, 0 or more")
        learned = [row.values for row in self._list(given, "learned", read_learned, "settings.")]
        return found, rates, learned

    def _recipe(self, place: str, given: Any) -> Row:
        row = self._row("recipes", nouns.RECIPE, place, given, ("versions",))
        row.parts["versions"] = self._rows(f"{place}.versions", given["versions"], "versions", self._version)
        numbers = [version.values["number"] for version in row.parts["versions"]]
        if not numbers or len(set(numbers)) < len(numbers):
            refuse(f"{place}.versions", f"Versions {numbers[:10]}", "at least one, each with its own number")
        return row

    def _version(self, place: str, given: Any) -> Row:
        row = Row(place, read_row(nouns.VERSION, place, given, ("id", "content")))
        row.content = _content(f"{place}.content", given["content"])
        self.versions.add(place, given["id"], row)
        return row

    def _fabric(self, place: str, given: Any) -> Row:
        return self._row("fabrics", nouns.FABRIC, place, given)

    def _length(self, place: str, given: Any) -> Row:
        names = ("fabric", "deleted", "cut_from", "flaws", *STOCK_KEYS)
        row = self._row("lengths", nouns.LENGTH, place, given, names)
        row.parts["flaws"] = self._rows(f"{place}.flaws", given["flaws"], "flaws", read_flaw)
        row.links["fabric"] = self.ids["fabrics"].find(f"{place}.fabric", given["fabric"])
        row.content = values.flag(f"{place}.deleted", given["deleted"])
        row.stock = read_stock(place, given)
        return row

    def _cut_from(self, given: list[Any], rows: list[Row]) -> None:
        """A remnant may stand before the length it was cut from."""
        for length, row in zip(given, rows, strict=True):
            place = f"{row.place}.cut_from"
            row.links["cut_from"] = found = self.ids["lengths"].find_or_none(place, length["cut_from"])
            if found is row:
                wrong(place, length["cut_from"], "another length")

    def _notion(self, place: str, given: Any) -> Row:
        row = self._row("notions", nouns.NOTION, place, given, STOCK_KEYS)
        row.stock = read_stock(place, given)
        return row

    def _sample(self, place: str, given: Any) -> Row:
        row = Row(place, read_row(nouns.SAMPLE, place, given, ("version", "fabric", "content")))
        row.links["version"] = self.versions.find(f"{place}.version", given["version"])
        row.links["fabric"] = self.ids["fabrics"].find(f"{place}.fabric", given["fabric"])
        row.content = _content(f"{place}.content", given["content"])
        return row

    def _piece(self, place: str, given: Any) -> Row:
        row = self._row(
            "pieces", nouns.PIECE, place, given, ("fabric", "version", "panels", "edges", *BENEATH),
            ("panels", "edges", *BENEATH),
        )  # fmt: skip
        row.links["fabric"] = self.ids["fabrics"].find_or_none(f"{place}.fabric", given["fabric"])
        for name in BENEATH:
            row.links[name] = self.ids["fabrics"].find_or_none(f"{place}.{name}", given.get(name))
        row.links["version"] = self.versions.find_or_none(f"{place}.version", given["version"])
        if row.values["mirrored"] and row.values["count"] % 2:
            wrong(f"{place}.count", row.values["count"], "an even number, since it is a pair")
        row.parts["panels"] = self._rows(f"{place}.panels", given.get("panels", []), "panels", self._panel)
        numbers = [panel.values["number"] for panel in row.parts["panels"]]
        if len(set(numbers)) < len(numbers):
            refuse(f"{place}.panels", "Two panels of one number", "each with a number of its own")
        row.parts["edges"] = self._rows(f"{place}.edges", given.get("edges", []), "edges", self._edge)
        return row

    def _panel(self, place: str, given: Any) -> Row:
        row = self._row("panels", nouns.PANEL, place, given, ("kept",))
        if given["kept"] is None:
            return row
        if not isinstance(given["kept"], dict) or row.values["cut_at"] is None:
            wrong(f"{place}.kept", given["kept"], "the numbers of a panel that is cut, or null")
        row.links["fabric"] = self.ids["fabrics"].find_or_none(
            f"{place}.kept.fabric", given["kept"].get("fabric")
        )
        row.content = {**given["kept"], "fabric": None}
        check_kept(f"{place}.kept", row.content)
        return row

    def _edge(self, place: str, given: Any) -> Row:
        row = self._row("edges", nouns.EDGE, place, given, ("fabric",))
        row.links["fabric"] = self.ids["fabrics"].find_or_none(f"{place}.fabric", given["fabric"])
        return row

    def _need(self, place: str, given: Any) -> Row:
        values.an_object(place, given, ("notion", "thousandths", "why"))
        row = Row(place)
        row.links["notion"] = self.ids["notions"].find(f"{place}.notion", given["notion"])
        row.values["amount"] = values.whole(f"{place}.thousandths", given["thousandths"], 1, 10**13)
        row.values["why"] = values.text(f"{place}.why", given["why"], 200)
        return row

    def _lay(self, place: str, given: Any) -> Row:
        return read_lay(place, given, self.ids["fabrics"], self.ids["lengths"])

    def _hand(self, place: str, given: Any) -> Row:
        return read_hand(place, given, self.ids["fabrics"])

    def _stage(self, place: str, given: Any) -> Row:
        return read_stage(place, given, self.ids["stages"])

    def _template(self, place: str, given: Any) -> Row:
        return read_template(place, given, self.ids["templates"], self.ids["stages"])

    def _step(self, place: str, given: Any) -> Row:
        row = self._row("steps", nouns.STEP, place, given, ("panel", "key", "stage"))
        read_named(row, "stage", given, self.ids["stages"])
        row.links["panel"] = self.ids["panels"].find_or_none(f"{place}.panel", given["panel"])
        row.content = (
            None if given["key"] is None else values.text(f"{place}.key", given["key"], 120, needed=True)
        )
        return row

    def _log(self, place: str, given: Any) -> Row:
        row = Row(place, read_row(nouns.LOG, place, given, ("step", "stage")))
        read_named(row, "stage", given, self.ids["stages"], blank=True)
        row.links["step"] = self.ids["steps"].find_or_none(f"{place}.step", given["step"])
        if row.values["minutes"] is None:
            refuse(f"{place}.minutes", "Nothing", "minutes worked", "Take a timer that still runs out.")
        return row

    def _run(self, place: str, given: Any) -> Row:
        return read_run(place, given, self.ids["panels"], self.ids["edges"])

    def _cost(self, place: str, given: Any) -> Row:
        values.an_object(place, given, ("what", "amount"))
        what = values.text(f"{place}.what", given["what"], 120, needed=True)
        return Row(
            place, {"what": what, "amount": values.whole(f"{place}.amount", given["amount"], 0, MOST_MINOR)}
        )

    def _check(self, file: File) -> None:
        """What only the whole file can tell."""
        panels = sum(max(p.values["count"], len(p.parts["panels"])) for p in file.rows["pieces"])
        if panels > MOST_PANELS:
            most = f"at most {grouped(MOST_PANELS)}"
            refuse("pieces", f"{grouped(panels)} panels in all", most, "Split the project.")
        living = [row.values["title"] for row in file.rows["stages"] if not row.content]
        _each_once("stages", "title", [title.strip().casefold() for title in living])
        _each_once("steps", "key", [row.content for row in file.rows["steps"] if row.content is not None])
        _each_once("runs", "key", [row.content[0] for row in file.rows["runs"]])
        facts = [fact for row in file.rows["runs"] for fact in row.parts["facts"]]
        _each_once("runs", "op", [fact.values["op"] for fact in facts])
        if len(facts) > MOST_FACTS:
            most = f"at most {grouped(MOST_FACTS)}"
            refuse("runs", f"{grouped(len(facts))} facts in all", most, "Split the project.")
        _each_once("lays", "fabric", [id(row.links["fabric"]) for row in file.rows["lays"]])
        _each_once("needs", "notion", [id(row.links["notion"]) for row in file.rows["needs"]])


def _each_once(place: str, what: str, found: list[Any]) -> None:
    if len(set(found)) < len(found):
        refuse(place, f"The same {what} twice", f"each {what} once", "Take one of them out.")


def _content(place: str, given: Any) -> dict[str, Any]:
    """A recipe's numbers, checked as those that are typed are."""
    with at(place):
        return Content.from_json(given).to_json()
