"""What the bench says, as text in the studio's units: the same for the page and for a device."""

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from projects.calc.bench_state import State
from projects.calc.lengths import Rounding, System, about, rounded
from projects.calc.minutes import format_minutes
from projects.drawings.marks import look
from projects.planning.bench_now import Due, Now, depth_of
from projects.planning.plan import CheckMeasure
from projects.planning.run_units import Unit
from projects.planning.runs import RunPlan, Where

from .bench_numbers import listed


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
        return large(number.removeprefix("about ")), unit

    def deep_text(self, nm: int) -> str:
        return " ".join(self.deep(nm))

    def unit_name(self, unit: Unit) -> str:
        """ "tuck 17"."""
        return f"{self.run.one} {unit.number}"

    def figure(self, unit: Unit, where: Where) -> tuple[str, str]:
        """The large figure and its unit: where it is folded or sewn, or up to where on an edge."""
        if unit.long is None:
            number, of = self.split(where.length)
            return large(number), of
        return self.up_to(unit)

    def up_to(self, unit: Unit) -> tuple[str, str]:
        """Up to where a unit of an edge goes, and its unit of length."""
        number, of = rounded(unit.at + (unit.long or 0), Rounding.PANEL, self.system).rsplit(" ", 1)
        return large(number.removesuffix(".0")), of

    @property
    def figure_word(self) -> str:
        """What stands before the large figure."""
        if self.run.edge is not None:
            return "up to"
        return "fold at" if self.run.side is not None else "at"

    def label(self, unit: Unit) -> str:
        """What is worked in a unit without depth: "63 dots", "from 1 m on, time 2 of 2"."""
        if unit.long is not None:
            times = self.run.edge.times if self.run.edge else 1
            again = f", time {unit.count} of {times}" if times > 1 else ""
            return f"from {rounded(unit.at, Rounding.PANEL, self.system).replace('0.0', '0')} on{again}"
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
        """Below the large figure: what it is measured from, how far it is to the stitch line, what is worked
        in it."""
        label = self.label(unit)
        if unit.long is not None:
            return label
        since = self._since(unit, where)
        if where.to_line is not None:
            return f"{since} ({self.length(where.to_line)} to the stitch line)"
        return f"{since}: {label}" if label else since

    def _since(self, unit: Unit, where: Where) -> str:
        leans = where.leans
        if leans is None:
            on_it = unit.depth is None and not where.length
            return f"on the {where.edge} itself" if on_it else f"from the {where.edge}"
        seam = "seam" if unit.depth is not None else self.mark
        square = ", square to it" if unit.segment is not None else ""
        if self._just_before(unit, leans):
            return f"from the last {seam}{square}"
        return f"from {'the seam of ' if seam == 'seam' else ''}{self.run.one} {leans}{square}"

    @property
    def mark(self) -> str:
        """What is drawn for a unit without depth."""
        return "line" if self.run.one == "line" else "row"

    def _just_before(self, unit: Unit, leans: int) -> bool:
        return self.run.places[leans] == self.run.places[unit.number] - 1

    def drawn(self, unit: Unit, where: Where) -> str:
        """Where its own mark is drawn on the flat cloth, where that is not said already."""
        if not where.drawn or unit.segment is not None or (where.leans is None and not unit.from_far):
            return ""
        *first, last = where.drawn
        if first:
            lines = f"{self.split(first[0])[0]} and {self.length(last)}"
            return f"stitch lines drawn {lines} from the {unit.edges[0]}"
        what = "fold" if unit.depth is not None else self.mark
        if unit.depth is None and last == unit.extent:
            return f"{what} drawn on the {unit.edges[1]} itself"
        return f"{what} drawn {self.length(last)} from the {unit.edges[0]}"

    def open(self, numbers: tuple[int, ...]) -> str:
        """ "Tucks 3, 4 and 7 are still open."; empty where nothing is left behind."""
        if not numbers:
            return ""
        one, are = (self.run.many, "are") if len(numbers) > 1 else (self.run.one, "is")
        said = listed(numbers)
        if "every" in said:
            return f"{sentence(one)} still open: {said}."
        return f"{sentence(one)} {said} {are} still open."

    def short(self, unit: Unit, state: State) -> str:
        """ "B 7", or the number of a unit without a mark."""
        deep = self.deep(depth_of(unit, state))[0]
        return f"{unit.letter} {deep}".strip() if deep else f"{unit.number}"

    def then(self, now: Now, state: State) -> str:
        """ "A 20, B 15, A 20", with their numbers where these don't follow one another."""
        shorts = [self.short(unit, state) for unit in now.then]
        numbers = [unit.number for unit in (now.unit, *now.then) if unit]
        steps = {later - before for before, later in pairwise(numbers)}
        if steps in ({1}, {-1}) or shorts == [str(unit.number) for unit in now.then]:
            return ", ".join(shorts)
        if len(set(shorts)) == 1:
            return f"{', '.join(map(str, numbers[1:]))}: {shorts[0]}"
        return ", ".join(f"{unit.number}: {text}" for unit, text in zip(now.then, shorts, strict=True))

    def left(self, now: Now) -> str:
        """ "20 left, about 53 min"."""
        if not now.left:
            return ""
        return f"{now.left} left, about {format_minutes(max(1, round(now.minutes_left)))}"

    def ahead(self, check: CheckMeasure) -> str:
        near, far = self.length(check.to_seam), self.length(check.to_edge)
        first = sentence(check.first_edge)
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
            "near_label": f"{sentence(check.first_edge)} to this seam",
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
            yield sentence(f"the flaps will lie {self._lies(unit)}.")
        elif unit is not None and last is not None and unit.lies != last.lies:
            if run.paired:
                yield f"This fold’s flap lies {self._lies(unit)}."
            else:
                yield f"The centre line: from here the flaps lie {self._lies(unit)}."
        elif unit is None and not run.overlapping:
            yield from self._all_pressed()

    def lies(self, unit: Unit) -> str:
        """Which way a unit's flap lies, in words; empty where it has none that is pressed."""
        side = self.run.side
        if side is None or (side.direction and side.direction.stands_up):
            return ""
        return self._lies(unit)

    def _all_pressed(self) -> Iterator[str]:
        ways = list(dict.fromkeys(self._lies(unit) for unit in sorted(self.run.units, key=lambda u: u.at)))
        if self.run.paired:
            yield f"Press now: the flaps lie in pairs, odd numbers {ways[0]}, even numbers {ways[-1]}."
        elif len(ways) == 1:
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


_FULL_SIZE = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉⁄", "01234567890123456789/")


def large(number: str) -> str:
    """A figure that is read from a metre away: "1 5/16" with all of its digits full size."""
    return number.translate(_FULL_SIZE)


def sentence(text: str) -> str:
    """With a capital; all else as it is."""
    return f"{text[:1].upper()}{text[1:]}"
