"""What comes after a run in the working order: the next step, and the next that is done at the bench."""

from dataclasses import replace
from typing import NamedTuple

from .plan import Plan, PlannedStep


class After(NamedTuple):
    """``step`` comes next, ``run`` is the next with a run at the bench, ``between`` are those before that one
    besides. None where nothing is left."""

    step: PlannedStep | None
    run: PlannedStep | None
    between: tuple[PlannedStep, ...]


def after_run(plan: Plan, key: str) -> After:
    """What is to do once the step ``key`` is over, whether or not it is ticked; a panel that was begun is
    finished before another, as in ``Plan.next_steps``."""
    steps = tuple(step._replace(state="done") if step.key == key else step for step in plan.steps)
    to_do = replace(plan, steps=steps).next_steps()
    run = next((step for step in to_do if step.at_bench), None)
    return After(to_do[0] if to_do else None, run, to_do[: to_do.index(run)] if run else ())
