"""Correcting a run on the way: what its checks say, and the two instructions that follow. Lengths nm.

*Move the guide* takes out the steady error of this hand, at most 0.5 mm: tucks come back to their true
depth and nothing shows. *Correct* takes out what then remains of E, on single tucks that are a step deeper or
shallower. Guide and correction together never set a tuck off by more than a quarter of its planned depth.
Everything is said in steps a hand can set. Source: derived; tested by simulation.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Final, NamedTuple

from projects.calc.check_readings import Judged, Skew, WrongDepth, judge, skew, wrong_depth
from projects.calc.hand import STARTING_HAND, TAPE, Hand, learn_hand
from projects.calc.run_so_far import (
    INCH_STEP,
    METRIC_STEP,
    Drift,
    Mended,
    Reading,
    RunSoFar,
    drift_of,
)
from projects.calc.steps_spread import spread_evenly, spread_steps

__all__ = [
    "INCH_STEP",
    "METRIC_STEP",
    "STARTING_HAND",
    "TAPE",
    "Advice",
    "Hand",
    "Judged",
    "Mended",
    "Reading",
    "RunSoFar",
    "Skew",
    "WrongDepth",
    "advise",
    "expected_excess",
    "judge",
    "learn_hand",
    "skew",
    "wrong_depth",
]

GUIDE_LIMIT: Final = 500_000
"""The guide is never set further than this from the planned depth."""
DEPTH_LIMIT: Final = 500_000
DEPTH_SHARE: Final = 10
"""Corrected tucks: within the smaller of 0.5 mm and a tenth of the depth."""
ONE_TUCK: Final = 4
"""Guide and correction together: within a quarter of the planned depth of each tuck; a starting value."""
SPACE_LIMIT: Final = 1_500_000
SPACE_SHARE: Final = 8
"""Moved spaces: within the smaller of 1.5 mm and 8 % of the space."""
WORTH_MOVING: Final = 100_000
"""Settings of the guide by which tucks lie nearer to their depth by less are alike; a starting value."""
LEAST_KNOWN: Final = 20
"""Over so many tucks a hand must have been measured before a guide is moved by it alone: one wrong reading
would else steer the next run; a starting value."""
SURE: Final = 128
"""1.28 x 100: a hand is off by more than its mean less this many times its deviation in 9 of 10."""
AS_AGREED: Final = 1_000_000
"""What was agreed is left as it is while the panel then comes out within this; a starting value."""


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do from now on, and what comes of it.

    `excess`: E as it is believed now, known to `excess_sd`; `told`: a check with both readings stands behind
    it, else it rests on this hand's past alone. `guide`: what the guide is set to beyond the planned depth
    from now on, `guide_was` until now. `corrections`: (place, one step deeper (above 0) or shallower), of
    which `steady` (below 0: shallower) stand for the guide, where a step is more than it may be moved by.
    `bias`: this hand's steady error, a tuck; `unmended`: what the panel would be too long by after the `left`
    tucks if nothing were done but to sew on with the guide where it was.
    `spaces`: (place, by how much the space before it grows). `stays`: what the panel will be too long by at
    the end when all of it is done, known to `stays_sd`; `shift_stays`: r likewise.
    """

    excess: int
    excess_sd: int
    told: bool
    guide: int
    guide_was: int
    corrections: tuple[tuple[int, int], ...]
    steady: int
    spaces: tuple[tuple[int, int], ...]
    stays: int
    stays_sd: int
    shift_stays: int
    bias: int = 0
    unmended: int = 0
    left: int = 0

    @property
    def moves_guide(self) -> bool:
        return self.guide != self.guide_was

    @property
    def off(self) -> int:
        """How much too deep this hand is expected to sew with the guide set as advised, nm."""
        return self.bias + self.guide

    @property
    def once_moved(self) -> int:
        """What the panel would be too long by at the end with the guide as advised and nothing else, nm."""
        return self.unmended + 2 * self.left * (self.guide_was - self.guide)

    def ends_at(self, agreed: int, *, moved: bool = False) -> int:
        """What the panel will be too long by when tucks left are sewn together deeper by ``agreed`` (nm) than
        the guide asks, it being where it was, or ``moved`` as advised."""
        return (self.once_moved if moved else self.unmended) - 2 * agreed

    def goes_on(self, agreed: int) -> bool:
        """Whether corrections agreed on, for tucks left together deeper by ``agreed`` (nm), will do."""
        return bool(agreed) and not self.moves_guide and abs(self.ends_at(agreed)) <= AS_AGREED


def advise(run: RunSoFar, *, may_move: bool = True) -> Advice:
    """The two instructions for what is left of a run; without `may_move` the guide stays as it is set, and
    what remains of E is for single tucks alone."""
    drift = drift_of(run)
    plan = _plan(run, drift) if may_move else _steps(run, drift, run.guide)
    corrections = _corrections(run, plan)
    shift = run.readings[-1].shift if run.readings else 0
    spaces = _spaces(run, shift, dict(corrections))
    return Advice(
        excess=round(drift.total),
        excess_sd=round(sqrt(drift.total_variance)),
        told=any(reading.excess is not None for reading in run.readings),
        guide=plan.guide,
        guide_was=run.guide,
        corrections=corrections,
        steady=plan.steady,
        spaces=spaces,
        stays=round(plan.coming) - 2 * sum(change for _, change in corrections),
        stays_sd=round(_sd_at_end(run, drift)),
        shift_stays=shift + sum(change for _, change in spaces),
        bias=round(drift.bias),
        unmended=round(drift.total - 2 * run.left * (drift.bias + run.guide)),
        left=run.left,
    )


def expected_excess(run: RunSoFar) -> int:
    """E as it is believed after the tucks sewn, with all that was asked of them: what a check now should find
    beyond the plan, nm. A check over a part of them finds what that part has."""
    drift = drift_of(run)
    return round(drift.excess)


class _Plan(NamedTuple):
    """A setting of the guide; E at the end if nothing else were done; how many single tucks are then a step
    deeper (below 0: shallower), and how many of them stand for the guide."""

    guide: int
    coming: float
    steps: int
    steady: int


def _plan(run: RunSoFar, drift: Drift) -> _Plan:
    """The setting of the guide that brings tucks nearest to their true depth, whatever E is; of settings that
    are alike in that to ``WORTH_MOVING`` the one with which single tucks can take out what remains. Before a
    check of this run it is set as planned, unless what is known of the hand is beyond doubt."""
    if not run.left:
        return _Plan(run.guide, drift.total, 0, 0)
    told = any(reading.excess is not None for reading in run.readings)
    if not told and not _well_known(run):
        return _steps(run, drift, 0)
    most = GUIDE_LIMIT // run.step
    thinnest = min(run.depths[run.sewn :])
    settings = [k * run.step for k in range(-most, most + 1) if abs(k) * run.step <= thinnest // ONE_TUCK]
    enough = min(abs(drift.bias + guide) for guide in settings) + WORTH_MOVING
    plans = [_steps(run, drift, guide) for guide in settings if abs(drift.bias + guide) <= enough]
    return min(plans, key=lambda plan: _badness(run, drift, plan))


def _badness(run: RunSoFar, drift: Drift, plan: _Plan) -> tuple[float, float, int, int]:
    """Least is best: what stays beyond a step, how far off tucks are, how far the guide is moved."""
    stays = abs(plan.coming - 2 * plan.steps * run.step)
    moving = 0 if plan.guide == run.guide else WORTH_MOVING
    beyond = stays if stays > 1.01 * run.step else 0.0
    return beyond, abs(drift.bias + plan.guide) + moving, abs(plan.guide), plan.guide


def _well_known(run: RunSoFar) -> bool:
    """Whether a hand's past is enough to set the guide by, no check of this run having told: learned from
    ``LEAST_KNOWN`` tucks, and off by half a step also where it is less than it seems."""
    hand = run.hand
    return hand.tucks >= LEAST_KNOWN and 100 * abs(hand.bias) - SURE * hand.bias_sd > 50 * run.step


def _steps(run: RunSoFar, drift: Drift, guide: int) -> _Plan:
    """How many steps what remains of E takes, and the limits allow, with this setting of the guide.

    Where a step is more than the guide may be moved by (1/32 in), the steady error is taken out on single
    tucks instead: as many as come to it, at most ``GUIDE_LIMIT`` a tuck in the mean, beside those that
    correct E.
    """
    coming = drift.total - 2 * run.left * (drift.bias + guide)
    wanted = round(coming / (2 * run.step))
    sign = 1 if wanted > 0 else -1
    may = _may(run, guide, sign)
    most = sum(limit for limit, ok in zip(_limits(run), may, strict=True) if ok) // run.step
    steady = 0
    if run.step > GUIDE_LIMIT and wanted * drift.bias < 0:
        steady = int(min(abs(drift.bias), GUIDE_LIMIT) * run.left // run.step)
    allowed = min(abs(wanted), most + steady, sum(may))
    return _Plan(guide, coming, sign * allowed, sign * max(0, min(steady, allowed)))


def _limits(run: RunSoFar) -> list[int]:
    return [min(DEPTH_LIMIT, depth // DEPTH_SHARE) for depth in run.depths[run.sewn :]]


def _may(run: RunSoFar, guide: int, sign: int) -> list[bool]:
    """Which of the tucks left may be a step deeper or shallower beside what the guide is set to."""
    set_to = abs(guide + sign * run.step)
    return [set_to <= depth // ONE_TUCK for depth in run.depths[run.sewn :]]


def _corrections(run: RunSoFar, plan: _Plan) -> tuple[tuple[int, int], ...]:
    """Single tucks a step deeper where the panel would come out long, shallower where short.

    Limits: each tuck moves by one step at most, and the mean over the tucks left stays within the mean of
    their limits. A tuck whose limit is below one step (thin tucks, 1/32 in) may still take one: a hand can
    set nothing smaller, and fewer tucks then do. But none is set off by more than a quarter of its depth.
    """
    sign = 1 if plan.steps > 0 else -1
    may = _may(run, plan.guide, sign)
    weights = [max(1, limit) if ok else 0 for limit, ok in zip(_limits(run), may, strict=True)]
    steps = spread_evenly(abs(plan.steps), weights)
    return tuple((run.sewn + i, sign * run.step) for i, many in enumerate(steps) if many)


def _spaces(run: RunSoFar, shift: int, corrected: dict[int, int]) -> tuple[tuple[int, int], ...]:
    """Where seams aren't placed by marks the spaces left take up r, each by its share, in steps; one that
    was open stays open, also beside tucks that are corrected deeper."""
    if run.drawn or not run.spaces or not shift:
        return ()
    sign = -1 if shift > 0 else 1
    limits = [min(SPACE_LIMIT, space * SPACE_SHARE // 100) for space in run.spaces]
    room = [_room(run, i, corrected) if sign < 0 else None for i in range(run.left)]
    steps = spread_steps((2 * abs(shift) + run.step) // (2 * run.step), limits, run.step, room=room)
    return tuple((run.sewn + i, sign * many * run.step) for i, many in enumerate(steps) if many)


def _room(run: RunSoFar, index: int, corrected: dict[int, int]) -> int | None:
    """How many steps the space before a tuck can lose with its gap still open; None: it was not open."""
    if run.gaps is None or run.gaps[index] <= 0:
        return None
    place = run.sewn + index
    deeper = max(0, corrected.get(place, 0), corrected.get(place - 1, 0))
    return max(0, (run.gaps[index] - deeper - 1) // run.step)


def _sd_at_end(run: RunSoFar, drift: Drift) -> float:
    left = run.left
    ahead = 4 * drift.spread**2 * left - 4 * left * drift.shared + 4 * left**2 * drift.bias_variance
    return sqrt(max(0.0, drift.total_variance + ahead))
