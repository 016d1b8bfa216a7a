"""What a project's page shows: the Plan, sorted into what the reader looks for."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from projects.activities import finding_projects as finding
from projects.models import Person, Project
from projects.planning.forecasts import forecast_of
from projects.planning.load import load_rows
from projects.planning.making import plan_rows
from projects.planning.plan import Plan
from projects.planning.steps_seen import changes_since

NEXT = 5


@dataclass(frozen=True, slots=True)
class StageLine:
    """One stage's minutes: planned beside logged, and how much of the plan is used, in hundredths."""

    title: str
    planned: Decimal
    low: Decimal
    high: Decimal
    logged: int
    starting: bool
    learnt: int = 0

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
    stages = stage_lines(plan, project, person)
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
        "forecast": forecast_of(rows, plan),
    }


def stage_lines(plan: Plan, project: Project, person: Person) -> list[StageLine]:
    """Stages with anything planned or logged, in working order."""
    logged = finding.minutes_by_stage(project, person=person)
    lines = [
        StageLine(s.title, s.planned, s.low, s.high, logged.pop(s.stage, 0), s.starting, s.learnt)
        for s in plan.budget
    ]
    rest = sum(logged.values())
    if rest:
        lines.append(StageLine("No stage named", Decimal(0), Decimal(0), Decimal(0), rest, False))
    return [line for line in lines if line.planned or line.logged]
