"""What the facts of a run come to: which units are sewn, at what depth, and what was asked of the hand.

Facts come from several devices, late and in any order, and some twice. The state is a fold of them that
depends on none of that: a fact that an undo names is left out, unless that undo was itself taken back, and of
several facts on one unit the latest by (at, op) holds. Lengths whole nm. Pure: no Django, no clock.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

SEWS: Final = ("sewn", "resew")
"""Kinds of facts by which a unit becomes sewn."""
TOLD_BY: Final = (2, 4)
"""From so many units on those sewn tell that they were begun one after the other, or every other one: fewer
may be a jump. Starting values."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing that happened at the bench. ``op`` is its own id, ``at`` ISO text in UTC with six digits
    after the second, so that it sorts; ``seq`` the order it arrived in (0: not yet). ``asked`` is what was
    asked of the hand: ``beyond`` the planned depth (nm) of a unit sewn; ``guide``, ``steps`` and ``spaces``
    of an instruction, ``refused`` where it was not taken up."""

    op: str
    kind: str
    at: str
    unit: int | None = None
    also: tuple[int, ...] = ()
    depth: int | None = None
    near: int | None = None
    far: int | None = None
    near_end: int | None = None
    far_end: int | None = None
    undoes: str | None = None
    seq: int = 0
    person: int | None = None
    text: str = ""
    asked: Mapping[str, Any] = field(default_factory=dict)

    @property
    def units(self) -> tuple[int, ...]:
        """Its unit and those it covers besides."""
        return (*(() if self.unit is None else (self.unit,)), *self.also)

    @property
    def place(self) -> tuple[str, str]:
        """What facts are put in order by."""
        return self.at, self.op


@dataclass(frozen=True, slots=True)
class State:
    """``sewn`` holds for each unit the fact by which it is, ``depths`` at what depth where one was typed
    (nm), ``absorbed`` the units left at a wrong depth. ``guide`` is what is asked beyond every planned depth
    now, ``steps`` what of single units besides, ``spaces`` by how much their spaces change (nm).
    ``undone``: what was taken back, each with the undo that holds, by the undo's place."""

    sewn: Mapping[int, Fact]
    depths: Mapping[int, int | None]
    absorbed: frozenset[int]
    checks: tuple[Fact, ...]
    notes: tuple[Fact, ...]
    live: tuple[Fact, ...]
    last: Fact | None
    guide: int = 0
    steps: Mapping[int, int] = field(default_factory=dict)
    spaces: Mapping[int, int] = field(default_factory=dict)
    undone: tuple[tuple[Fact, Fact], ...] = ()

    def beyond(self, unit: int) -> int:
        """What is asked beyond a unit's planned depth now, nm."""
        return self.guide + self.steps.get(unit, 0)


def fold(facts: Iterable[Fact]) -> State:
    """The state of a run. The same fact twice (by its ``op``) is one.

    >>> tap = Fact("a", "sewn", "2026-03-02T09:00:00.000000Z", 17)
    >>> sorted(fold([tap, tap]).sewn), sorted(fold([Fact("b", "undo", tap.at, undoes="a"), tap]).sewn)
    ([17], [])
    """
    by_op = {fact.op: fact for fact in facts}
    live = _live(by_op)
    sewn: dict[int, Fact] = {}
    absorbed: set[int] = set()
    last: Fact | None = None
    for fact in live:
        if fact.kind in SEWS:
            sewn.update(dict.fromkeys(fact.units, fact))
            absorbed.difference_update(fact.units)
            last = fact
        elif fact.kind == "absorb":
            absorbed.update(fact.units)
    guide, steps, spaces = _asked(live)
    return State(
        sewn=sewn,
        depths={unit: fact.depth if unit == fact.unit else None for unit, fact in sewn.items()},
        absorbed=frozenset(absorbed & sewn.keys()),
        checks=_of(live, "check"),
        notes=_of(live, "note"),
        live=live,
        last=last,
        guide=guide,
        steps=steps,
        spaces=spaces,
        undone=tuple((by_op[f.undoes], f) for f in _of(live, "undo") if f.undoes and f.undoes in by_op),
    )


def in_another_order(order: Sequence[int], sewn: Collection[int]) -> bool:
    """Whether the units sewn were begun in another order than the run has now: they are its lowest numbers,
    or every other one of them from the first, and not the first of the order. Then nothing was left out, and
    the work goes on at the first open unit of the order.

    >>> order = [1, 3, 5, 7, 2, 4, 6, 8]
    >>> in_another_order(order, {1, 2}), in_another_order(order, {1, 3}), in_another_order(order, {1, 4})
    (True, False, False)
    """
    done = {unit for unit in order if unit in sewn}
    if done == set(order[: len(done)]):
        return False
    numbers = sorted(order)
    others = [*numbers[::2], *numbers[1::2]]
    return any(
        len(done) >= least and done == set(begun[: len(done)])
        for least, begun in zip(TOLD_BY, (numbers, others), strict=True)
    )


def _live(facts: Mapping[str, Fact]) -> tuple[Fact, ...]:
    """Facts that hold, by (at, op). Undos that take one another back in a ring are left out."""
    undoers = Counter(f.undoes for f in facts.values() if f.kind == "undo" and f.undoes in facts)
    # Each is settled once all that would undo it are, so a chain of undos is gone along once.
    settled, undone = [op for op in facts if op not in undoers], set()
    for op in settled:
        target = facts[op].undoes if facts[op].kind == "undo" else None
        if target is not None and target in undoers:
            undoers[target] -= 1
            if op not in undone:
                undone.add(target)
            if not undoers[target]:
                settled.append(target)
    holds = [facts[op] for op in settled if op not in undone]
    return tuple(sorted(holds, key=lambda fact: fact.place))


def _asked(live: Iterable[Fact]) -> tuple[int, dict[int, int], dict[int, int]]:
    """The instruction that holds: the guide of the latest one that moved it, the steps of the latest."""
    guide, steps, spaces = 0, {}, {}
    for fact in live:
        if fact.kind == "guide" and not fact.asked.get("refused"):
            guide = int(fact.asked.get("guide", 0))
        elif fact.kind == "correct" and not fact.asked.get("refused"):
            steps = by_unit(fact.asked.get("steps"))
            spaces = by_unit(fact.asked.get("spaces"))
    return guide, steps, spaces


def by_unit(given: Any) -> dict[int, int]:
    """Lengths (nm) by unit, as an instruction keeps them: JSON has its keys as text."""
    return {int(unit): int(nm) for unit, nm in given.items()} if isinstance(given, Mapping) else {}


def _of(live: Iterable[Fact], kind: str) -> tuple[Fact, ...]:
    return tuple(fact for fact in live if fact.kind == kind)
