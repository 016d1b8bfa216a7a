"""A lay on cloth of another width, to be compared: found at once, not improved."""

from dataclasses import dataclass, replace

from projects.calc.lay import LayError, LayRequest
from projects.models import Fabric, LayDraft, Project

from .cloth import Washing
from .lay_request import question, table_of
from .plan import Plan
from .quick_lays import quick_lay


@dataclass(frozen=True, slots=True)
class AtWidth:
    """The cloth as bought (nm) that the panels still to cut take at ``width``, beside what they take now at
    ``now_width``; both found alike, on the roll alone. ``problem`` where they can't be laid so."""

    width: int
    length: int | None
    now_width: int
    now_length: int | None
    problem: str = ""


def compare_width(
    draft: LayDraft | None, width: int, plan: Plan, fabric: Fabric, project: Project
) -> AtWidth:
    """The project's panels still to cut on cloth bought ``width`` nm wide, with the draft's gap, lost end and
    way of cutting; pins are left out."""
    options, washing = draft or LayDraft(), Washing.of(fabric, project)
    request = question(options, table_of(plan, fabric, project, ())).request
    request = replace(request, lengths=(), pins=())
    now_width = options.width or fabric.width
    now, _ = _length(request, now_width, washing)
    then, problem = _length(request, width, washing)
    return AtWidth(width, then, now_width, now, problem)


def _length(request: LayRequest, width: int, washing: Washing) -> tuple[int | None, str]:
    try:
        lay = quick_lay(replace(request, width=washing.worked_width(width)))
    except LayError as error:
        return None, str(error).strip()
    return washing.to_buy(lay.length), ""
