"""What became of a panel that was booked as cut, or not after all, and of its length, in words."""

from collections.abc import Sequence

from projects.activities.lay_cutting import Booked, Ticked
from projects.activities.stock import StockError
from projects.calc.lengths import Rounding, System, of_shelf, rounded
from projects.models import ClothLength


def said(booked: Booked, system: System) -> str:
    """One or two sentences for the page."""
    if booked.cut:
        what = "is booked as cut; its numbers stay as they are now"
    else:
        what = "is not cut after all; it follows its piece again"
    texts = (f"{booked.panel.name} {what}.", _others(booked), _length(booked, system))
    return " ".join(text for text in texts if text)


def _others(booked: Booked) -> str:
    """Panels and remnants that came with the same cuts, or went."""
    texts = []
    if booked.others:
        came = "came free with it" if booked.cut else "not cut after all either"
        texts.append(f"{'; '.join(booked.others)}: {came}.")
    if booked.remnants:
        labels = "; ".join(remnant.label for remnant in booked.remnants)
        texts.append(f"{labels}: {'on the shelf now' if booked.cut else 'put away'}.")
    return " ".join(texts)


def _length(booked: Booked, system: System) -> str:
    if booked.cloth is None:
        return (
            "No accepted lay with it is on a length, so nothing was taken off one: book the cloth there."
            if booked.cut
            else "No accepted lay with it is on a length, so nothing went back to one."
        )
    if booked.amount:
        length = rounded(booked.amount, of_shelf(booked.amount, system), system)
        return f"{length} {'taken off' if booked.cut else 'went back to'} {booked.cloth}."
    why = "what the lay uses was off it already" if booked.cut else "other cuts were made from it"
    return f"Nothing changed on {booked.cloth}: {why}."


def ticked(done: Ticked, system: System, *, made: bool) -> str:
    """What became of one cut, in a few words."""
    number = done.step.number
    if not done.changed:
        return f"Cut {number} {'was ticked already' if made else 'is not ticked'}; nothing changed."
    texts = [f"Cut {number} is {'made' if made else 'taken back'}."]
    if done.amount and done.step.cloth:
        length = rounded(done.amount, of_shelf(done.amount, system), system)
        texts.append(f"{length} {'taken off' if made else 'went back to'} {done.step.cloth}.")
    if done.panels:
        names = "; ".join(panel.name for panel in done.panels)
        texts.append(f"{'Booked as cut' if made else 'Not cut after all'}: {names}.")
    if done.remnants:
        labels = "; ".join(remnant.label for remnant in done.remnants)
        texts.append(f"{'On the shelf now' if made else 'Put away'}: {labels}.")
    return " ".join(texts)


def uncut(rows: Sequence[ClothLength], system: System) -> str:
    """What a lay that was let go had cut off and not cut up, as it is on the shelf now; empty for none."""
    if not rows:
        return ""
    named = "; ".join(f"{row.label}, {_size(row, system)}" for row in rows)
    return f"What was cut off and not cut up is on the shelf now: {named}."


def _size(row: ClothLength, system: System) -> str:
    row.refresh_from_db(fields=["shelf"])
    sizes = (row.width or row.fabric.width, row.shelf)
    return " × ".join(rounded(nm, Rounding.PANEL, system) for nm in sizes)


def refused(error: StockError, system: System) -> str:
    """Why the ledger of the length did not let a panel be booked."""
    return error.text(lambda nm: rounded(nm, of_shelf(nm, system), system))
