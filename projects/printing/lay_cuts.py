"""The cuts of a lay in words, for the table's page and for the job sheet alike."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from projects.calc.lay import Lay, LayRequest
from projects.calc.lay.cuts import Cut, Part, Remnant, remnants_of
from projects.calc.lengths import Rounding, System, rounded, rounded_down
from projects.planning.lay_cuts import SMALLEST, CutStep

TO_BUY = "the cloth to buy"
"""What the roll is called while no length stands for it."""


@dataclass(frozen=True, slots=True)
class CutMeasure:
    """A figure to measure with the tape, and from where."""

    label: str
    figure: str


@dataclass(frozen=True, slots=True)
class CutWords:
    """One cut: what to do, what to measure, how it runs, what comes free and what is left over."""

    number: int
    cloth: str
    title: str
    measures: tuple[CutMeasure, ...]
    how: str
    frees: str
    leaves: str

    @property
    def line(self) -> str:
        """All of it in one line, without what comes free."""
        measured = "; ".join(f"{m.label}: {m.figure}" for m in self.measures)
        return f"{measured}. {self.how}" if measured else self.how


def words_of(step: CutStep, cloth: str, system: System) -> CutWords:
    """``cloth`` is what is written on the tag of the length it is cut from."""
    title, measures, how = _words(step, cloth, system)
    leaves = "; ".join(_size(left, system) for left in step.keeps)
    return CutWords(step.number, cloth, title, tuple(measures), how, _and(step.frees), leaves)


def _words(step: CutStep, cloth: str, system: System) -> tuple[str, list[CutMeasure], str]:
    cut, part = step.cut, step.cut.part
    if step.takes_all:
        what = _and(step.frees) or "one piece"
        return f"Take all of {cloth}", [], f"Nothing is cut: it is {what} as it is."
    if step.cuts_off:
        measures = [CutMeasure("along the cloth, from its cut end", _say(cut.y1, system))]
        return f"Cut off what is used of {cloth}", measures, "Straight across, from selvedge to selvedge."
    of = f"the part {_say(part.width, system)} wide and {_say(part.length, system)} long"
    of += ", where cloth is left" if cut.gone and cut.straight else ""
    if not cut.straight:
        what = _and(step.frees) or "the remnant"
        return f"Cut out {what}", list(_round(cut, system)), f"Cut all round it{_corner(cut)}, in {of}."
    if cut.y1 == cut.y2:
        measures = [CutMeasure(f"along the part, from its {_near(part)} end", _say(cut.y1 - part.y, system))]
        return "Cut across", measures, f"Straight across {of}."
    measures = [CutMeasure(f"across the part, from its left {_side(part)}", _say(cut.x1 - part.x, system))]
    return "Cut along the grain", measures, f"Straight along {of}."


def _round(cut: Cut, system: System) -> Iterator[CutMeasure]:
    """How far into its part a rectangle begins, where that is not at its edges, and its size."""
    part = cut.part
    if cut.y1 > part.y:
        label = f"along, from the part’s {_near(part)} end to where it begins"
        yield CutMeasure(label, _say(cut.y1 - part.y, system))
    if cut.x1 > part.x:
        label = f"across, from the left {_side(part)} to where it begins"
        yield CutMeasure(label, _say(cut.x1 - part.x, system))
    size = f"{_say(cut.x2 - cut.x1, system)} × {_say(cut.y2 - cut.y1, system)}"
    yield CutMeasure("its size, across × along", size)


def _corner(cut: Cut) -> str:
    """Which edges of its part a rectangle lies at, said in place of a measure of nothing."""
    part = cut.part
    at = [f"at the {_near(part)} end"] if cut.y1 == part.y else []
    at += [f"against the left {_side(part)}"] if cut.x1 == part.x else []
    return f", {' and '.join(at)}" if at else ""


def _near(part: Part) -> str:
    return "cut" if part.y == 0 else "near"


def _side(part: Part) -> str:
    return "selvedge" if part.x == 0 else "edge"


def left_over(lay: Lay, request: LayRequest, labels: dict[str, str], system: System) -> Iterator[str]:
    """What remains after cutting, a line a cloth: "V1: 15 cm × 1.5 m"; the rest of a length is named so."""
    least = request.smallest_remnant or SMALLEST
    found: dict[str, list[str]] = {}
    for left in remnants_of(lay, replace(request, smallest_remnant=least)):
        whole = left.on and left.x == 0 and left.y == _used(lay, left.on)
        text = f"{_left(left.length, system)} uncut" if whole else _size(left, system)
        found.setdefault(left.on, []).append(text)
    for on, sizes in found.items():
        yield f"{labels.get(on, TO_BUY)}: {'; '.join(sizes)}"


def _used(lay: Lay, on: str) -> int:
    return max((p.y + p.length for p in lay.placements if p.on == on), default=0)


def _size(left: Remnant, system: System) -> str:
    return f"{_left(left.width, system)} × {_left(left.length, system)}"


def _left(nm: int, system: System) -> str:
    """A side of what is left over: never more than it is."""
    return rounded_down(nm, Rounding.PANEL, system)


def _say(nm: int, system: System) -> str:
    return rounded(nm, Rounding.PANEL, system)


def _and(names: Iterable[str]) -> str:
    """Names may hold commas, so these don't part them: "Front, left and Back"; of three "A; B and C"."""
    *first, last = [*names] or [""]
    return f"{'; '.join(first)} and {last}" if first else last
