"""What the bench says, as text in the studio's units: the same for the page and for a device."""

from collections.abc import Iterator
from typing import Any

from projects.calc.bench_state import State
from projects.calc.lengths import Rounding, System, about, rounded
from projects.calc.minutes import format_minutes
from projects.drawings.marks import look
from projects.planning.bench_now import Due, Now, depth_of
from projects.planning.plan import CheckMeasure
from projects.planning.run_units import Unit
from projects.planning.runs import RunPlan, Where


class Words:
    """Texts of one run in one system of units."""

    def __init__(self, run: RunPlan, system: System) -> None:
        self.run, self.system = run, system

    def length(self, nm: int) -> str:
        """A mark or reading: "22 mm", "7.5 mm", "1 ⁵⁄₁₆ in"."""
        number, unit = self.split(nm)
        return f"{number} {unit}"

    def split(self, nm: int) -> tuple[str, str]:
        """Number and unit apart, a whole number without its ".0"."""
        number, unit = rounded(nm, Rounding.MARK, self.system).rsplit(" ", 1)
        return number.removesuffix(".0"), unit

    def deep(self, nm: int | None) -> tuple[str, str]:
        """What the guide is set to, and its unit; both empty for what has no depth."""
        if nm is None:
            return "", ""
        number, unit = about(nm, self.system).rsplit(" ", 1)
        return number.removeprefix("about "), unit

    def deep_text(self, nm: int) -> str:
        return " ".join(self.deep(nm))

    def unit_name(self, unit: Unit) -> str:
        """ "tuck 17", or where an edge is done several times "metre 3, the 2nd time"."""
        if self.run.edge is None:
            return f"{self.run.one} {unit.number}"
        return f"{self.run.one} {unit.number}"

    def label(self, unit: Unit) -> str:
        """What a unit without depth is: "63 dots", "the 2nd time, from 1 m to 1.4 m"."""
        if unit.long is not None:
            start, end = (rounded(nm, Rounding.PANEL, self.system) for nm in (unit.at, unit.at + unit.long))
            times = self.run.edge.times if self.run.edge else 1
            again = f"time {unit.count} of {times}, " if times > 1 else ""
            return f"{again}from {start} to {end} of the edge"
        if unit.segment is not None:
            return self._slanting(unit)
        if not unit.count:
            return ""
        plural = "stitches" if unit.what == "stitch" else f"{unit.what}s"
        return f"{unit.count:,} {unit.what if unit.count == 1 else plural}"

    def _slanting(self, unit: Unit) -> str:
        start, end = unit.segment or ((0, 0), (0, 0))
        (x, y), (u, v) = ((self.length(a), self.length(b)) for a, b in (start, end))
        return f"from {x} across and {y} down to {u} across and {v} down"

    def where(self, unit: Unit, where: Where) -> str:
        """Below the large figure: what it is measured from, and how far it is to the stitch line."""
        seam = "seam" if unit.depth is not None else "line" if self.run.one == "line" else "row"
        if unit.long is not None:
            return ""
        if where.leans is None:
            since = f"from the {where.edge}"
        elif self._just_before(unit, where.leans):
            since = f"from the last {seam}"
        else:
            since = f"from the {seam} of {self.run.one} {where.leans}" if seam == "seam" else (
                f"from {self.run.one} {where.leans}"
            )
        if where.to_line is None:
            return since
        return f"{since} ({self.length(where.to_line)} to the stitch line)"

    def _just_before(self, unit: Unit, leans: int) -> bool:
        return self.run.places[leans] == self.run.places[unit.number] - 1

    def drawn(self, unit: Unit) -> str:
        """Where its own mark is drawn on the flat cloth."""
        if unit.long is not None or unit.segment is not None:
            return ""
        what = "fold" if unit.depth is not None else "line"
        return f"{what} drawn {self.length(unit.at)} from the {unit.edges[0]}"

    def short(self, unit: Unit, state: State) -> str:
        """ "B 7", or the number of a unit without a mark."""
        deep = self.deep(depth_of(unit, state))[0]
        return f"{unit.letter} {deep}".strip() if deep else f"{unit.number}"

    def then(self, now: Now, state: State) -> str:
        return ", ".join(self.short(unit, state) for unit in now.then)

    def left(self, now: Now) -> str:
        """ "20 left, about 53 min"."""
        if not now.left:
            return ""
        return f"{now.left} left, about {format_minutes(max(1, round(now.minutes_left)))}"

    def ahead(self, check: CheckMeasure) -> str:
        near, far = self.length(check.to_seam), self.length(check.to_edge)
        first = _sentence(check.first_edge)
        return (
            f"{first} to this seam {near}, this seam to the {check.far_edge} {far}. "
            f"Together within {self.length(check.near_enough)} is fine."
        )

    def due(self, due: Due) -> dict[str, Any]:
        """A check to be made now, with readings for exactly what is sewn."""
        check = due.check
        return {
            "after": check.tuck, "near_nm": due.near, "far_nm": due.far, "band_nm": check.near_enough,
            "near": self.length(due.near), "far": self.length(due.far),
            "band": self.length(check.near_enough), **self.labels(check),
        }  # fmt: skip

    def labels(self, check: CheckMeasure) -> dict[str, str]:
        return {
            "near_label": f"{_sentence(check.first_edge)} to this seam",
            "far_label": f"This seam to the {check.far_edge}, raw and lying flat",
        }

    def pressing(self, now: Now) -> Iterator[str]:
        """What to press now, and which way flaps lie, where that is the moment to say it."""
        run, last, unit = self.run, now.last, now.unit
        if run.side is None or (run.side.direction and run.side.direction.stands_up):
            return
        if last is not None and run.overlapping:
            yield f"Press {run.one} {last.number} {self._lies(last)}{' before the next' if unit else ''}."
        if unit is not None and last is None:
            yield _sentence(f"the flaps will lie {self._lies(unit)}.")
        elif unit is not None and last is not None and unit.lies != last.lies:
            yield f"The centre line: from here the flaps lie {self._lies(unit)}."
        elif unit is None and not run.overlapping:
            yield from self._all_pressed()

    def _all_pressed(self) -> Iterator[str]:
        ways = list(dict.fromkeys(self._lies(unit) for unit in sorted(self.run.units, key=lambda u: u.at)))
        if len(ways) == 1:
            yield f"Press now: the flaps lie {ways[0]}."
        elif ways:
            yield f"Press now: up to the centre the flaps lie {ways[0]}, beyond it {ways[-1]}."

    def _lies(self, unit: Unit) -> str:
        ways = {"on": f"towards the {unit.edges[1]}", "back": f"towards the {unit.edges[0]}"}
        return ways.get(unit.lies, "open over their seams")

    def too_long(self, excess: int) -> str:
        """What E comes to: "3 mm too short", "as planned"."""
        much = self.length(abs(excess))
        if self.split(abs(excess))[0] == "0":
            return "as planned"
        return f"{much} too {'long' if excess > 0 else 'short'}"

    def style(self, unit: Unit) -> str:
        return look(unit.letter).words if unit.letter else ""


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
