"""Stages of a studio's own and the steps it gives its projects, in a project's file: written, read, taken in.

A stage is known by its title: one of the same title here is used, else it is made. The steps come with the
project alone, and no other project gets them; a step that this studio gives too keeps its place among those.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from projects.activities import deleting, own_steps
from projects.calc.labour import STAGES
from projects.models import OwnStage, Person, StepTemplate
from projects.planning.own_templates import KEPT
from projects.planning.stages import BUILT_IN, FIRST, Stage, all_stages

from . import nouns, values
from .errors import at, wrong
from .nouns import read_row
from .rows import Row

LAST, SHARED = STAGES[-1][0], ", ".join(BUILT_IN)


class Stages:
    """The stages of the studio's own that a project's rows name, in working order, with ids of the file."""

    def __init__(self, used: Iterable[str]) -> None:
        wanted = set(used)
        found = [stage for stage in all_stages() if stage.own and stage.key in wanted]
        self.ids = {stage.key: f"o{number}" for number, stage in enumerate(found, 1)}
        self._after = dict(OwnStage.objects.values_list("key", "after"))
        self.written = [self._written(stage) for stage in found]

    def _written(self, stage: Stage) -> dict[str, Any]:
        return {
            "id": self.ids[stage.key],
            "title": stage.title,
            "after": self._behind(stage.key),
            "removed": stage.gone,
        }

    def _behind(self, key: str) -> str:
        """What it comes after in the file: stages that don't travel are passed over."""
        seen = set[str]()
        while (key := self._after.get(key, LAST)) not in seen:
            if key in BUILT_IN or key == FIRST or key in self.ids:
                return self.ids.get(key, key)
            seen.add(key)
        return LAST

    def named(self, key: str) -> str:
        """How steps and hours of a stage name it in the file."""
        return self.ids.get(key, key)


def written_template(ident: str, row: StepTemplate, stages: Stages) -> dict[str, Any]:
    return {"id": ident, "stage": stages.named(row.stage), **nouns.TEMPLATE.write(row)}


def read_stage(place: str, given: Any, ids: values.Ids) -> Row:
    """Behind a stage that all studios have, or one that stands before it in the file. Raises Unreadable."""
    row = Row(place, read_row(nouns.STAGE, place, given, ("id", "after", "removed")))
    row.content = values.flag(f"{place}.removed", given["removed"])
    if given["after"] == FIRST:
        row.values["after"] = FIRST
    else:
        read_named(row, "after", given, ids)
    ids.add(place, given["id"], row)
    return row


def read_named(row: Row, name: str, given: dict[str, Any], ids: values.Ids, *, blank: bool = False) -> None:
    """The stage that a row names: one that all studios have, or a row of the file. Raises Unreadable."""
    place, key = f"{row.place}.{name}", given[name]
    if isinstance(key, str) and (key in BUILT_IN or blank and not key):
        row.values[name] = key
    elif isinstance(key, str) and key in ids.rows:
        row.links[name], row.values[name] = ids.rows[key], ""
    else:
        wrong(place, key, f"the id of a stage that stands before it in this file, or one of: {SHARED}")


def read_template(place: str, given: Any, ids: values.Ids, stages: values.Ids) -> Row:
    row = Row(place, read_row(nouns.TEMPLATE, place, given, ("id", "stage")))
    read_named(row, "stage", given, stages)
    ids.add(place, given["id"], row)
    return row


def key_named(row: Row, name: str = "stage") -> str:
    """The key here of the stage that a row names, once stages are saved."""
    return str(row.link(name) or row.values[name])


@dataclass(slots=True)
class Arrived:
    """What became of the stages of a file, by title; ``elsewhere`` are words where one that was here stands
    in another place than in the file."""

    made: list[str] = field(default_factory=list)
    used: list[str] = field(default_factory=list)
    elsewhere: list[str] = field(default_factory=list)


def bring_stages(rows: Sequence[Row], person: Person | None) -> Arrived:
    """Have the stages of a file here; each row is left with its key. One that was removed where it comes from
    is a title alone, for what was done in it, here too."""
    said, gone, known = Arrived(), list[OwnStage](), alike(rows)
    for row in rows:
        found = known.get(row.place)
        if found is None:
            made = _made(row)
            row.saved = made.key
            if row.content:
                gone.append(made)
            else:
                said.made.append(made.title)
        else:
            row.saved = found
            said.used.append(row.values["title"])
            said.elsewhere += _elsewhere(row, found)
    for stage in gone:
        what = f"the stage {stage.title}, removed where its file comes from"
        deleting.delete([stage], what=what, person=person)
    return said


def alike(rows: Iterable[Row]) -> dict[str, str]:
    """The keys of stages here that have the title of one in the file, by the place of its row; each at most
    once. One that is removed here stands for a removed one alone."""
    built_in = {title.casefold(): key for key, title in STAGES}
    here, found = list(OwnStage.objects.order_by("pk")), dict[str, str]()
    for row in sorted(rows, key=lambda row: bool(row.content)):
        title = row.values["title"].strip().casefold()
        same = [x for x in here if x.title.strip().casefold() == title and (x.is_live or row.content)]
        same.sort(key=lambda stage: stage.is_live == row.content)
        if title in built_in:
            found[row.place] = built_in[title]
        elif same:
            here.remove(same[0])
            found[row.place] = same[0].key
    return found


def _made(row: Row) -> OwnStage:
    title, after = row.values["title"].strip(), key_named(row, "after")
    stage = OwnStage(key=own_steps.new_key(), title=title, after=after)
    with at(row.place):
        stage.full_clean(exclude=["key"], validate_unique=False)
    stage.save()
    return stage


def _elsewhere(row: Row, key: str) -> Iterator[str]:
    ours = next((stage for stage in all_stages() if stage.key == key), None)
    before: Row | None = row
    while before and before.links.get("after"):
        before = before.links["after"]
    root = before.values["after"] if before else FIRST
    root = STAGES[0][0] if root == FIRST else root
    if ours is not None and ours.own and ours.root != root:
        title, where, there = row.values["title"], BUILT_IN[ours.root], BUILT_IN[root]
        yield f"{title} comes after “{where}” here, in the file after “{there}”"


def bring_templates(rows: Iterable[Row]) -> list[dict[str, Any]]:
    """The steps of a file as the project keeps them; each row is left with its key."""
    here, kept = list(StepTemplate.objects.live()), []
    for number, row in enumerate(rows, 1):
        found = StepTemplate(**{**row.values, "stage": key_named(row)})
        same = next((ours for ours in here if _same(ours, found)), None)
        if same:
            here.remove(same)
        row.saved = f"t{same.pk}" if same else f"came{number}"
        plain = {name: getattr(found, name) for name in KEPT}
        kept.append({"key": row.saved, **plain, "minutes": nouns.TEMPLATE.write(found)["minutes"]})
    return kept


def _same(ours: StepTemplate, theirs: StepTemplate) -> bool:
    """Whether a tick of one is a tick of the other: what they are called and who gets them."""
    alike = (ours.kind, ours.stage, ours.per_panel) == (theirs.kind, theirs.stage, theirs.per_panel)
    return alike and ours.title.strip().casefold() == theirs.title.strip().casefold()
