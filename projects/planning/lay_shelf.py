"""What a lay would take if lengths on the shelf were used up first, before anybody asks for that."""

from projects.calc.lay import Lay, LayError
from projects.models import Fabric, Project

from .lay_request import asked
from .plan import Plan
from .quick_lays import quick_lay


def on_shelf(plan: Plan, fabric: Fabric, project: Project) -> Lay | None:
    """The quick lay as options are to begin with: lengths on the shelf first. None where there is none."""
    try:
        return quick_lay(asked(None, plan, fabric, project).request)
    except LayError:
        return None
