"""Making a lay on the roll shorter: a search over orders, then a solver that can prove there is no better.

Both go on side by side in rounds, each longer than the last, and what they found is compared only when
both have ended a round. A round ends by work done and not by the clock, so that the same request and seed
give the same lay wherever the search ends by proof or by its steps.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from threading import Lock, Thread
from typing import TYPE_CHECKING, Final, Protocol

from projects.calc.lay.annealed import Annealing, Orders
from projects.calc.lay.bound import lower_bound
from projects.calc.lay.bounds_wide import lifted
from projects.calc.lay.budget import Budget
from projects.calc.lay.grid import Grid, Laid, for_solver, grid_of
from projects.calc.lay.pinned import PinnedOrders, held
from projects.calc.lay.planner import answer, length_of, slid_left
from projects.calc.lay.request import Lay, LayError, LayRequest, items_of
from projects.calc.lay.sums import next_reachable
from projects.calc.units import ceil_div

if TYPE_CHECKING:
    from projects.calc.lay.solver import Solved

FIRST_SHARE: Final = 0.45  # of the time, at most, for orders before the solver is loaded
FIRST_STEPS: Final = 90_000  # panels laid, about half a second
STRAIGHT_SHARE: Final = 0.4  # of the time, at most, for straight cuts
STRAIGHT_STEPS: Final = 30_000
MOST_STRAIGHT: Final = 60  # panels: building straight cuts of more takes too long for a first look
FEW: Final = 100  # times the cube of the panels: few of them have few orders
SOLVER_NEEDS_S: Final = 0.2  # to load it and build a model; with less left it is not begun
FIRST_ROUND: Final = 0.05  # of the solver's measure of work, about a fifth of a second
GROWS: Final = 1.5
MOST_SEED: Final = 2**31 - 1
STEPS_A_WORK: Final = 800_000  # of the search over orders beside it, as long on a core of its own
MOST_FOR_SOLVER: Final = 150  # panels: beyond it the model is too large to be of use

Better = Callable[[int, list[Laid]], None]


class OrderSearch(Protocol):
    """A search that can be taken up again."""

    def run(self, budget: Budget, better: Better) -> None: ...


def improve_roll(request: LayRequest, best: Lay, budget: Budget, tell: Callable[[Lay], None]) -> Lay:
    """The shortest lay found on the roll within `budget`; see `improve`."""
    search = _Search(request, best, tell)
    if search.best.shortest:
        return search.best
    loose = search.grid.ways
    orders: OrderSearch
    if search.grid.held:
        orders = PinnedOrders(search.grid, request.seed)
    else:
        orders = Annealing(Orders(loose, search.grid.width), search.least, request.seed)
    _first(search, orders, budget)
    if len(loose) > MOST_FOR_SOLVER or budget.left() < SOLVER_NEEDS_S:
        if not search.best.shortest:
            orders.run(budget, search.heard)
        return search.best
    work, seed = FIRST_ROUND, request.seed
    while not search.best.shortest and not budget.over():
        _round(search, orders, budget, work, seed)
        work, seed = work * GROWS, (seed + 1) % MOST_SEED
    return search.best


def _first(search: _Search, orders: OrderSearch, budget: Budget) -> None:
    """What is found before the solver is loaded: by orders, and by straight cuts, quick where they serve."""
    panels = len(search.grid.ways)
    steps, seconds = min(FIRST_STEPS, FEW * panels**3), budget.left()
    before = 0 if search.grid.held or panels > MOST_STRAIGHT else steps // 3
    if before:
        orders.run(budget.part(seconds * FIRST_SHARE / 3, before), search.heard)
        if not search.best.shortest and not budget.over():
            _straight(search, budget.part(seconds * STRAIGHT_SHARE, STRAIGHT_STEPS))
    if not search.best.shortest:
        orders.run(budget.part(seconds * FIRST_SHARE, steps - before), search.heard)


def _straight(search: _Search, budget: Budget) -> None:
    """A lay of straight cuts is a lay as well, though one that can't be shorter may not be the shortest."""
    from projects.calc.lay.straight import improve_straight, plan_straight

    request = replace(search.request, straight_cuts=True)
    try:
        lay = plan_straight(request)
    except LayError:  # too long for the cloth there is: free cuts may do better
        return
    search.take(lay)
    improve_straight(request, lay, budget, search.take)


def _round(search: _Search, orders: OrderSearch, budget: Budget, work: float, seed: int) -> None:
    """The solver in a thread of its own, the orders in this one; the better of both, the orders' if equal."""
    from projects.calc.lay.solver import Model

    grid = search.solving
    if search.most_in(grid) - 1 < search.least_in(grid):  # nothing shorter in the solver's rounded units
        orders.run(budget.part(steps=int(work * STEPS_A_WORK)), search.heard)
        return
    model = Model(grid, search.least_in(grid), search.most_in(grid) - 1)  # only a shorter lay is of use
    if grid.exact:
        model.hint(search.laid, search.most)
    beside = budget.part(steps=int(work * STEPS_A_WORK))
    solved: list[Solved] = []
    start = search.best

    def solve() -> None:
        found = model.solve(budget.left(), work, seed, lambda _, laid: search.heard(0, laid, grid))
        solved.append(found)
        if found.done:  # the orders need not go further than the solver had to
            beside.steps = min(beside.steps or 0, int(found.work * STEPS_A_WORK))

    solving = Thread(target=solve, daemon=True)
    solving.start()
    ordered = _Kept(search, beside)
    orders.run(beside, ordered.heard)
    solving.join()
    budget.step(max(0, int(work * STEPS_A_WORK) - beside.done))  # the solver's work counts as well
    last = search.lay_of(solved[0].laid, grid) if solved and solved[0].laid else None
    found = [start, ordered.at_the_end(), last]
    search.settle([lay for lay in found if lay is not None])
    if solved and grid.exact:
        search.raise_bound(solved[0].bound)


class _Kept:
    """What the orders found in a round and when, passed on as well.

    What they found after the work at which the solver was done is not counted: which of the two was faster
    on the clock must not matter.
    """

    def __init__(self, search: _Search, budget: Budget) -> None:
        self.search = search
        self.budget = budget
        self.found: list[tuple[int, Lay]] = []

    def heard(self, length: int, laid: list[Laid]) -> None:
        self.search.heard(length, laid)
        lay = self.search.lay_of(laid)
        if lay is not None:
            self.found.append((self.budget.done, lay))

    def at_the_end(self) -> Lay | None:
        """The shortest found in time, the first of equals."""
        last = self.budget.steps or 0
        return min(
            (lay for done, lay in self.found if done <= last), key=lambda lay: lay.length, default=None
        )


class _Search:
    """The best lay so far, heard of from two threads, and the bound. Lengths here are units of the grid."""

    def __init__(self, request: LayRequest, best: Lay, tell: Callable[[Lay], None]) -> None:
        self.request = request
        self.tell = tell
        self.lock = Lock()
        self.best = best
        pinned, loose = held(request, items_of(request))
        self.grid = grid_of(loose, pinned, request.width + request.gap)
        self.solving = for_solver(self.grid, request.width + request.gap)
        self.index = {(item.panel.name, item.copy): at for at, item in enumerate(loose)}
        self.lengths = [tuple({long for _, long in ways}) for ways in self.grid.ways]
        self.least = 0
        self.raise_bound(ceil_div(self._area_bound(), self.grid.along))

    @property
    def most(self) -> int:
        """The length of the best lay."""
        return ceil_div(self.best.length - self.request.end_loss + self.request.gap, self.grid.along)

    def most_in(self, grid: Grid) -> int:
        return ceil_div(self.most * self.grid.along, grid.along)

    def least_in(self, grid: Grid) -> int:
        return self.least * self.grid.along // grid.along

    @property
    def laid(self) -> list[Laid]:
        """The best lay in units, without what is pinned."""
        across, along, gap = self.grid.across, self.grid.along, self.request.gap
        found = []
        for p in self.best.placements:
            at = self.index.get((p.name, p.copy))
            if at is not None:
                x, y = p.x // across, (p.y - self.request.end_loss) // along
                found.append((at, x, y, ceil_div(p.width + gap, across), ceil_div(p.length + gap, along)))
        return found

    def heard(self, _length: int, laid: list[Laid], grid: Grid | None = None) -> None:
        """A lay was found: kept and told where it is shorter than the best."""
        lay = self.lay_of(laid, grid)
        if lay is None:
            return
        with self.lock:
            if lay.length < self.best.length:
                self.best = lay
                self.tell(lay)

    def take(self, lay: Lay) -> None:
        """A whole lay found elsewhere, whose bound does not count here."""
        with self.lock:
            if lay.length < self.best.length:
                self.best = self._bounded(replace(lay, lower_bound=0))
                self.tell(self.best)

    def lay_of(self, laid: list[Laid], grid: Grid | None = None) -> Lay | None:
        """A lay in units as an answer with the bound of now; None where it is longer than may be."""
        spots = (grid or self.grid).spots(laid)
        if not self.grid.held:
            spots = slid_left(spots)
        try:
            return answer(spots, max(self._bound(), 0), self.request)
        except LayError:
            return None

    def settle(self, lays: list[Lay]) -> None:
        """Keep the shortest of these, the first of equals, with the bound of now."""
        with self.lock:
            best = min(lays, key=lambda lay: lay.length)
            if best.length <= self.best.length:
                self.best = self._bounded(best)

    def raise_bound(self, least: int) -> None:
        """No lay is shorter than `least`; nor ends where no sum of lengths does."""
        if not self.grid.held:
            least = next_reachable(least, self.lengths, max(self.most, least))
        with self.lock:
            self.least = max(self.least, min(least, self.most))
            bounded = self._bounded(self.best)
            if bounded != self.best:
                self.best = bounded
                self.tell(bounded)

    def _bounded(self, lay: Lay) -> Lay:
        bound = self._bound() - self.request.gap + self.request.end_loss
        bound = min(lay.length, max(bound, lay.lower_bound))
        return replace(lay, lower_bound=bound, shortest=bound == lay.length)

    def _bound(self) -> int:
        """The bound in nm, grown by the gap."""
        return self.least * self.grid.along

    def _area_bound(self) -> int:
        items = [*self.grid.items, *(spot.item for spot in self.grid.pinned)]
        ends = length_of(self.grid.pinned) if self.grid.pinned else 0
        width = self.grid.width * self.grid.across
        bound = max(lower_bound(items, width), ends)
        return lifted(items, width, bound, self.most * self.grid.along)
