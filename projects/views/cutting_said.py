"""What became of a panel that was booked as cut, or not after all, and of its length, in words."""

from projects.activities.lay_cutting import Booked
from projects.activities.stock import StockError
from projects.calc.lengths import Rounding, System, rounded


def said(booked: Booked, system: System) -> str:
    """One or two sentences for the page."""
    if booked.cut:
        what = "is booked as cut; its numbers stay as they are now"
    else:
        what = "is not cut after all; it follows its piece again"
    return f"{booked.panel.name} {what}. {_length(booked, system)}"


def _length(booked: Booked, system: System) -> str:
    if booked.cloth is None:
        return (
            "No lay with it is kept on a length, so nothing was taken off one: book the cloth there."
            if booked.cut
            else "No lay with it is kept on a length, so nothing went back to one."
        )
    if booked.amount:
        length = rounded(booked.amount, Rounding.CLOTH, system)
        return f"{length} {'taken off' if booked.cut else 'went back to'} {booked.cloth}."
    why = (
        "its stretch was counted already"
        if booked.cut
        else "another panel of its stretch is cut, or the lay was kept anew since"
    )
    return f"Nothing changed on {booked.cloth}: {why}."


def refused(error: StockError, system: System) -> str:
    """Why the ledger of the length did not let a panel be booked."""
    return error.text(lambda nm: rounded(nm, Rounding.CLOTH, system))
