"""How often dates promised at 80 % are kept by a simulated studio of three.

Work arrives, is promised for the day the program names, and is worked in the order it is due, step by step.
Rates, projects, steps, weeks and sick weeks are drawn here and in `tests.studio_sim`; the program learns from
what gets logged, and forecasts what is left of every project in hand before each promise.

    python -m tests.bench.promise_bench [SEEDS] [WRONG_SEEDS]
"""

from __future__ import annotations

import statistics
import sys
import time
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from random import Random

from projects.calc.forecast import Done, Left, forecast
from projects.calc.learned import Learned, Observation, learn
from projects.calc.mixed import Spreads
from projects.calc.promise import Share, Work, Worker, promise_for, share_of
from projects.calc.weeks_worked import Span, weeks_worked
from tests.bench.estimate_bench import parts_of
from tests.studio_sim import Maker, SimStep, Truth, make_project, observed, true_minutes

KEPT = (0.75, 0.88)
FIRST = date(2026, 1, 5)
PEOPLE = (1, 2, 3)
WEEK = (360, 360, 360, 360, 300, 0, 0)
WARM_UP = 40
DAYS = 110
LATEST = 100
"""The program learns from so many of the latest finished steps."""
WEEKS = 8
EVERY = 3.5
"""A new project arrives every so many days, on average: about as much work as there are hours for."""
TRUTHS = {
    "as the model has it": Truth(),
    "rates move together": Truth(alike=0.5),
    "sds of 0.2": Truth(shared_sd=0.2, step_sd=0.2),
    "sds of 0.45": Truth(shared_sd=0.45, step_sd=0.45),
    "all takes 20 % longer": Truth(bias=0.2),
    "all takes 20 % less": Truth(bias=-0.2),
}


IDLE = "often idle"
COUNTED = "often idle, and idle days counted against it"
WORK = {name: {} for name in TRUTHS} | {IDLE: {"every": 8.0}, COUNTED: {"every": 8.0, "by_whole_weeks": True}}
"""How often work comes, and whether days without any count as slow: under the last, dates come later."""


@dataclass
class Job:
    """A project in hand: its steps, whose part it shares with whom, what is done, and its promise."""

    number: int
    steps: list[SimStep]
    shared: dict[int, float]
    promised: date | None = None
    arrived: date = FIRST
    doing: dict[int, tuple[int, float, float]] = field(default_factory=dict)
    """By person: the step in hand, its true minutes, and minutes so far."""
    next: int = 0
    done: list[tuple[int, int, int]] = field(default_factory=list)
    finished: date | None = None


@dataclass
class Studio:
    """Three people, what they really do day by day, and what the program gets to see of it."""

    truth: Truth
    rng: Random
    makers: dict[int, Maker] = field(default_factory=dict)
    jobs: list[Job] = field(default_factory=list)
    logs: list[Observation] = field(default_factory=list)
    logged: dict[tuple[int, date], float] = field(default_factory=dict)
    by_whole_weeks: bool = False
    """Whether idle days count too, as they once did: to see what leaving them out does."""
    share: float = 1.0
    kept: list[bool] = field(default_factory=list)
    ahead: list[int] = field(default_factory=list)
    spreads: Spreads | None = None
    learned: Learned | None = None
    learned_from: int = 0
    asked_at: int = 10

    def __post_init__(self) -> None:
        self.makers = {p: Maker(self.truth, self.rng, p) for p in PEOPLE}
        self.share = self.rng.uniform(0.75, 1.05)
        self.workers = [Worker(p, WEEK, self._holidays()) for p in PEOPLE]  # type: ignore[arg-type]

    def _holidays(self) -> tuple[tuple[date, date], ...]:
        """Two holidays a year, known beforehand."""
        starts = [FIRST + timedelta(days=self.rng.randint(low, low + 150)) for low in (20, 190)]
        return tuple((start, start + timedelta(days=self.rng.randint(4, 14))) for start in starts)

    # -- what really happens ---------------------------------------------------------------------------------

    def work_a_week(self, monday: date) -> None:
        strays = {p: max(self.rng.gauss(self.share, 0.25), 0.1) for p in PEOPLE}
        for person in PEOPLE:
            if self.rng.random() < 0.04:
                strays[person] = 0.0  # a week in bed
        for day in range(7):
            today = monday + timedelta(days=day)
            for worker in self.workers:
                person = worker.person
                if not any(first <= today <= last for first, last in worker.off):
                    self.logged[person, today] = self._work(person, today, WEEK[day] * strays[person])

    def _work(self, person: int, today: date, minutes: float) -> float:
        """One person's day: the next free step of the project that is due first."""
        left = minutes
        while left > 1e-9:
            free = (job for job in self._open() if person in job.doing or job.next < len(job.steps))
            job = next(free, None)
            if job is None:
                break
            if person not in job.doing:
                took = true_minutes(self.makers[person], job.steps[job.next], self._shared(job, person))
                job.doing[person] = (job.next, took, 0.0)
                job.next += 1
            at, took, so_far = job.doing[person]
            now = min(left, took - so_far)
            left -= now
            job.doing[person] = (at, took, so_far + now)
            if so_far + now >= took - 1e-9:
                self._finish(job, person, at, took, today)
        return minutes - left

    def _open(self) -> list[Job]:
        """What is open, in the order it is due."""
        return sorted(
            (job for job in self.jobs if not job.finished),
            key=lambda job: (job.promised or date.max, job.number),
        )

    def _shared(self, job: Job, person: int) -> float:
        if person not in job.shared:
            job.shared[person] = self.rng.gauss(0, self.truth.shared_sd)
        return job.shared[person]

    def _finish(self, job: Job, person: int, at: int, took: float, today: date) -> None:
        del job.doing[person]
        job.done.append((at, person, max(1, round(took))))
        self.logs.append(observed(self.makers[person], job.number, job.steps[at], took))
        if len(job.done) == len(job.steps):
            job.finished = today
            if job.promised and job.promised >= FIRST + timedelta(days=WARM_UP):
                self.kept.append(today <= job.promised)

    # -- what the program does -------------------------------------------------------------------------------

    def left_of(self, job: Job, learned: Learned) -> Work:
        done = [
            Done((parts_of(learned, job.steps[at], person),), Decimal(minutes))
            for at, person, minutes in job.done
        ]
        left = [Left(parts_of(learned, step, None)) for step in job.steps[job.next :]]
        for person, (at, took, so_far) in job.doing.items():
            share = Decimal(f"{min(so_far / took, 0.99):.3f}")  # units of the run that are sewn
            left.append(Left(parts_of(learned, job.steps[at], person), share, Decimal(round(so_far))))
        found = forecast(done, left, spent=Decimal(0), learned=learned)
        minutes = float(found.left.middle)
        return Work(job.number, job.promised, minutes, found.own_sd, found.common_sd, begun=job.number)

    def _learn(self) -> Learned:
        """From the latest logs; how far steps stray is asked anew only now and then, which saves time."""
        if self.learned is None or len(self.logs) > self.learned_from:
            anew = len(self.logs) >= self.asked_at
            found = learn(self.logs[-LATEST:], known=None if anew or not self.spreads else self.spreads)
            self.spreads = Spreads(1.0, found.shared_sd**2, found.step_sd**2)
            self.learned, self.learned_from = found, len(self.logs)
            self.asked_at += 30 if anew else 0
        return self.learned

    def _share(self, today: date) -> Share:
        """From the last weeks, as `planning.promises.calendar_on` has it; promises are asked on Mondays."""
        first = today - timedelta(days=7 * WEEKS)
        logged = {
            (person, (day - first).days): round(minutes)
            for (person, day), minutes in self.logged.items()
            if first <= day < today
        }
        spans = [Span(job.arrived, job.finished) for job in self.jobs]
        if self.by_whole_weeks:
            spans = [Span(FIRST - timedelta(days=7), None)]
        return share_of(weeks_worked(logged, self.workers, spans, first, WEEKS))

    def arrive(self, today: date, number: int) -> None:
        """A new project, promised for the day that what was learned so far names."""
        job = Job(number, make_project(self.rng, self.rng.uniform(10, 60)), {}, arrived=today)
        learned = self._learn()
        works = [self.left_of(other, learned) for other in self._open()]
        new = self.left_of(job, learned)
        promise = promise_for(
            new.minutes,
            works,
            self.workers,
            today,
            own_sd=new.own_sd,
            common_sd=new.common_sd,
            share=self._share(today),
        )
        job.promised = promise.safe
        self.jobs.append(job)
        if promise.safe:
            self.ahead.append((promise.safe - today).days)


def run(truth: Truth, seed: int, *, every: float = EVERY, by_whole_weeks: bool = False) -> Studio:
    """Most of a year of one studio. Promises whose day lies within the year or soon after count."""
    studio = Studio(truth, Random(seed), by_whole_weeks=by_whole_weeks)
    arrivals = [0, 0, 1]
    while arrivals[-1] < DAYS:
        arrivals.append(arrivals[-1] + max(1, round(studio.rng.expovariate(1 / every))))
    arrivals = [day for day in arrivals if day < DAYS]
    for week in range(DAYS // 7 + 30):
        monday = FIRST + timedelta(days=7 * week)
        for number, day in enumerate(arrivals):
            if day // 7 == week:
                studio.arrive(monday, number)
        if not studio._open() and week * 7 > DAYS:
            break
        studio.work_a_week(monday)
    return studio


def main(seeds: int = 100, wrong: int = 10) -> int:
    good = True
    for name, work in WORK.items():
        start, truth = time.process_time(), TRUTHS.get(name, Truth())
        right = name == "as the model has it"
        studios = [run(truth, 7_000 + seed, **work) for seed in range(seeds if right else wrong)]
        kept = [hit for studio in studios for hit in studio.kept]
        ahead = [days for studio in studios for days in studio.ahead]
        share = sum(kept) / len(kept)
        fine = KEPT[0] <= share <= KEPT[1]
        good = good and (fine or not right)
        print(
            f"{name}: {share:.1%} of {len(kept):,} promises kept in {len(studios)} studios "
            f"(limits {KEPT[0]:.0%} to {KEPT[1]:.0%}), {statistics.mean(ahead):.1f} days ahead (mean), "
            f"{time.process_time() - start:.0f} s: {'kept' if fine else 'BROKEN'}",
            flush=True,
        )
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
