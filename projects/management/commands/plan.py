"""``manage.py plan NUMBER --json``: the Plan of one project, as text or as JSON."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from projects.calc.labour import format_minutes, total_minutes
from projects.calc.lengths import Rounding, System, rounded
from projects.models import Project
from projects.planning import plan_project
from projects.planning.export import plan_text
from projects.planning.plan import Plan


class Command(BaseCommand):
    help = "Print the plan of a project: panels, cloth to buy, hours. NUMBER is the one on its prints."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("number", type=int, metavar="NUMBER", help="the project's number, or its id")
        parser.add_argument("--json", action="store_true", help="everything, as JSON; lengths in nanometres")

    def handle(self, *args: Any, **options: Any) -> None:
        plan = plan_project(find(options["number"]))
        self.stdout.write(plan_text(plan) if options["json"] else "\n".join(_lines(plan)))


def find(number: int) -> Project:
    """The living project with this number; else the one with this id."""
    projects = Project.objects.live().select_related("client")
    found = projects.filter(number=number).first() or projects.filter(pk=number).first()
    if found is None:
        raise CommandError(f"There is no project with the number {number}. The number stands on every print.")
    return found


def _lines(plan: Plan) -> list[str]:
    system = System(plan.facts.units)
    lines = [f"{plan.facts.number} {plan.facts.title}"]
    for piece in plan.pieces:
        lines += [f"  {piece.problem}"] if piece.problem else []
        for line in piece.panels:
            sizes = (line.plan.cut_width, line.plan.cut_length)
            lines.append(f"  {line.name}: {' x '.join(rounded(nm, Rounding.PANEL, system) for nm in sizes)}")
    lines += [f"  {f.name}: buy {rounded(f.buy, Rounding.CLOTH, system)}" for f in plan.fabrics]
    return [*lines, f"  planned: {format_minutes(total_minutes([plan.minutes]))}"]
