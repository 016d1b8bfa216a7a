"""The check measures of a run one after the other: what each should have read, what it says, and whether a
hand can have made that. Lengths nm."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from projects.calc.bench_state import SEWS, Fact, State
from projects.calc.check_readings import BEYOND, Judged, Skew, alike, beyond_a_hand, judge, skew
from projects.calc.checks import NEAREST, near_enough
from projects.calc.hand import SPREAD

from .bench_now import readings_at
from .run_history import sewn_before
from .run_units import Unit
from .runs import RunPlan

Part = tuple[int, bool] | None
"""What readings cover: from which seam, and to which side; None: the whole panel."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """What was sewn since the check before that counts. ``beyond`` is the sum of what was asked, or is known,
    beyond the planned depths; ``tucks`` those whose depth is the hand's own, ``sewn`` all of them."""

    tucks: int = 0
    sewn: int = 0
    beyond: int = 0
    people: frozenset[int | None] = frozenset()
    again: bool = False

    @property
    def teaches(self) -> bool:
        """One person's, with nothing sewn twice: what sewing again does is no habit of the hand."""
        return self.tucks > 0 and len(self.people) == 1 and None not in self.people and not self.again


@dataclass(frozen=True, slots=True)
class Checked:
    """A check measure made: what it should have read, and what it says.

    ``change`` is that of E over the ``stretch`` before it, net of what was asked; None where it can't be
    told. ``doubt``: no hand makes such a reading, and none has confirmed it: it counts for nothing. ``leap``:
    such a one that a second measure confirms: the panel is so, but that teaches nothing of the hand.
    ``whole``: it was measured from the edge where its neighbours are from a seam, and says nothing of one
    hand's stretch. ``aside``: the undo after it that took back a unit it was made over: it no longer counts,
    also once that unit is sewn anew, for it was read without it or over another one. ``expected``: E as
    the checks before and all that was agreed and sewn by then made it, where anything was agreed: ``fine`` is
    what is near that too.
    """

    fact: Fact
    near: int
    far: int
    near_enough: int
    judged: Judged
    skew: Skew | None
    stretch: Stretch = Stretch()
    change: int | None = None
    doubt: bool = False
    leap: bool = False
    whole: bool = False
    aside: Fact | None = None
    expected: int | None = None

    @property
    def as_expected(self) -> bool:
        """Whether both readings together are near enough to what was expected with what was agreed."""
        excess = self.judged.excess
        if excess is None or self.expected is None:
            return False
        return abs(excess - self.expected) <= self.near_enough

    @property
    def fine(self) -> bool:
        """Whether nothing is new: near enough to the plan, or to what was expected."""
        return bool(self.judged.fine) or self.as_expected

    @property
    def counts(self) -> bool:
        """Whether it says anything of the panel."""
        return not self.doubt and self.aside is None

    @property
    def teaches(self) -> bool:
        """Whether it says something of the hand that sewed."""
        hand = self.counts and not (self.leap or self.whole)
        return hand and self.change is not None and self.stretch.teaches


def checked(run: RunPlan, state: State, fact: Fact) -> Checked | None:
    """One check by itself, judged by what was sewn when it was made. None where its unit is gone from the
    plan."""
    if fact.unit not in run.by_number or fact.near is None:
        return None
    band = _band_kept(run, fact) or _band_then(run, state, fact)
    found = _judged(run, fact, sewn_before(state, fact), band)
    return replace(found, aside=_taken_back(state, fact))


def band_of(run: RunPlan, state: State, number: int) -> int:
    """What is near enough for a check made now at a seam: as planned there, else by the units sewn since the
    last check."""
    plan = next((check for check in run.checks if check.tuck == number), None)
    if plan is not None:
        return plan.near_enough
    last = state.checks[-1].place if state.checks else ("", "")
    since = {n for fact in state.live if fact.kind in SEWS and fact.place > last for n in fact.units}
    return near_enough(len(since), _spread(run))


def checks_made(run: RunPlan, state: State) -> tuple[Checked, ...]:
    """Every check that can be read, in the order of time. One of the same seam with nothing sewn between
    takes the place of the one before; one whose far reading is missing lengthens the stretch to the next.
    Where readings are from a seam in the middle, each side of it is followed by itself."""
    walk = _Walk(run)
    for fact in state.live:
        if fact.kind in SEWS:
            walk.sew(fact)
        elif fact.kind == "check" and _taken_back(state, fact):
            walk.made += [found] if (found := checked(run, state, fact)) else []
        elif fact.kind == "check":
            walk.measure(fact)
    return tuple(walk.made)


def _taken_back(state: State, check: Fact) -> Fact | None:
    """The undo after a check by which a unit sewn before it is so no longer."""
    later = [
        (fact, undo) for fact, undo in state.undone
        if fact.kind in SEWS and fact.place < check.place < undo.place
    ]  # fmt: skip
    still = sewn_before(state, check) if later else set()
    return next((undo for fact, undo in reversed(later) if set(fact.units) - still), None)


def _judged(run: RunPlan, fact: Fact, sewn: set[int], band: int) -> Checked:
    """By the readings kept with it, for a plan may have changed since; by today's plan where none were."""
    number = fact.unit or 0
    near, far = fact.asked.get("near"), fact.asked.get("far")
    if not isinstance(near, int) or not isinstance(far, int):
        plan = next((check for check in run.checks if check.tuck == number), None)
        near, far = readings_at(run, number, {*sewn, number} & run.places.keys(), plan)
    measured = fact.near or 0
    said = judge(near, far, measured, fact.far, band, fact.near_end, fact.far_end)
    return Checked(fact, near, far, band, said, skew(measured, fact.far, fact.near_end, fact.far_end))


def _band_kept(run: RunPlan, fact: Fact) -> int | None:
    """As it was said when the check was made; a file may bring none."""
    band = fact.asked.get("band")
    if isinstance(band, int):
        return max(NEAREST, band)
    return next((check.near_enough for check in run.checks if check.tuck == fact.unit), None)


def _band_then(run: RunPlan, state: State, fact: Fact) -> int:
    earlier = tuple(one for one in state.live if one.place < fact.place)
    checks = tuple(one for one in earlier if one.kind == "check")
    return band_of(run, replace(state, live=earlier, checks=checks), fact.unit or 0)


def _spread(run: RunPlan) -> int:
    """How far tucks stray, as the panel was planned with."""
    return run.line.plan.sizing.depth_spread if run.line else SPREAD


def _at_most(run: RunPlan, tucks: int) -> int:
    """The band by which readings are doubted: where a studio's tucks hardly stray, somebody new may still sew
    them all deeper."""
    return near_enough(tucks, max(SPREAD, _spread(run)))


@dataclass(frozen=True, slots=True)
class _Last:
    """The last check that counts, nothing sewn since: what stood before it, should it be measured again."""

    found: Checked
    stretch: Stretch
    base: int


@dataclass
class _Walk:
    """One fact after the other. ``deeper`` is what each unit is known to lie beyond its planned depth."""

    run: RunPlan
    made: list[Checked] = field(default_factory=list)
    deeper: dict[int, int] = field(default_factory=dict)
    stretches: dict[Part, Stretch] = field(default_factory=dict)
    before: dict[Part, int] = field(default_factory=dict)
    doubted: dict[Part, Checked] = field(default_factory=dict)
    last: _Last | None = None

    def sew(self, fact: Fact) -> None:
        self.last = None
        for number in fact.units:
            unit = self.run.by_number.get(number)
            if unit is None:
                continue
            depth = fact.depth if number == fact.unit else None
            deep = int(fact.asked.get("beyond", {}).get(str(number), 0))
            if depth is not None:
                deep = depth - (unit.depth or 0)
            again = number in self.deeper
            more, self.deeper[number] = deep - self.deeper.get(number, 0), deep
            for part in _parts(unit):
                so_far = self.stretches.get(part, Stretch())
                self.stretches[part] = Stretch(
                    so_far.tucks + (depth is None), so_far.sewn + 1, so_far.beyond + more,
                    so_far.people | {fact.person}, so_far.again or again,
                )  # fmt: skip

    def measure(self, fact: Fact) -> None:
        unit = self.run.by_number.get(fact.unit or 0)
        if unit is None or fact.near is None:
            return
        part = _covered(unit)
        last = self.last if self.last and self.last.found.fact.unit == fact.unit else None
        again = last is not None and (fact.far is not None or last.found.judged.excess is None)
        stretch, base = self.stretches.get(part, Stretch()), self.before.get(part, 0)
        if last is not None and again:
            stretch, base = last.stretch, last.base
        found = self._seen(fact, unit, stretch, base)
        if found.doubt:
            self.doubted[part] = found
        else:
            self.doubted.pop(part, None)
            self._counts(found, part, last if again else None)
            if last is None or again:
                self.last = _Last(found, stretch, base)
        self.made.append(found)

    def _counts(self, found: Checked, part: Part, instead: _Last | None) -> None:
        if instead is not None:
            self.made.remove(instead.found)
        if found.judged.excess is not None:
            self.stretches[part] = Stretch()
            self.before[part] = found.judged.excess

    def _seen(self, fact: Fact, unit: Unit, stretch: Stretch, base: int) -> Checked:
        band = _band_kept(self.run, fact) or near_enough(stretch.sewn, _spread(self.run))
        found = _judged(self.run, fact, set(self.deeper), band)
        excess = found.judged.excess
        change = None if excess is None else excess - base + 2 * stretch.beyond
        found = replace(found, stretch=stretch, change=change, whole=unit.origin == unit.number)
        if not self._wild(found, base, max(band, _at_most(self.run, stretch.sewn))):
            return found
        leap = self._confirmed(found, self.doubted.get(_covered(unit)))
        return replace(found, doubt=not leap, leap=leap)

    def _wild(self, found: Checked, base: int, band: int) -> bool:
        """E changed by more than a hand makes it, or the seam sits where all that is sewn can't have brought
        it: readings in each other's place leave E as it is."""
        excess = found.judged.excess
        most = abs(base if excess is None else excess) + 2 * sum(map(abs, self.deeper.values()))
        most += BEYOND * _at_most(self.run, len(self.deeper))
        return beyond_a_hand(found.change or 0, band) or abs(found.judged.shift) > most

    def _confirmed(self, found: Checked, other: Checked | None) -> bool:
        """Whether the doubted one before says the same, so far as what was sewn between can tell."""
        if other is None or (found.change is None) != (other.change is None):
            return False
        pairs = ((found.change or 0, other.change or 0), (found.judged.shift, other.judged.shift))
        between = found.stretch.sewn - other.stretch.sewn
        if between:
            band = _at_most(self.run, between)
            return not any(beyond_a_hand(one - two, band) for one, two in pairs)
        return all(alike(one, two, found.near_enough) for one, two in pairs)


def _covered(unit: Unit) -> Part:
    """What readings at a unit's seam cover."""
    return None if unit.origin in (None, unit.number) else (unit.origin or 0, unit.from_far)


def _parts(unit: Unit) -> Iterator[Part]:
    """Which readings show how a unit was sewn; none from its own seam do."""
    yield None
    if _covered(unit) is not None:
        yield _covered(unit)
