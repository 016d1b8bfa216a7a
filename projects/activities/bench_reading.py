"""Reading one fact as a device or a form sends it. What can't be read is refused with a reason, alone."""

import uuid
from collections.abc import Collection, Mapping
from datetime import UTC, datetime
from typing import Any

from projects.calc.lengths import LengthError, System, about, field_unit, parse
from projects.models import BenchFact
from projects.planning.runs import RunPlan

MOST_FACTS = 500
"""In one post; a device sends more in several."""
MOST_DEEPER, LEAST_DEEP = 3, 4
"""A tuck's depth typed is believed up to three times and down to a quarter of the one planned."""
MOST_STEP, MOST_SPACE = 2_000_000, 5_000_000
"""What an instruction may ask of one unit (nm): more is not of our making."""
WITH_UNIT = ("sewn", "check", "absorb", "resew")
KINDS = dict(BenchFact.KINDS)


class Refused(ValueError):
    """Why a fact is not taken; ``op`` is its id as it came."""

    def __init__(self, op: str, why: str) -> None:
        super().__init__(why)
        self.op, self.why = op, why


def op_of(given: object) -> uuid.UUID:
    """The fact's own id. Raises Refused."""
    text = given.get("op") if isinstance(given, Mapping) else None
    try:
        return uuid.UUID(text if isinstance(text, str) else "")
    except ValueError:
        shown = text[:40] if isinstance(text, str) else ""
        raise Refused(shown, "This tap has no id of its own, so it can't be told from another.") from None


def read_fact(given: Mapping[str, Any], run: RunPlan | None, system: System, now: datetime) -> BenchFact:
    """An unsaved fact, checked against the run as it is planned (None: no longer in the plan)."""
    op = op_of(given)
    reader = _Reader(str(op), given, run, system)
    kind = given.get("kind")
    if kind not in KINDS:
        raise Refused(str(op), "This is nothing that is done at the bench.")
    if run is None and kind not in ("undo", "note"):
        raise Refused(str(op), "This run is no longer in the plan: only notes and taking back are possible.")
    fact = BenchFact(op=op, kind=kind, device_at=reader.moment(now), text=reader.text())
    fact.unit = reader.unit(needed=kind in WITH_UNIT)
    if kind == "sewn":
        fact.also = reader.also(fact.unit)
    if kind in ("sewn", "resew"):
        fact.depth = reader.depth(fact.unit)
    elif kind == "check":
        reader.readings(fact)
    elif kind == "undo":
        fact.undoes = reader.undoes()
    elif kind in ("guide", "correct"):
        fact.asked = reader.instruction(kind)
    elif kind == "note" and not fact.text:
        raise Refused(str(op), "The note is empty: type a few words.")
    return fact


class _Reader:
    def __init__(self, op: str, given: Mapping[str, Any], run: RunPlan | None, system: System) -> None:
        self.op, self.given, self.run, self.system = op, given, run, system
        self.mm = field_unit("fine", system)
        self.cm = field_unit("piece", system)

    def refuse(self, why: str) -> Refused:
        return Refused(self.op, why)

    def moment(self, now: datetime) -> datetime:
        """The device's time; without one that can be read, now."""
        text = self.given.get("at")
        try:
            found = datetime.fromisoformat(text) if isinstance(text, str) else now
            found = found if found.tzinfo else found.replace(tzinfo=UTC)
            return found.astimezone(UTC) if 2000 <= found.year < 2200 else now
        except (ValueError, OverflowError):
            return now

    def text(self) -> str:
        text = self.given.get("text") or ""
        if not isinstance(text, str) or "\x00" in text or not _can_be_kept(text):
            raise self.refuse("There is a character in the note that can't be kept. Type it again.")
        text = text.strip()
        if len(text) > 300:
            raise self.refuse(f"The note has {len(text)} letters, and 300 can be kept. Shorten it.")
        return text

    def unit(self, *, needed: bool) -> int | None:
        found = _whole(self.given.get("unit"))
        if found is None and not needed:
            return None
        if found is None:
            raise self.refuse(f"Say which {self.run.one if self.run else 'unit'} it is, by its number.")
        if self.run is not None and found not in self.run.by_number:
            raise self.refuse(f"There is no {self.run.one} {found} in this run, which has {self.run.count}.")
        return found

    def also(self, unit: int | None) -> list[int]:
        given = self.given.get("also") or []
        numbers = [_whole(one) for one in given] if isinstance(given, list) else [None]
        known: Collection[int] = self.run.by_number if self.run else ()
        if any(number is None or number not in known for number in numbers):
            raise self.refuse(f"One of the {self.run.many if self.run else 'units'} is not in this run.")
        return [number for number in dict.fromkeys(numbers) if number != unit and number is not None]

    def depth(self, number: int | None) -> int | None:
        found = self.length("depth", self.mm)
        if found is None or self.run is None or number is None:
            return None
        planned = self.run.by_number[number].depth
        if planned is None:
            raise self.refuse(f"A {self.run.one} has no depth.")
        if not planned // LEAST_DEEP <= found <= planned * MOST_DEEPER:
            deep, asked = about(found, self.system), about(planned, self.system)
            raise self.refuse(f"{deep} is far from the {asked} planned. Type the depth it was sewn at.")
        return found

    def readings(self, fact: BenchFact) -> None:
        run = self.run
        unit = run.by_number[fact.unit] if run else None
        most = unit.extent * 3 // 2 if unit else None
        for name in ("near", "far", "near_end", "far_end"):
            found = self.length(name, self.mm)
            if unit and most is not None and found is not None and found > most:
                read, whole = about(found, self.system), about(unit.extent, self.system)
                raise self.refuse(f"{read} is longer than the panel, which is {whole} flat.")
            setattr(fact, name, found)
        if fact.near is None:
            edge = f" from the {unit.edges[1 if unit.from_far else 0]}" if unit else ""
            raise self.refuse(f"Type the first reading{edge} to the seam; the second may be left out.")
        if fact.near_end is None and fact.far_end is not None:
            raise self.refuse("At the other end of the seam, type the first reading too.")

    def length(self, name: str, unit: str) -> int | None:
        text = self.given.get(name)
        if text is None or text == "":
            return None
        if not isinstance(text, str):
            raise self.refuse("A length comes as it was typed, such as 12 or 5/16.")
        try:
            return parse(text, unit, least=0).nm
        except LengthError as error:
            raise self.refuse(str(error)) from None

    def undoes(self) -> uuid.UUID:
        try:
            return uuid.UUID(str(self.given.get("undoes")))
        except ValueError:
            raise self.refuse("What is to be taken back was not named.") from None

    def instruction(self, kind: str) -> dict[str, Any]:
        """What was shown when somebody took it up, or that it was refused."""
        asked = self.given.get("asked")
        if self.given.get("refused") or isinstance(asked, Mapping) and asked.get("refused"):
            return {"refused": True}
        if not isinstance(asked, Mapping):
            raise self.refuse("What was asked did not come along. Open the page again.")
        if kind == "guide":
            return {"guide": self._deep_enough(self._within(asked.get("guide"), MOST_STEP))}
        return {"steps": self._by_unit(asked, "steps", MOST_STEP),
                "spaces": self._by_unit(asked, "spaces", MOST_SPACE)}  # fmt: skip

    def _by_unit(self, asked: Mapping[str, Any], name: str, most: int) -> dict[str, int]:
        given, found = asked.get(name), {}
        if not isinstance(given, Mapping):
            raise self.refuse("What was asked can't be read. Open the page again.")
        for key, value in given.items():
            number = _whole(key)
            if self.run is None or number not in self.run.by_number:
                raise self.refuse("One of the numbers asked for is not in this run. Open the page again.")
            found[str(number)] = self._within(value, most)
            if name == "steps":
                self._deep_enough(found[str(number)], self.run.by_number[number].depth)
        return found

    def _deep_enough(self, beyond: int, depth: int | None = None) -> int:
        """What is asked beyond a depth, or beyond the thinnest of the run, has to leave enough of it."""
        depths = [unit.depth for unit in self.run.units if unit.depth is not None] if self.run else []
        thinnest = depth if depth is not None else min(depths, default=0)
        if thinnest and thinnest + beyond < thinnest // LEAST_DEEP:
            raise self.refuse("What was asked leaves nothing of the depth. Open the page again.")
        return beyond

    def _within(self, given: object, most: int) -> int:
        if isinstance(given, bool) or not isinstance(given, int) or abs(given) > most:
            raise self.refuse("What was asked can't be read. Open the page again.")
        return given


def _can_be_kept(text: str) -> bool:
    """Half of a letter (a lone surrogate, which JSON lets through) can't be written anywhere."""
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True


def _whole(given: object) -> int | None:
    """A whole number of a unit, as number or text."""
    if isinstance(given, str) and given.isascii() and given.isdigit() and len(given) < 8:
        return int(given)
    return given if isinstance(given, int) and not isinstance(given, bool) and 0 < given < 10**7 else None
