"""Hands as the studio's own check measures show them: how deep a person sews, and how far tucks stray; nm.

Rows come from checks at the bench (``HandChange``). What is known of this cloth comes before what is known of
others, and both before the starting values.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from typing import NamedTuple

from django.db.models import Exists, Min, OuterRef

from projects.calc.hand import (
    COUNTS_AS,
    FROM_CLOTH_TO_CLOTH,
    SPREAD,
    STARTING_HAND,
    Hand,
    Strayed,
    learn_hand,
    pooled_spread,
    scatter_of,
)
from projects.calc.recipe_names import technique_name
from projects.models import BenchFact, HandChange, Project, Run

from .own_settings import hands_of, uses_own

MOST = 200
"""So many of the latest stretches tell what a hand does now."""
MOST_OF_ALL = 4_000
"""So many of the latest of all people tell how far tucks stray: more than a year of a busy studio."""
LEAST_TUCKS = 4
"""Over fewer tucks the tape strays more than the hand: such a stretch says nothing of the spread."""
OTHERS_COUNT_AS = 8
"""The spread on other cloth counts as so many stretches of this one; a starting value."""


@dataclass(frozen=True, slots=True)
class Spread:
    """How far the depth of a tuck strays (nm), and how many tucks that rests on; 0: a starting value or the
    studio's setting."""

    spread: int
    tucks: int = 0


class Stretch(NamedTuple):
    """What one stretch between two checks said, and when its check arrived."""

    technique: str
    fabric: int | None
    person: int
    tucks: int
    change: int
    at: datetime


class HandSpread(NamedTuple):
    """How far one person's tucks stray from one another, by technique and cloth. ``person`` is a row's key,
    or a name where it came with a file; ``elsewhere``: on cloth that the file does not hold."""

    technique: str
    fabric: int | None
    person: int | str
    strayed: Strayed
    elsewhere: bool = False

    def on(self, fabric: int | None) -> bool:
        return self.fabric == fabric and not self.elsewhere


@dataclass(frozen=True)
class Spreads:
    """What the check measures of all people say, by technique and cloth; ``begun`` is when the first run of
    each project was, where something happened in one. ``came`` is what a project's file says instead."""

    stretches: tuple[Stretch, ...] = ()
    begun: Mapping[int, datetime] = field(default_factory=dict)
    came: tuple[HandSpread, ...] = ()

    def of(self, technique: str, fabric: int | None, start: int = SPREAD) -> Spread:
        """All people together, this cloth before others, shrunk to ``start``."""
        known = self.hands.get(technique, ())
        if not known:
            return Spread(start)
        others = pooled_spread((hand.strayed for hand in known if not hand.on(fabric)), start)
        here = [hand.strayed for hand in known if hand.on(fabric)]
        found = pooled_spread(here, others, COUNTS_AS if others == start else OTHERS_COUNT_AS)
        return Spread(found, sum(hand.strayed.tucks for hand in known))

    @cached_property
    def hands(self) -> dict[str, list[HandSpread]]:
        """By technique, each person on each cloth; in the order of time, so that sums don't depend on it. One
        stretch alone says nothing of how far tucks stray."""
        groups: dict[tuple[str, int | None, int], list[Stretch]] = {}
        for stretch in self.stretches:
            groups.setdefault((stretch.technique, stretch.fabric, stretch.person), []).append(stretch)
        known = (HandSpread(*key, _strayed(rows)) for key, rows in groups.items() if len(rows) > 1)
        found: dict[str, list[HandSpread]] = {}
        for hand in (*known, *self.came):
            found.setdefault(hand.technique, []).append(hand)
        return found

    def used_by(self, project: Project) -> "Spreads":
        """What was known when the project's first run was begun: later checks, its own too, must not move
        marks under a maker's hands. What its file says for a project that is planned by it."""
        if uses_own(project):
            return Spreads(came=came_with(project))
        return self.before(self.begun.get(project.pk))

    def before(self, begun: datetime | None) -> "Spreads":
        """What was known at a moment; all where None is given."""
        return self if begun is None else Spreads(tuple(s for s in self.stretches if s.at < begun))


def _strayed(rows: Iterable[Stretch]) -> Strayed:
    return scatter_of((row.tucks, row.change) for row in rows).strayed


def came_with(project: Project) -> tuple[HandSpread, ...]:
    """The hands that a project's file brought along; none where it came with none."""
    return tuple(
        HandSpread(
            row["technique"], row["fabric"], row["worker"],
            Strayed(row["counts"], row["tucks"], float(row["squares"])), row["elsewhere"],
        )
        for row in hands_of(project)
    )  # fmt: skip


def spreads() -> Spreads:
    """Two queries, whatever was measured."""
    rows = HandChange.objects.filter(tucks__gte=LEAST_TUCKS).order_by("-pk")
    values = rows.values_list("technique", "fabric_id", "person_id", "tucks", "change", "fact__at")
    runs = Run.objects.filter(Exists(BenchFact.objects.filter(run=OuterRef("pk"))))
    begun = runs.order_by().values_list("project_id").annotate(first=Min("begun_at"))
    return Spreads(tuple(Stretch(*row) for row in reversed(values[:MOST_OF_ALL])), dict(begun))


def spreads_for(project: Project) -> Spreads:
    """What a project's margins rest on; two queries."""
    return spreads().used_by(project)


def hand_of(
    person_id: int, technique: str, fabric_id: int | None, start: int = SPREAD, *, without: int | None = None
) -> Hand:
    """How this person sews this technique on this cloth; ``starting`` where nothing is known. One query.

    ``without`` a run (its row's key): what it taught is left out, for its own checks say that already.
    """
    rows = HandChange.objects.filter(person=person_id, technique=technique).order_by("-pk")
    if without is not None:
        rows = rows.exclude(fact__run=without)
    return _hand(rows.values_list("fabric_id", "tucks", "change")[:MOST], fabric_id, start)


def _hand(rows: Iterable[tuple[int | None, int, int]], fabric_id: int | None, start: int) -> Hand:
    known = list(rows)
    others = learn_hand(
        ((tucks, change) for fabric, tucks, change in known if fabric != fabric_id),
        replace(STARTING_HAND, spread=start),
    )
    if not others.starting:
        wider = round((others.bias_sd**2 + FROM_CLOTH_TO_CLOTH**2) ** 0.5)
        others = replace(others, bias_sd=min(STARTING_HAND.bias_sd, wider))
    return learn_hand(((tucks, change) for fabric, tucks, change in known if fabric == fabric_id), others)


@dataclass(frozen=True, slots=True)
class HandLine:
    """One person's hand on one technique and cloth, for a page."""

    person: str
    technique: str
    cloth: str
    hand: Hand

    @property
    def shallower(self) -> int:
        """The bias the other way round, nm."""
        return -self.hand.bias


def hand_lines(person_id: int | None = None, start: int = SPREAD) -> list[HandLine]:
    """Every hand that check measures told of: one person's, or everybody's. One query."""
    rows = HandChange.objects.select_related("person", "fabric").order_by("-pk")
    if person_id is not None:
        rows = rows.filter(person=person_id)
    by_technique: dict[tuple[int, str], list[HandChange]] = {}
    for row in rows:
        by_technique.setdefault((row.person_id, row.technique), []).append(row)
    return sorted(
        (line for rows in by_technique.values() for line in _lines(rows[:MOST], start)),
        key=lambda line: (line.person, line.technique, line.cloth),
    )


def _lines(rows: list[HandChange], start: int) -> Iterable[HandLine]:
    known = [(row.fabric_id, row.tucks, row.change) for row in rows]
    for fabric_id, row in {row.fabric_id: row for row in rows}.items():
        own = sum(tucks for fabric, tucks, _ in known if fabric == fabric_id)
        hand = replace(_hand(known, fabric_id, start), tucks=own)
        cloth = row.fabric.name if row.fabric else ""
        yield HandLine(str(row.person), technique_name(row.technique), cloth, hand)
