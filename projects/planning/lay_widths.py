"""A lay on cloth of another width, to be compared: found at once, not improved."""

from dataclasses import dataclass

from projects.models import Fabric, LayDraft, Project

from .plan import Plan


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
    """The panels still to cut on cloth bought ``width`` nm wide."""
    raise NotImplementedError
