"""What a project's page shows: the Plan, sorted into what the reader looks for."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from projects.activities import finding_projects as finding
from projects.calc.ranges import Range80
from projects.models import Person, Project
from projects.planning.first_budget import FirstBudget, read_budget
from projects.planning.forecasts import Forecast, forecast_of
from projects.planning.load import load_rows
from projects.planning.making import plan_rows
from projects.planning.plan import Plan, StageBudget
from projects.planning.steps_seen import changes_since

NEXT = 5
NOTHING = Range80(Decimal(0), Decimal(0), Decimal(0))


@dataclass(frozen=True, slots=True)
class StageLine:
    """One stage's minutes: planned beside logged and what is left, and how much of the plan is used, in
    hundredths. ``first`` was planned when work began; the range is that of what is left while work goes on,
    else that of the plan."""

    title: str
    planned: Decimal
    low: Decimal
    high: Decimal
    logged: int
    starting: bool
    learnt: int = 0
    first: Decimal = Decimal(0)
    left: Decimal = Decimal(0)

    @property
    def over(self) -> bool:
        return self.logged > self.planned

    @property
    def used(self) -> int:
        return min(100, round(100 * self.logged / self.planned)) if self.planned else 100 * bool(self.logged)


def page_of(project: Project, person: Person) -> dict[str, Any]:
    """Everything the page needs. Makers see hours of their own where owners see everybody's."""
    rows = load_rows(project)
    plan = plan_rows(rows)
    to_do = plan.next_steps()
    forecast = forecast_of(rows, plan)
    first = read_budget(project.first_budget)
    stages = stage_lines(plan, project, person, forecast, first)
    panels = [panel for piece in plan.pieces for panel in piece.panels]
    return {
        "project": project,
        "plan": plan,
        "stages": stages,
        "next_steps": to_do[:NEXT],
        "more_steps": max(0, len(to_do) - NEXT),
        "states": Project.STATES,
        "changes": changes_since(project.steps_seen, plan.steps),
        "minutes_logged": sum(line.logged for line in stages),
        "panel_count": len(panels),
        "panels_cut": sum(panel.cut for panel in panels),
        "problems": [piece for piece in plan.pieces if piece.problem],
        "starting": any(line.starting for line in stages),
        "learnt": max((line.learnt for line in stages), default=0),
        "forecast": forecast,
        "first": first,
    }


def stage_lines(
    plan: Plan,
    project: Project,
    person: Person,
    forecast: Forecast | None = None,
    first: FirstBudget | None = None,
) -> list[StageLine]:
    """Stages with anything planned or logged, in working order, with what was planned at the start where that
    was kept; with a forecast also what is left of each."""
    logged = finding.minutes_by_stage(project, person=person)
    began = dict(first.stages) if first else {}
    lines = [
        _line(stage, logged.pop(stage.stage, 0), forecast, began.pop(stage.stage, Decimal(0)))
        for stage in plan.budget
    ]
    rest = sum(logged.values())
    if rest:
        lines.append(StageLine("No stage named", Decimal(0), Decimal(0), Decimal(0), rest, False))
    if gone := sum(began.values(), Decimal(0)):
        # So that what was planned at the start sums to its total.
        lines.append(StageLine("No longer planned", *[Decimal(0)] * 3, 0, False, first=gone))
    return [line for line in lines if line.planned or line.logged or line.first]


def _line(stage: StageBudget, logged: int, forecast: Forecast | None, first: Decimal) -> StageLine:
    if forecast is None:
        reach = Range80(stage.low, Decimal(0), stage.high)
    else:
        reach = forecast.stages.get(stage.stage, NOTHING)
    return StageLine(
        stage.title, stage.planned, reach.low, reach.high, logged, stage.starting, stage.learnt, first,
        reach.middle,
    )  # fmt: skip
