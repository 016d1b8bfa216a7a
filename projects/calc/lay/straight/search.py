"""Making a lay of straight cuts shorter: all of it built anew from blocks, or some of its rows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from functools import partial
from random import Random
from typing import Final

import numpy as np

from projects.calc.lay.bound import lower_bound
from projects.calc.lay.budget import Budget
from projects.calc.lay.pinned import held as pins_held
from projects.calc.lay.planner import answer, length_of
from projects.calc.lay.request import Item, Lay, LayRequest, items_of
from projects.calc.lay.skyline import Spot
from projects.calc.lay.straight.building import Asked, Built, Kind, build, can_build
from projects.calc.lay.straight.quick import RULES, fill_around, fill_beside
from projects.calc.lay.straight.rows import Kinds, Row, held, length_of_rows, rows_from
from projects.calc.units import ceil_div

Tell = Callable[[Lay], None]

FIRST_KEPT: Final = 2_500  # blocks kept at first, over the number of panels: less than 0.1 s of building
LEAST_KEPT: Final = 40
MOST_KEPT: Final = 3_000
MORE: Final = 1.15  # times as many blocks kept with each round
TARGETS: Final = (0.012, 0.03, 0.05, 0.08, 1e9)  # over the bound
BETWEEN: Final = (0.25, 0.5, 1.0)  # of the way from the bound to the best
FAR: Final = 1.03  # times the bound: a lay still so long is built once more with more blocks
ROWS_A_ROUND: Final = 15
PAIRS_A_STEP: Final = 150  # pairs of blocks looked at in about the time one panel is laid
DEPTH: Final = 3  # parts that are put together
ROWS_KEPT: Final = 120
FEW: Final = 14  # panels of rows built anew at once: quick, and nearly everything is tried
MOST: Final = 36
ROUNDS: Final = 400  # of rows built anew without a gain, before a search without a clock ends
JITTER: Final = 0.004


def improve_straight(request: LayRequest, best: Lay, budget: Budget, tell: Tell) -> Lay:
    """The shortest lay of straight cuts found within `budget`, beginning with `best`, and never longer.

    `tell` hears of each shorter lay and each higher bound. Where every block that could be part of a shorter
    lay was kept, nothing shorter can be cut straight, and the bound says so. Pinned panels stay.
    """
    items = items_of(request)
    if best.shortest or not items:
        return best
    room = request.width + request.gap
    pinned, loose = pins_held(request, items)
    search = _Search(request, best, Kinds.of(items, room), budget, tell)
    if pinned:
        _around_pins(search, pinned, loose, room)
    else:
        search.run(lower_bound(items, room))
    return search.best


class _Search:
    """The best lay so far as rows of kinds, in units of what all sizes have in common."""

    def __init__(self, request: LayRequest, best: Lay, kinds: Kinds, budget: Budget, tell: Tell) -> None:
        self.request, self.best, self.kinds, self.budget, self.tell = request, best, kinds, budget, tell
        self.panels = sum(kind.count for kind in kinds.kinds)
        self.random = Random(request.seed)
        self.shuffle = np.random.default_rng(request.seed)
        self.outer = request.end_loss - request.gap  # what a length has more than its rows
        self.bound = best.lower_bound - self.outer
        self.rows: list[Row] = []
        self.length = 0

    def run(self, bound: int) -> None:
        self.rows = self.kinds.rows_of(self.best, self.request)
        self.length = length_of_rows(self.rows)
        self._raise(ceil_div(bound, self.kinds.unit))
        keep = float(max(LEAST_KEPT, FIRST_KEPT // self.panels))
        whole = can_build(self.kinds.kinds)
        if whole:
            self._ladder(int(keep))
            if self.length * self.kinds.unit > FAR * self.bound and not self._done():
                self._ladder(int(keep * 3))
        idle = 0
        while not self._done() and idle < ROUNDS:
            before = self.length
            if whole and keep <= MOST_KEPT:
                idle = 0
                keep *= MORE
                self._between(int(keep))
            for _ in range(ROWS_A_ROUND):
                if self._done():
                    return
                self._some_rows()
                idle += 1
            idle = idle if self.length == before else 0

    def _done(self) -> bool:
        return self.best.shortest or self.budget.over()

    def _ladder(self, keep: int) -> None:
        """Build the whole lay, first for lengths near the bound: they leave few blocks to keep."""
        tried = -1
        for share in TARGETS:
            most = min(self.length - 1, int(ceil_div(self.bound, self.kinds.unit) * (1 + share)))
            if most > tried and (self._for_length(most, keep) or self._done()):
                return
            tried = most

    def _between(self, keep: int) -> None:
        """Build the whole lay for lengths between the bound and the best so far."""
        for share in BETWEEN:
            least = ceil_div(self.bound, self.kinds.unit)
            most = least + int((self.length - 1 - least) * share)
            self._for_length(most, keep)
            if self._done():
                return

    def _for_length(self, most: int, keep: int) -> bool:
        """Build the whole lay no longer than `most`; whether there is one now."""
        built = self._build(self.kinds.kinds, most, keep)
        if built.laid is not None:
            self._take(rows_from(built.laid))
            if built.certain:
                self._raise(self.length)
            return True
        if built.certain:
            self._raise(most + 1)
            return False
        every = Counter({at: kind.count for at, kind in enumerate(self.kinds.kinds)})
        rows = self._pieced(built, every, most, keep, 0)
        if rows is not None:
            self._take(rows)
        return rows is not None

    def _pieced(
        self, built: Built, counts: Counter[int], most: int, keep: int, depth: int
    ) -> list[Row] | None:
        """Rows no longer than `most`: one of the parts that were built, and the rest built by itself."""
        numbers = sorted(counts)
        for length, laid in built.parts if depth < DEPTH else ():
            part = rows_from((numbers[at], x, y, w, h) for at, x, y, w, h in laid)
            rest = counts - held(part)
            again = self._build(self._some(rest), most - length, keep + keep // 2)
            if again.laid is not None:
                left = sorted(rest)
                return [*part, *rows_from((left[at], x, y, w, h) for at, x, y, w, h in again.laid)]
            rows = self._pieced(again, rest, most - length, keep + keep // 2, depth + 1)
            if rows is not None:
                return [*part, *rows]
            if self.budget.over():
                return None
        return None

    def _some(self, counts: Counter[int]) -> tuple[Kind, ...]:
        """Kinds by their numbers, only so many of each."""
        return tuple(Kind(self.kinds.kinds[at].ways, counts[at]) for at in sorted(counts))

    def _some_rows(self) -> None:
        """Build a few rows of the lay anew, to be shorter or, now and then, as long and otherwise."""
        chosen = self._chosen()
        if not chosen:
            self.budget.step()
            return
        rows = [self.rows[at] for at in chosen]
        counts = held(rows)
        numbers = sorted(counts)
        kinds = self._some(counts)
        length = length_of_rows(rows)
        least = ceil_div(sum(k.ways[0][0] * k.ways[0][1] * k.count for k in kinds), self.kinds.room)
        most = least + int((length - least) * self.random.choice((0.3, 0.6, 1.0)))
        if self.random.random() < 0.7:
            most = min(most, length - 1)
        built = self._build(kinds, most, ROWS_KEPT)
        if built.laid is not None:
            new = rows_from((numbers[at], x, y, w, h) for at, x, y, w, h in built.laid)
        else:
            pieced = self._pieced(built, counts, most, ROWS_KEPT, DEPTH - 1)
            if pieced is None:
                return
            new = pieced
        self._take([*(row for at, row in enumerate(self.rows) if at not in chosen), *new])

    def _chosen(self) -> set[int]:
        """Rows that are few enough panels to be built anew together, those with more waste likelier."""
        order = sorted(range(len(self.rows)), key=lambda at: self.random.random() * (0.05 + self._waste(at)))
        most = FEW if self.random.random() < 0.7 else MOST
        chosen: set[int] = set()
        panels = 0
        for at in reversed(order):
            more = len(self.rows[at].laid)
            if panels + more <= most:
                chosen.add(at)
                panels += more
        kinds = held(self.rows[at] for at in chosen)
        fits = can_build([Kind((), count) for count in kinds.values()])
        return chosen if fits and len(kinds) + len(chosen) > 1 else set()

    def _waste(self, at: int) -> float:
        row = self.rows[at]
        return 1 - sum(panel[3] * panel[4] for panel in row.laid) / (row.length * self.kinds.room)

    def _build(self, kinds: tuple[Kind, ...], most: int, keep: int) -> Built:
        asked = Asked(kinds, self.kinds.room, most, keep, jitter=JITTER)
        return build(asked, self.shuffle, lambda pairs: self.budget.step(1 + pairs // PAIRS_A_STEP))

    def _take(self, rows: list[Row]) -> None:
        """Keep rows no longer than those there are, and tell where they are shorter."""
        length = length_of_rows(rows)
        if length > self.length:
            return
        self.rows = rows
        if length < self.length:
            self.length = length
            self.found(self.kinds.spots(rows))

    def found(self, spots: list[Spot]) -> None:
        self.best = answer(spots, self.bound, self.request)
        self.tell(self.best)

    def _raise(self, least: int) -> None:
        """A higher bound, in units."""
        if least * self.kinds.unit <= self.bound:
            return
        self.bound = least * self.kinds.unit
        if self.bound > self.best.lower_bound - self.outer:
            lower = min(self.bound + self.outer, self.best.length)
            self.best = Lay(
                self.best.length,
                self.best.placements,
                lower,
                self.best.waste_share,
                self.best.length == lower,
                self.best.used,
            )
            self.tell(self.best)


def _around_pins(search: _Search, pinned: list[Spot], loose: list[Item], room: int) -> None:
    """Other orders of the panels around those pinned, as long as there is time."""
    request = search.request
    least = length_of(pinned)
    for order in _shuffled(loose, search.random):
        for along in (False, True):
            rule = search.random.choice(RULES)
            tries = (
                fill_around(pinned, order, room, request, rule, along=along),
                fill_beside(pinned, order, room, along=along),
            )
            spots = min(tries, key=length_of)
            if length_of(spots) + search.outer < search.best.length:
                search.found(spots)
            search.budget.step(2 * len(loose))
        if search.best.shortest or search.budget.over() or length_of(spots) == least:
            return


def _shuffled(items: list[Item], random: Random) -> Iterator[list[Item]]:
    """Orders near the largest first, more and more mixed; a few thousand of them."""
    for round_ in range(4_000):
        mixed = 0.1 + 0.9 * (round_ % 40) / 40
        size = partial(_mixed_size, random=random, mixed=mixed)
        yield sorted(items, key=size)


def _mixed_size(item: Item, random: Random, mixed: float) -> float:
    wide, long = item.ways[0]
    return -float(wide * long) * (1 - mixed * random.random())
