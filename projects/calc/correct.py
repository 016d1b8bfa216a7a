"""Correcting a run on the way: what its checks say, and the two instructions that follow. Lengths nm.

*Move the guide* takes out the steady error of this hand, at most 0.5 mm: tucks come back to their true
depth and nothing shows. *Correct* takes out what then remains of E, on single tucks that are a step deeper or
shallower. Everything is said in steps a hand can set. Source: derived; tested by simulation.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Final

from projects.calc.check_readings import Judged, Skew, WrongDepth, judge, skew, wrong_depth
from projects.calc.hand import STARTING_HAND, TAPE, Hand, learn_hand
from projects.calc.run_so_far import INCH_STEP, METRIC_STEP, Drift, Reading, RunSoFar, drift_of
from projects.calc.steps_spread import spread_steps

__all__ = [
    "INCH_STEP",
    "METRIC_STEP",
    "STARTING_HAND",
    "TAPE",
    "Advice",
    "Hand",
    "Judged",
    "Reading",
    "RunSoFar",
    "Skew",
    "WrongDepth",
    "advise",
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
SPACE_LIMIT: Final = 1_500_000
SPACE_SHARE: Final = 8
"""Moved spaces: within the smaller of 1.5 mm and 8 % of the space."""


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do from now on, and what comes of it.

    `excess`: E as it is believed now, known to `excess_sd`; `told`: a check with both readings stands behind
    it, else it rests on this hand's past alone. `guide`: what the guide is set to beyond the planned depth
    from now on, `guide_was` until now. `corrections`: (place, one step deeper (above 0) or shallower).
    `spaces`: (place, by how much the space before it grows). `stays`: what the panel will be too long by at
    the end when all of it is done, known to `stays_sd`; `shift_stays`: r likewise.
    """

    excess: int
    excess_sd: int
    told: bool
    guide: int
    guide_was: int
    corrections: tuple[tuple[int, int], ...]
    spaces: tuple[tuple[int, int], ...]
    stays: int
    stays_sd: int
    shift_stays: int

    @property
    def moves_guide(self) -> bool:
        return self.guide != self.guide_was


def advise(run: RunSoFar) -> Advice:
    """The two instructions for what is left of a run."""
    drift = drift_of(run)
    guide = _guide(run, drift)
    coming = drift.excess - 2 * run.left * (drift.bias + guide)
    corrections = _corrections(run, coming)
    shift = max(run.readings, key=lambda r: r.after).shift if run.readings else 0
    spaces = _spaces(run, shift, dict(corrections))
    return Advice(
        excess=round(drift.excess),
        excess_sd=round(sqrt(drift.excess_variance)),
        told=any(reading.excess is not None for reading in run.readings),
        guide=guide,
        guide_was=run.guide,
        corrections=corrections,
        spaces=spaces,
        stays=round(coming) - 2 * sum(change for _, change in corrections),
        stays_sd=round(_sd_at_end(run, drift)),
        shift_stays=shift + sum(change for _, change in spaces),
    )


def _guide(run: RunSoFar, drift: Drift) -> int:
    """The setting that brings tucks nearest to their true depth."""
    if not run.left:
        return run.guide
    most = GUIDE_LIMIT // run.step
    return max(-most, min(most, round(-drift.bias / run.step))) * run.step


def _corrections(run: RunSoFar, coming: float) -> tuple[tuple[int, int], ...]:
    """Single tucks a step deeper where the panel would come out long by `coming`, shallower where short.

    Limits: each tuck moves by one step at most, and the mean over the tucks left stays within the mean of
    their limits. A tuck whose limit is below one step (thin tucks, 1/32 in) may still take one: a hand can
    set nothing smaller, and fewer tucks then do.
    """
    sign = 1 if coming > 0 else -1
    limits = [min(DEPTH_LIMIT, depth // DEPTH_SHARE) for depth in run.depths[run.sewn :]]
    steps = spread_steps(round(abs(coming) / (2 * run.step)), limits, run.step, most=1)
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
    return sqrt(max(0.0, drift.excess_variance + ahead))
