"""A hand sewing a run, tuck by tuck, as the advice of check measures tells it, and how long it comes out."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from projects.calc.checks import check_places
from projects.calc.correct import METRIC_STEP, STARTING_HAND, Advice, Hand, Reading, RunSoFar, advise

MM = 1_000_000


@dataclass(frozen=True)
class Sewing:
    """What is sewn, and how well, lengths nm: `bias` and `spread` of the hand that sews, `hand` what is
    believed of it before, `tape` the standard deviation of a reading."""

    tucks: int = 60
    depth: int = 7 * MM
    bias: int = 300_000
    spread: int = 400_000
    tape: int = 300_000
    every: int | None = 10
    step: int = METRIC_STEP
    hand: Hand = STARTING_HAND


@dataclass(frozen=True)
class Sewn:
    """`excess`: what the panel came out too long by; every advice with the number of tucks left then."""

    excess: int
    given: tuple[tuple[int, Advice], ...]


def sew(sewing: Sewing, seed: int) -> Sewn:
    """One run from end to end."""
    chance, n = Random(seed), sewing.tucks
    checks = set(check_places(n, sewing.every))
    wanted: dict[int, int] = {}
    guide = excess = 0
    asked: list[int] = []
    readings: list[Reading] = []
    given: list[tuple[int, Advice]] = []
    for place in range(n):
        asked.append(guide + wanted.get(place, 0))
        excess -= 2 * (asked[-1] + round(chance.gauss(sewing.bias, sewing.spread)))
        if place + 1 in checks:
            off = chance.gauss(0, sewing.tape) + chance.gauss(0, sewing.tape)
            readings.append(Reading(place + 1, excess + round(off)))
            advice = advise(
                RunSoFar(
                    depths=(sewing.depth,) * n,
                    asked=tuple(asked),
                    sewn=place + 1,
                    readings=tuple(readings),
                    hand=sewing.hand,
                    step=sewing.step,
                    guide=guide,
                )
            )
            given.append((n - place - 1, advice))
            agreed = sum(step for one, step in wanted.items() if one > place)
            if not advice.goes_on(agreed):
                guide, wanted = advice.guide, dict(advice.corrections)
    return Sewn(excess, tuple(given))


def broken_rules(sewing: Sewing, sewn: Sewn) -> list[str]:
    """Every instruction that is not in steps, or outside the limits."""
    wrong = []
    limit = min(500_000, sewing.depth // 10)
    for left, advice in sewn.given:
        if advice.guide % sewing.step or abs(advice.guide) > 500_000:
            wrong.append(f"guide at {advice.guide}")
        if any(abs(change) != sewing.step for _, change in advice.corrections):
            wrong.append("a correction of more or less than a step")
        places = [place for place, _ in advice.corrections]
        if len(set(places)) != len(places) or any(p < sewing.tucks - left for p in places):
            wrong.append("a tuck corrected twice, or one that is sewn")
        corrected = (len(places) - abs(advice.steady)) * sewing.step
        if corrected > limit * left or abs(advice.steady) * sewing.step > 500_000 * left:
            wrong.append("more than the limit a tuck")
    return wrong


def shares(excesses: list[int], within: int) -> tuple[float, float]:
    """The share of panels within `within` of their length, and what 95 in 100 are within (nm)."""
    off = sorted(abs(excess) for excess in excesses)
    return sum(e <= within for e in off) / len(off), off[round(0.95 * len(off)) - 1]
