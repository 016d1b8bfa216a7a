"""What the planner of lays is asked for a fabric: the panels still to cut, on the shelf's lengths and the roll.

Lengths are whole nm of cloth as it is worked: what the wash will take is off lengths, widths and flaws.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from projects.calc.lay import LayRequest
from projects.models import Fabric, LayDraft, Project

from .fabric_plan import LayPart
from .load import Stock
from .plan import Plan


@dataclass(frozen=True, slots=True)
class AskedPart:
    """A panel in the question: ``part`` of the project with this id and number."""

    project_id: int
    number: int
    part: LayPart


@dataclass(frozen=True, slots=True)
class LayAsked:
    """A question. ``lengths`` are named "1", "2", ... in it, in their order; ``parts`` by name of their panel
    as it is laid."""

    request: LayRequest
    lengths: tuple[Stock, ...]
    parts: dict[str, AskedPart]

    def stock(self, on: str) -> Stock | None:
        """The length a placement lies on; None for the roll."""
        return self.lengths[int(on) - 1] if on else None


def asked(
    draft: LayDraft | None, plan: Plan, fabric: Fabric, project: Project, others: Sequence[Plan] = ()
) -> LayAsked:
    """The question for one fabric, as the draft's options say; without a draft as they are to begin with.

    ``others`` are the plans of the projects laid together with this one. Raises ``LayError`` where nothing is
    left to cut, or where the projects can't be laid together.
    """
    raise NotImplementedError


def joint_name(number: int, name: str) -> str:
    """The name of a panel of project ``number`` in a lay of several projects."""
    return f"{number}: {name}"
