"""What a run's checks ask of the hand from here on, in the numbers of its units. Lengths nm."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from projects.calc.bench_state import SEWS, Fact, State
from projects.calc.correct import (
    INCH_STEP,
    METRIC_STEP,
    STARTING_HAND,
    Advice,
    Hand,
    Mended,
    Reading,
    RunSoFar,
    WrongDepth,
    advise,
    expected_excess,
    wrong_depth,
)
from projects.calc.errors import CalcError
from projects.calc.lengths import System

from .run_checks import Checked, checked, checks_made
from .run_history import Sewings, sewings_of
from .run_placed import AS_ASKED_WITHIN
from .run_units import Unit
from .runs import RunPlan

__all__ = ["Asked", "Checked", "Wrong", "asked_beyond", "asked_now", "checked", "just_wrong", "wrong_of"]

STEPS = {System.METRIC: METRIC_STEP, System.INCH: INCH_STEP}


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked from here on. ``steps`` and ``spaces`` by the number of the unit; ``guide`` None: stays.
    ``kept`` says that its move was refused: all is reckoned with the guide where it is; ``ends`` that what
    was to be corrected still is to be corrected no more. While the guide is asked about single tucks are
    not: what they must take out hangs on the answer. ``agreed``: the corrections that were taken up and are
    still to come, by number."""

    advice: Advice
    guide: int | None
    steps: dict[int, int]
    spaces: dict[int, int]
    checked: Checked | None
    kept: bool = False
    ends: bool = False
    agreed: Mapping[int, int] = field(default_factory=dict)

    @property
    def stays(self) -> int:
        """What the panel will be too long by at the end when all that is asked and agreed is done, nm."""
        if self.guide is None and self.corrects:
            return self.advice.stays
        return self.advice.ends_at(sum(self.agreed.values()), moved=self.guide is not None)

    @property
    def as_agreed(self) -> int:
        """The same when nothing is changed: the guide where it is, and what was agreed, nm."""
        return self.advice.ends_at(sum(self.agreed.values()))

    @property
    def says(self) -> bool:
        """Whether anything is asked."""
        return self.guide is not None or self.corrects

    @property
    def corrects(self) -> bool:
        return bool(self.steps or self.spaces or self.ends)


@dataclass(frozen=True, slots=True)
class Wrong:
    """A unit that was sewn at another depth than asked."""

    fact: Fact
    unit: Unit
    asked: int
    sewn: int
    does: WrongDepth


def sewing_order(run: RunPlan, state: State) -> list[Unit]:
    """Units as they were sewn, then those left as they will be."""
    sewn = [sewings.unit for sewings in sewings_of(run.by_number, state)]
    return [*sewn, *(unit for unit in run.units if unit.number not in state.sewn)]


def asked_beyond(unit: Unit, state: State) -> int:
    """What was asked of the hand beyond a sewn unit's planned depth when it was sewn, nm."""
    return int(state.sewn[unit.number].asked.get("beyond", {}).get(str(unit.number), 0))


def wrong_of(run: RunPlan, state: State, unit: Unit, placing: str) -> Wrong | None:
    """Whether a sewn unit lies at another depth than was asked, and what that does."""
    depth = state.depths.get(unit.number)
    if unit.depth is None or depth is None:
        return None
    asked = unit.depth + asked_beyond(unit, state)
    if abs(depth - asked) < AS_ASKED_WITHIN:
        return None
    return Wrong(state.sewn[unit.number], unit, asked, depth, wrong_depth(asked, depth, placing))


def just_wrong(run: RunPlan, state: State, placing: str) -> Wrong | None:
    """The unit sewn last at a wrong depth that was neither sewn again nor left as it is. It waits for its
    answer while others are sewn, until a check measure says what all of them come to."""
    measured = state.checks[-1].place if state.checks else ("", "")
    typed = [
        fact for number, fact in state.sewn.items()
        if state.depths[number] is not None and number not in state.absorbed and fact.place > measured
    ]  # fmt: skip
    for fact in sorted(typed, key=lambda fact: fact.place, reverse=True):
        unit = run.by_number.get(fact.unit or 0)
        if unit and (found := wrong_of(run, state, unit, placing)):
            return found
    return None


def asked_now(
    run: RunPlan, state: State, placing: str, system: System, hand: Hand = STARTING_HAND
) -> Asked | None:
    """What to do differently from here on; None for a run without depths or with nothing left.

    An instruction that was taken up or refused since the last check is not given again, and a guide that was
    asked about stays as the answer left it; leaving a wrong depth as it is asks for corrections anew. Before
    the first unit a hand that is known has its guide set. While a wrong depth waits for its answer nothing is
    asked, for the answer changes what is to be corrected. A check that no longer counts for what was taken
    back asks for nothing either, and what was taken up by it is asked about anew. A reading that is
    in doubt asks for nothing but to measure again, and what is sewn after it is told by the checks before.
    """
    order = sewing_order(run, state)
    sewn = len([n for n in run.places if n in state.sewn])
    if not run.checks or sewn == len(order) or any(unit.depth is None for unit in order):
        return None
    found = list(checks_made(run, state))
    made = [one for one in found if one.counts]
    since = _since(state, found)
    answers = [fact for fact in since if fact.kind == "guide"]
    try:
        so_far = _so_far(run, state, order, sewn, made, placing, system, hand)
        advice = advise(so_far, may_move=not answers)
    except CalcError:
        return None
    agreed = {n: nm for n, nm in state.steps.items() if nm and n in run.places and n not in state.sewn}
    doubted = bool(found) and found[-1].doubt and _nothing_sewn_since(state, found[-1].fact)
    if doubted or just_wrong(run, state, placing):
        return Asked(advice, None, {}, {}, found[-1] if found else None)
    found = [*found[:-1], _expecting(found[-1], so_far, state)] if found else found
    numbers = [unit.number for unit in order]
    steps = {numbers[place]: step for place, step in advice.corrections}
    spaces = {numbers[place]: change for place, change in advice.spaces}
    before = [_to_come(state.steps, state), _to_come(state.spaces, state)]
    kept = bool(state.steps or state.spaces or state.absorbed)
    begun = bool(made) or (kept and any(one.aside for one in found))
    open_ = _open(since, begun=begun) and [steps, spaces] != before and not advice.moves_guide
    same_spaces = spaces == before[1] and not state.absorbed
    open_ = open_ and not (same_spaces and advice.goes_on(sum(agreed.values())))
    return Asked(
        advice,
        advice.guide if advice.moves_guide else None,
        steps if open_ else {},
        spaces if open_ else {},
        found[-1] if found else None,
        kept=bool(answers and answers[-1].asked.get("refused")),
        ends=open_ and not steps and not spaces,
        agreed=agreed,
    )


def _to_come(asked: Mapping[int, int], state: State) -> dict[int, int]:
    """What is asked of units not sewn yet, nm by number."""
    return {number: nm for number, nm in asked.items() if nm and number not in state.sewn}


def _expecting(last: Checked, so_far: RunSoFar, state: State) -> Checked:
    """The last check beside what was expected of it, where the guide was moved or corrections were agreed
    before it, and nothing was sewn since: E as all other checks and what was asked tell it."""
    taken = (one for one in state.live if one.kind in ("guide", "correct") and not one.asked.get("refused"))
    if not any(one.place < last.fact.place for one in taken):
        return last
    if not last.counts or last.leap or not _nothing_sewn_since(state, last.fact):
        return last
    if so_far.readings[-1].since:
        # From a seam in the middle nothing was read yet that tells of this side alone.
        return last
    before = replace(so_far, readings=so_far.readings[:-1])
    return replace(last, expected=expected_excess(before))


def _since(state: State, found: Sequence[Checked]) -> list[Fact]:
    """What came after the last check that counts, or after one ceased to."""
    known = [one.aside.place if one.aside else one.fact.place for one in found if not one.doubt]
    return [fact for fact in state.live if not known or fact.place > max(known)]


def _nothing_sewn_since(state: State, fact: Fact) -> bool:
    return not any(one.kind in SEWS and one.place > fact.place for one in state.live)


def _open(since: Sequence[Fact], *, begun: bool) -> bool:
    """Whether corrections are asked for: since the last check none was answered, or something came after the
    answer that it did not reckon with (a wrong depth left as it is, a guide that is not moved after all)."""
    open_ = begun
    taken = False
    for fact in since:
        refused = bool(fact.asked.get("refused"))
        if fact.kind == "correct":
            open_, taken = False, not refused
        elif fact.kind == "absorb" or (fact.kind == "guide" and refused and taken):
            open_ = True
    return open_


def _so_far(
    run: RunPlan, state: State, order: list[Unit], sewn: int, made: list[Checked], placing: str,
    system: System, hand: Hand,
) -> RunSoFar:  # fmt: skip
    done = sewings_of(run.by_number, state)
    drawn = placing != "last"
    return RunSoFar(
        depths=tuple(unit.depth or 0 for unit in order),
        asked=tuple(one.beyond(one.first) for one in done),
        sewn=sewn,
        deviations=tuple(_deviations(done)),
        readings=tuple(_reading(found, done) for found in made),
        hand=hand,
        step=STEPS[system],
        drawn=drawn,
        spaces=None if drawn else tuple(run.space_before(unit) for unit in order[sewn:]),
        gaps=None if drawn else tuple(run.gap_before(unit) for unit in order[sewn:]),
        guide=state.guide,
        mended=tuple(_mended(done, made)),
    )


def _deviations(done: Sequence[Sewings]) -> Iterator[tuple[int, int]]:
    """Places sewn at another depth than asked, and by how much."""
    for place, one in enumerate(done):
        depth = one.depth(one.first)
        if depth is not None and one.unit.depth is not None:
            off = depth - one.unit.depth - one.beyond(one.first)
            if abs(off) >= AS_ASKED_WITHIN:
                yield place, off


def _mended(done: Sequence[Sewings], made: Sequence[Checked]) -> Iterator[Mended]:
    for place, one in enumerate(done):
        for now, grown in one.grown:
            yield Mended(place, sum(check.fact.place < now.place for check in made), grown)


def _before(fact: Fact, done: Sequence[Sewings]) -> int:
    """How many units were sewn when something happened."""
    return sum(one.first.place < fact.place for one in done)


def _reading(found: Checked, done: Sequence[Sewings]) -> Reading:
    """After how many units, in the order they were sewn, a check was made; from a seam in the middle it says
    nothing of what was sewn before that side was begun."""
    after, since = _before(found.fact, done), 0
    here = next((one.unit for one in done if one.unit.number == found.fact.unit), None)
    if here is not None and here.origin not in (None, here.number):
        mine = (here.origin, here.from_far)
        since = next(
            place
            for place, one in enumerate(done)
            if (one.unit.origin, one.unit.from_far) == mine and one.unit.number != here.origin
        )
    return Reading(after, found.judged.excess, found.judged.shift, min(since, after), found.leap)
