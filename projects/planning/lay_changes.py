"""How the plan has changed since a lay was accepted, as plain facts."""

from projects.models import KeptLay

from .plan import Plan


def what_changed(kept: KeptLay, plan: Plan) -> list[str]:
    """Each difference in a sentence: "Front is 2 mm longer." The plan is that of the lay's own project, or of
    one laid together with it; only its own panels are compared. Empty where nothing differs."""
    raise NotImplementedError
