"""How often the 80 % ranges of learned estimates hold, and what a forecast at half-way is worth.

Makers whose true rates nobody told the program log 30 steps each. Before each step its range is asked for,
knowing all logs so far; after the logs, half a new project is worked and its end is forecast.

    python -m tests.bench.estimate_bench [MAKERS]
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from math import log, sqrt
from random import Random

from projects.calc.forecast import Done, Left, forecast
from projects.calc.labour import DRIVERS
from projects.calc.learned import (
    Factor,
    Key,
    Learned,
    Observation,
    Parts,
    learn,
    loads_of,
    moved,
    rate_variance,
)
from projects.calc.ranges import SHARED_SD, STEP_SD, Range80, range80
from tests.studio_sim import Maker, SimStep, Truth, make_project, observed, work_through

Learner = Callable[[Sequence[Observation]], Learned]
LOGS = 30
FROM = 10
HELD = (0.75, 0.85)
SHARE = 2 / 3
APART = "as the model has it, learned stage by stage"
TRUTHS = {
    "as the model has it": Truth(),
    APART: Truth(),
    "rates move together": Truth(alike=0.5),
    "rates by technique": Truth(by_technique=True),
    "sds of 0.2": Truth(shared_sd=0.2, step_sd=0.2),
    "sds of 0.45": Truth(shared_sd=0.45, step_sd=0.45),
    "all takes 20 % longer": Truth(bias=0.2),
    "all takes 20 % less": Truth(bias=-0.2),
    "rates of sd 0.5": Truth(rate_sd=0.5),
}


@dataclass
class Score:
    """Hits by number of logs known: of the next step, of the first of a project, of a whole project;
    errors (of the logarithm) at half-way of the forecast and of the plain budget."""

    step: dict[int, list[bool]] = field(default_factory=dict)
    alone: dict[int, list[bool]] = field(default_factory=dict)
    project: dict[int, list[bool]] = field(default_factory=dict)
    forecast: list[float] = field(default_factory=list)
    plain: list[float] = field(default_factory=list)
    half: list[bool] = field(default_factory=list)


def learn_apart(logs: Sequence[Observation]) -> Learned:
    """Stage by stage, as the program keeps it; spreads are those of the stages, each by its steps."""
    stages: dict[str, list[Observation]] = {}
    for one in logs:
        stages.setdefault(DRIVERS[next(iter(one.work))].stage, []).append(one)
    table: dict[Key, Factor] = {}
    shared = step = 0.0
    for of_stage in stages.values():
        found = learn(of_stage)
        table |= {key: factor for key, factor in found.table.items() if key[0]}
        shared += found.shared_sd * len(of_stage)
        step += found.step_sd * len(of_stage)
    return Learned(table, shared / len(logs), step / len(logs)) if logs else Learned()


def parts_of(learned: Learned, step: SimStep, person: int | None) -> Parts:
    return tuple(
        (Decimal(f"{minutes:.2f}"), learned.factor(driver, step.technique, person))
        for driver, minutes in step.work.items()
    )


def range_of(steps: Iterable[Parts], shared_sd: float = SHARED_SD, step_sd: float = STEP_SD) -> Range80:
    """The 80 % range, in minutes, of all these steps of one project together: what is not known of the rates,
    the part they share, and a part of each step."""
    found = tuple(steps)
    rates, _ = rate_variance(loads_of(found))
    return range80([Decimal(moved(parts)) for parts in found], sqrt(shared_sd**2 + rates), step_sd)


def log_steps(maker: Maker, score: Score, learn: Learner) -> list[Observation]:
    """Project after project, each step's range asked for before it is worked."""
    logs: list[Observation] = []
    number = 0
    while len(logs) < LOGS:
        number += 1
        steps = make_project(maker.rng, maker.rng.uniform(6, 30))
        minutes = work_through(maker, steps)
        learned = learn(logs)
        reach = range_of([parts_of(learned, s, 1) for s in steps], learned.shared_sd, learned.step_sd)
        score.project.setdefault(len(logs), []).append(reach.low <= sum(minutes) <= reach.high)
        for at, (step, took) in enumerate(zip(steps, minutes, strict=True)):
            learned = learn(logs)
            known = [
                Done((parts_of(learned, s, 1),), Decimal(round(m)))
                for s, m in zip(steps[:at], minutes[:at], strict=True)
            ]
            parts = parts_of(learned, step, 1)
            here = forecast(known, [Left(parts)], spent=Decimal(0), learned=learned).left
            score.step.setdefault(len(logs), []).append(here.low <= took <= here.high)
            if not at:
                alone = range_of([parts], learned.shared_sd, learned.step_sd)
                score.alone.setdefault(len(logs), []).append(alone.low <= took <= alone.high)
            logs.append(observed(maker, number, step, took))
    return logs


def half_way(maker: Maker, logs: Sequence[Observation], score: Score, learn: Learner) -> None:
    """A new project with half its planned minutes done: forecast and budget beside what it really takes."""
    steps = make_project(maker.rng, maker.rng.uniform(6, 30))
    minutes = work_through(maker, steps)
    planned, half = sum(step.planned for step in steps), 0
    while sum(step.planned for step in steps[:half]) < planned / 2:
        half += 1
    done = list(zip(steps[:half], minutes[:half], strict=True))
    learned = learn([*logs, *(observed(maker, 99, step, took) for step, took in done)])
    found = forecast(
        [Done((parts_of(learned, step, 1),), Decimal(round(took))) for step, took in done],
        [Left(parts_of(learned, step, 1)) for step in steps[half:]],
        spent=Decimal(round(sum(minutes[:half]))),
        learned=learned,
    )
    total = sum(minutes)
    score.forecast.append(abs(log(float(found.in_all.middle) / total)))
    score.plain.append(abs(log(planned / total)))
    score.half.append(found.in_all.low <= total <= found.in_all.high)


def run(truth: Truth, makers: int, seed: int = 5, learn: Learner = learn) -> Score:
    score = Score()
    for number in range(makers):
        maker = Maker(truth, Random(seed * 100_003 + number))
        half_way(maker, log_steps(maker, score, learn), score, learn)
    return score


def held(hits: dict[int, list[bool]], first: int, last: int) -> float:
    chosen = [hit for logs, found in hits.items() if first <= logs <= last for hit in found]
    return sum(chosen) / len(chosen) if chosen else float("nan")


def main(makers: int = 200) -> int:
    good = True
    for name, truth in TRUTHS.items():
        right = name == "as the model has it"
        start = time.process_time()
        few = makers if right else max(makers // 4, 1)
        score = run(truth, few, learn=learn_apart if name == APART else learn)
        bands = [(0, 4), (5, 9), (10, 14), (15, 19), (20, 24), (25, 29)]
        by_logs = " ".join(f"{first}+: {held(score.step, first, last):.1%}" for first, last in bands)
        step, alone, project = (
            held(hits, FROM, LOGS) for hits in (score.step, score.alone, score.project)
        )
        ratio = statistics.median(score.forecast) / statistics.median(score.plain)
        kept = HELD[0] <= step <= HELD[1] and HELD[0] <= alone <= HELD[1] and ratio <= SHARE
        good = good and (kept or not right)
        print(f"{name} ({len(score.half)} makers, {time.process_time() - start:.0f} s)")
        print(f"  the next step's range by logs known: {by_logs}")
        print(
            f"  from {FROM} logs on: {step:.1%}, {alone:.1%} of first steps of a project, whole projects "
            f"{project:.1%}; limits {HELD[0]:.0%} to {HELD[1]:.0%}"
        )
        print(
            f"  half-way: median error {statistics.median(score.forecast):.1%}, plain budget "
            f"{statistics.median(score.plain):.1%}, ratio {ratio:.2f} (limit {SHARE:.2f}), "
            f"range holds {statistics.mean(score.half):.1%}: {'kept' if kept else 'BROKEN'}",
            flush=True,
        )
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
