"""Minutes of each stage: planned from the steps themselves, with their range, beside what is logged."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from functools import lru_cache

from projects.calc.ranges import SHARED_SD, STEP_SD, range80

from .plan import PlannedStep, StageBudget
from .spreads import ALL, Taught
from .stages import ALL_BUILT_IN, Stage, titles_of

WHOLE = Decimal(1_000_000)
OTHER = ("", "Not in any stage")


def make_budget(
    steps: Iterable[PlannedStep],
    logged: Mapping[str, int],
    rest_on_starting: Mapping[str, bool],
    stages: Iterable[Stage] = ALL_BUILT_IN,
    taught: Taught | None = None,
) -> tuple[StageBudget, ...]:
    """The stages that have planned or logged minutes, in working order. The steps' minutes sum to planned.

    What is skipped or no longer in the plan is not planned for. ``taught``: what logs say of the spread.
    """
    planned: dict[str, Decimal] = {}
    for step in steps:
        if step.in_plan and step.state != "skipped":
            planned[step.stage] = planned.get(step.stage, Decimal(0)) + step.minutes
    told = taught or Taught()
    known = titles_of(stages) | dict([OTHER])
    unknown = {key: key for key in (*planned, *logged) if key not in known}
    none, starting = Decimal(0), rest_on_starting.get
    return tuple(
        _stage(key, title, planned.get(key, none), logged.get(key, 0), starting(key, False), told)
        for key, title in (known | unknown).items()
        if planned.get(key) or logged.get(key)
    )


def _stage(
    key: str, title: str, planned: Decimal, logged: int, starting: bool, told: Taught
) -> StageBudget:
    low, high = one_step(told.shared_of(key), told.step_sd)
    reach = _share(planned, low), _share(planned, high)
    return StageBudget(key, title, planned, *reach, logged, starting, told.steps_of(key))


@lru_cache(maxsize=256)
def one_step(shared_sd: float = SHARED_SD, step_sd: float = STEP_SD) -> tuple[Decimal, Decimal]:
    """The 80 % range of a single step as shares of what is planned: the same for every step."""
    found = range80([WHOLE], shared_sd, step_sd)
    return found.low / WHOLE, found.high / WHOLE


def _share(planned: Decimal, share: Decimal) -> Decimal:
    return (planned * share).quantize(Decimal(1))


def total_range(budget: Iterable[StageBudget], taught: Taught | None = None) -> tuple[Decimal, Decimal]:
    """The 80 % range of the whole: each stage is one step of the simulation."""
    told = taught or Taught()
    return _total(tuple(stage.planned for stage in budget), told.shared_of(ALL), told.step_sd)


@lru_cache(maxsize=512)
def _total(
    planned: tuple[Decimal, ...], shared_sd: float = SHARED_SD, step_sd: float = STEP_SD
) -> tuple[Decimal, Decimal]:
    found = range80(planned, shared_sd, step_sd)
    return found.low, found.high
