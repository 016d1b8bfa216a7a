"""Minutes of each stage: planned from the steps themselves, with their range, beside what is logged."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from functools import lru_cache

from projects.calc.ranges import range80

from .plan import PlannedStep, StageBudget
from .stages import ALL_BUILT_IN, Stage, titles_of

WHOLE = Decimal(1_000_000)
OTHER = ("", "Not in any stage")


def make_budget(
    steps: Iterable[PlannedStep],
    logged: Mapping[str, int],
    rest_on_starting: Mapping[str, bool],
    stages: Iterable[Stage] = ALL_BUILT_IN,
) -> tuple[StageBudget, ...]:
    """The stages that have planned or logged minutes, in working order. The steps' minutes sum to planned.

    What is skipped or no longer in the plan is not planned for.
    """
    planned: dict[str, Decimal] = {}
    for step in steps:
        if step.in_plan and step.state != "skipped":
            planned[step.stage] = planned.get(step.stage, Decimal(0)) + step.minutes
    known = titles_of(stages) | dict([OTHER])
    unknown = {key: key for key in (*planned, *logged) if key not in known}
    return tuple(
        _stage(key, title, planned.get(key, Decimal(0)), logged.get(key, 0), rest_on_starting.get(key, False))
        for key, title in (known | unknown).items()
        if planned.get(key) or logged.get(key)
    )


def _stage(key: str, title: str, planned: Decimal, logged: int, starting: bool) -> StageBudget:
    low, high = one_step()
    return StageBudget(key, title, planned, _share(planned, low), _share(planned, high), logged, starting)


@lru_cache(maxsize=1)
def one_step() -> tuple[Decimal, Decimal]:
    """The 80 % range of a single step as shares of what is planned: the same for every step."""
    found = range80([WHOLE])
    return found.low / WHOLE, found.high / WHOLE


def _share(planned: Decimal, share: Decimal) -> Decimal:
    return (planned * share).quantize(Decimal(1))


def total_range(budget: Iterable[StageBudget]) -> tuple[Decimal, Decimal]:
    """The 80 % range of the whole: each stage is one step of the simulation."""
    return _total(tuple(stage.planned for stage in budget))


@lru_cache(maxsize=512)
def _total(planned: tuple[Decimal, ...]) -> tuple[Decimal, Decimal]:
    found = range80(planned)
    return found.low, found.high
