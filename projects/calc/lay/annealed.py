"""A search over orders: panels fill the lowest gap of a skyline, the first in the order that suits it best.

Sources: S. C. H. Leung, D. Zhang and K. M. Sim, A two-stage intelligent search algorithm for the
two-dimensional strip packing problem (2011), for filling a gap by how well a panel suits it; S. Kirkpatrick
and others, Optimization by simulated annealing (1983), for the search. Tuples and plain lists throughout:
this is the innermost loop of a lay.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import exp
from random import Random
from typing import Final

from projects.calc.lay.budget import Budget
from projects.calc.lay.grid import Laid, Ways

HOT: Final = 0.02  # the first temperature as a share of the bound
WARM: Final = 0.006  # the same where it goes on from the best order
COLD: Final = 0.0005
FIRST_TRIES: Final = 30_000  # panels laid while it cools the first time; more each time after
MORE_TRIES: Final = 1.5
WALL: Final = 1 << 62

Placed = tuple[int, int, int]  # which entry, x, y


class Orders:
    """Panels of one kind counted together; an entry is one way a kind may lie."""

    def __init__(self, ways: Sequence[Ways], width: int) -> None:
        kinds: dict[Ways, list[int]] = {}
        for at, own in enumerate(ways):
            kinds.setdefault(own, []).append(at)
        self.width = width
        self.members = list(kinds.values())
        self.counts = [len(found) for found in self.members]
        self.total = len(ways)
        entries = [(w, long, at) for at, own in enumerate(kinds) for w, long in own if w <= width]
        self.ws = [w for w, _, _ in entries]
        self.ls = [long for _, long, _ in entries]
        self.kind = [at for _, _, at in entries]
        self.work = 0  # panels laid so far, in all
        self.turning = len(entries) > len(kinds)

    def first_orders(self) -> list[list[int]]:
        """Widest, longest, largest, longest round first."""
        ws, ls, entries = self.ws, self.ls, range(len(self.ws))
        return [
            sorted(entries, key=lambda e: (-ws[e], -ls[e])),
            sorted(entries, key=lambda e: (-ls[e], -ws[e])),
            sorted(entries, key=lambda e: -ws[e] * ls[e]),
            sorted(entries, key=lambda e: -ws[e] - ls[e]),
        ]

    def laid(self, placed: Sequence[Placed]) -> list[Laid]:
        """Entries placed as items laid: members of a kind in turn."""
        waiting = [iter(found) for found in self.members]
        return [(next(waiting[self.kind[e]]), x, y, self.ws[e], self.ls[e]) for e, x, y in placed]

    def fill(self, order: Sequence[int], most: int) -> tuple[int, list[Placed] | None]:
        """The length this order takes and where all lies; None as soon as it is beyond `most`."""
        ws, ls, kind = self.ws, self.ls, self.kind
        counts, entries, left = self.counts[:], list(order), self.total
        xs, rooms, ys = [0], [self.width], [0]
        placed: list[Placed] = []
        top = 0
        while left:
            low = min(ys)
            at = ys.index(low)
            before = ys[at - 1] - low if at else WALL
            after = ys[at + 1] - low if at + 1 < len(ys) else WALL
            entry = _suiting(entries, ws, ls, rooms[at], before, after)
            if entry < 0:
                _give_up(xs, rooms, ys, at, before, after)
                continue
            long = ls[entry]
            if low + long > top:
                top = low + long
                if top > most:
                    self.work += self.total - left + 1
                    return top, None
            against_left = long == before or (long != after and before >= after)
            x = _put(xs, rooms, ys, at, ws[entry], low + long, against_left)
            placed.append((entry, x, low))
            left -= 1
            own = kind[entry]
            counts[own] -= 1
            if not counts[own]:
                if self.turning:
                    entries = [e for e in entries if kind[e] != own]
                else:
                    entries.remove(entry)
        self.work += self.total
        return top, placed


def _suiting(entries: list[int], ws: list[int], ls: list[int], room: int, before: int, after: int) -> int:
    """The entry that suits a gap best, the first of equals: as wide as it and level with a neighbour; as
    wide; level; any that fits. -1 where none fits."""
    found, suits = -1, 0
    for entry in entries:
        w = ws[entry]
        if w > room:
            continue
        if w == room:
            long = ls[entry]
            if long in (before, after):
                return entry
            if suits < 3:
                suits, found = 3, entry
        elif suits < 2:
            long = ls[entry]
            if long in (before, after):
                suits, found = 2, entry
            elif not suits:
                suits, found = 1, entry
    return found


def _give_up(xs: list[int], rooms: list[int], ys: list[int], at: int, before: int, after: int) -> None:
    """Raise a gap nothing fits to its lower neighbour."""
    if before < after:
        rooms[at - 1] += rooms[at]
        del xs[at], rooms[at], ys[at]
    elif before > after:
        rooms[at + 1] += rooms[at]
        del xs[at + 1], rooms[at], ys[at]
    else:
        rooms[at - 1] += rooms[at] + rooms[at + 1]
        del xs[at : at + 2], rooms[at : at + 2], ys[at : at + 2]


def _put(
    xs: list[int], rooms: list[int], ys: list[int], at: int, w: int, top: int, against_left: bool
) -> int:
    """Lay something `w` wide in gap `at`, at one of its ends, up to `top`; the x it begins at."""
    over = rooms[at] - w
    if over:
        low = ys[at]
        rooms[at] = w
        ys[at] = top
        if against_left:
            xs.insert(at + 1, xs[at] + w)
            rooms.insert(at + 1, over)
            ys.insert(at + 1, low)
        else:
            xs.insert(at, xs[at])
            rooms.insert(at, over)
            ys.insert(at, low)
            at += 1
            xs[at] += over
    else:
        ys[at] = top
    x = xs[at]
    if at + 1 < len(ys) and ys[at + 1] == top:
        rooms[at] += rooms[at + 1]
        del xs[at + 1], rooms[at + 1], ys[at + 1]
    if at and ys[at - 1] == top:
        rooms[at - 1] += rooms[at]
        del xs[at], rooms[at], ys[at]
    return x


class Annealing:
    """A search that can be taken up again: `run` for a while, then again from where it was."""

    def __init__(self, orders: Orders, bound: int, seed: int) -> None:
        self.orders = orders
        self.bound = bound
        self.random = Random(seed)
        self.starts = sorted((orders.fill(order, WALL)[0], order) for order in orders.first_orders())
        self.best, order = self.starts[0]
        self.best_order = order
        self.placed: list[Placed] = orders.fill(order, WALL)[1] or []
        self.rounds = 0
        self.heat = 0.0
        self.cool = 1.0
        self.now = self.best
        self.order = order

    def run(self, budget: Budget, better: Callable[[int, list[Laid]], None]) -> None:
        """Search until the budget is over or the bound is met; `better` hears of each shorter lay."""
        entries = len(self.orders.ws)
        if not self.rounds:  # one of the orders begun with may be the best there is
            better(self.best, self.orders.laid(self.placed))
        while self.best > self.bound and entries > 1 and not budget.over():
            if self.heat <= COLD * self.bound:
                self._heat_up()
            self._cool_down(budget, better)

    def _heat_up(self) -> None:
        """Begin anew, every other time from the best order, less hot: what is good of it stays."""
        pair, again = divmod(self.rounds, 2)
        heat = WARM if again else HOT
        if again:
            self.now, self.order = self.best, self.best_order
        else:
            self.now, self.order = self.starts[pair % len(self.starts)]
        self.heat = heat * self.bound
        tries = FIRST_TRIES * MORE_TRIES**pair / self.orders.total
        self.cool = (COLD / heat) ** (1 / max(tries, 200))
        self.rounds += 1

    def _cool_down(self, budget: Budget, better: Callable[[int, list[Laid]], None]) -> None:
        random, fill, end = self.random, self.orders.fill, COLD * self.bound
        entries, done = len(self.order), self.orders.work
        while self.heat > end:
            order = self.order[:]
            at, to = random.randrange(entries), random.randrange(entries)
            if random.random() < 0.5:
                order[at], order[to] = order[to], order[at]
            else:
                order.insert(to, order.pop(at))
            length, placed = fill(order, self.now + int(8 * self.heat))
            if placed is not None and (
                length <= self.now or random.random() < exp((self.now - length) / self.heat)
            ):
                self.now, self.order = length, order
                if length < self.best:
                    self.best, self.best_order, self.placed = length, order, placed
                    better(length, self.orders.laid(placed))
                    if length <= self.bound:
                        return
            self.heat *= self.cool
            if not budget.step(self.orders.work - done):
                return
            done = self.orders.work
