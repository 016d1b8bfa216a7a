"""Hands as the studio's own check measures show them: how deep a person sews, and how far tucks stray; nm.

Rows come from checks at the bench (``HandChange``). What is known of this cloth comes before what is known of
others, and both before the starting values.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import Count, FloatField, Sum
from django.db.models.functions import Cast

from projects.calc.hand import (
    FROM_CLOTH_TO_CLOTH,
    SPREAD,
    STARTING_HAND,
    Hand,
    Scatter,
    learn_hand,
    pooled_spread,
)
from projects.calc.recipe_names import technique_name
from projects.models import HandChange, Project

from .own_settings import uses_own

MOST = 200
"""So many of the latest stretches tell what a hand does now."""
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


@dataclass(frozen=True, slots=True)
class Spreads:
    """What the check measures of all people say, by technique and cloth."""

    scatters: tuple[tuple[str, int | None, Scatter], ...] = ()

    def of(self, technique: str, fabric: int | None, start: int = SPREAD) -> Spread:
        """All people together, this cloth before others, shrunk to ``start``."""
        rows = [(cloth, scatter) for name, cloth, scatter in self.scatters if name == technique]
        others = pooled_spread((s for cloth, s in rows if cloth != fabric), start)
        here = [s for cloth, s in rows if cloth == fabric]
        counts = {} if others == start else {"counts_as": OTHERS_COUNT_AS}
        found = pooled_spread(here, others, **counts)
        tucks = sum(s.tucks for _, s in rows if s.stretches > 1)
        return Spread(found, tucks) if tucks else Spread(start)

    def used_by(self, project: Project) -> "Spreads":
        """None for a project that is planned as its file says: what this studio learned moves no such one."""
        return Spreads() if uses_own(project) else self


def spreads() -> Spreads:
    """One query, whatever was measured. Summed as floating-point numbers: squares of nm go beyond what a
    database keeps as whole ones."""
    change, tucks = Cast("change", FloatField()), Cast("tucks", FloatField())
    rows = (
        HandChange.objects.filter(tucks__gte=LEAST_TUCKS)
        .order_by("technique", "fabric_id", "person_id")
        .values("technique", "fabric_id", "person_id")
        .annotate(
            count=Count("pk"), n=Sum("tucks"), c=Sum("change"),
            squares=Sum(change * change / tucks, output_field=FloatField()),
            ones=Sum(1.0 / tucks, output_field=FloatField()),
        )
    )  # fmt: skip
    return Spreads(tuple((r["technique"], r["fabric_id"], _scatter(r)) for r in rows))


def spreads_for(project: Project) -> Spreads:
    """What a project's margins rest on; one query."""
    return spreads().used_by(project)


def _scatter(row: dict[str, Any]) -> Scatter:
    return Scatter(row["count"], row["n"], int(row["c"]), row["squares"], row["ones"])


def spread_of(technique: str, fabric_id: int | None, start: int = SPREAD) -> Spread:
    """The spread of one technique on one cloth; one query. For many, ask ``spreads`` once."""
    return spreads().of(technique, fabric_id, start)


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
