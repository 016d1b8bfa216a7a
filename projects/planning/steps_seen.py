"""The steps of a project as somebody last took note of them, and what has changed in the plan since.

Kept in ``Project.steps_seen``: ``format`` 1, when (``at``), minutes planned for all steps as text, and packed
(JSON, zlib, base64, so that many hundred steps stay a few kilobytes on a row that every page reads) a list of
key, title and numbers (label, nm or a count, kind) of each step. One's own steps and those the plan no longer
holds are left out: nobody but their maker changes them.
"""

import binascii
import json
import zlib
from base64 import b64decode, b64encode
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal, InvalidOperation
from hashlib import sha256
from typing import Any, NamedTuple

from .plan import PlannedStep

FORMAT = 1
MOST = 4_000_000
"""Bytes that are unpacked at most; thousands of steps take less."""
LEAST, SHARE = Decimal(5), Decimal("0.05")
"""From how many minutes, and which share of all, another time planned is worth saying."""
UNREADABLE = (KeyError, TypeError, ValueError, zlib.error, binascii.Error, InvalidOperation)


class Number(NamedTuple):
    """A number of a step as it was and as it is: nm, or a count where ``kind`` is "count"."""

    label: str
    was: int
    now: int
    kind: str


class Altered(NamedTuple):
    """A step still to do that has other numbers, or is called otherwise; ``was`` is what it was called, empty
    where that has not changed."""

    step: PlannedStep
    was: str
    numbers: tuple[Number, ...]


class Gone(NamedTuple):
    """A step the plan no longer asks for; ``listed`` where it stays in the list, being done, skipped or
    logged."""

    key: str
    title: str
    listed: bool


@dataclass(frozen=True, slots=True)
class Changes:
    """What has changed since ``at``; minutes of all steps are 0 where they are much the same."""

    at: datetime
    new: tuple[PlannedStep, ...]
    gone: tuple[Gone, ...]
    altered: tuple[Altered, ...]
    minutes_was: Decimal = Decimal(0)
    minutes: Decimal = Decimal(0)

    @property
    def count(self) -> int:
        return len(self.new) + len(self.gone) + len(self.altered)

    @property
    def any(self) -> bool:
        return bool(self.count or self.minutes)

    @property
    def words(self) -> str:
        """All of it in one line: "3 new, 1 no longer in the plan, 2 with other numbers"."""
        kinds = (
            (len(self.new), "new"),
            (len(self.gone), "no longer in the plan"),
            (len(self.altered), "with other numbers"),
        )
        said = [f"{number} {what}" for number, what in kinds if number]
        return ", ".join([*said, *(["another time planned"] if self.minutes else [])])


Entry = list[Any]


def note_of(steps: Sequence[PlannedStep], at: datetime) -> dict[str, Any]:
    """What to keep of the steps as they stand."""
    return {
        "format": FORMAT,
        "at": at.isoformat(),
        "minutes": str(_minutes(steps)),
        "packed": b64encode(zlib.compress(_text(steps), 9)).decode("ascii"),
    }


def mark_of(steps: Iterable[PlannedStep]) -> str:
    """A short mark of the steps as they stand: the same while nothing that is noted changes."""
    return sha256(_text(steps)).hexdigest()[:16]


def changes_since(seen: Mapping[str, Any] | None, steps: Sequence[PlannedStep]) -> Changes | None:
    """What has changed since the note; None before the first one, or where it can't be read."""
    try:
        at, minutes, noted = _read(seen) if seen else (None, Decimal(0), {})
    except UNREADABLE:
        return None
    if at is None:
        return None
    there = {step.key: step for step in steps}
    now = {step.key: step for step in steps if _counts(step)}
    altered = (_altered(step, noted[key]) for key, step in now.items() if key in noted)
    return Changes(
        at,
        tuple(step for key, step in now.items() if key not in noted),
        tuple(Gone(key, entry[1], key in there) for key, entry in noted.items() if key not in now),
        tuple(found for found in altered if found is not None),
        *_other_time(minutes, _minutes(steps)),
    )


def _counts(step: PlannedStep) -> bool:
    return step.in_plan and not step.own


def _minutes(steps: Iterable[PlannedStep]) -> Decimal:
    return sum((step.minutes for step in steps if _counts(step)), Decimal(0))


def _other_time(was: Decimal, now: Decimal) -> tuple[Decimal, Decimal]:
    return (was, now) if abs(now - was) >= max(LEAST, SHARE * was) else (Decimal(0), Decimal(0))


def _text(steps: Iterable[PlannedStep]) -> bytes:
    entries = [[step.key, step.title, _numbers(step)] for step in steps if _counts(step)]
    return json.dumps(entries, ensure_ascii=False, separators=(",", ":")).encode()


def _numbers(step: PlannedStep) -> list[Entry]:
    found: list[Entry] = [[m.label, m.length, m.kind] for m in step.measures]
    return [*found, ["check measures", len(step.checks), "count"]] if step.checks else found


def _read(seen: Mapping[str, Any]) -> tuple[datetime, Decimal, dict[str, Entry]]:
    if seen["format"] != FORMAT:
        raise ValueError("a later format")
    unpacker = zlib.decompressobj()
    text = unpacker.decompress(b64decode(seen["packed"], validate=True), MOST)
    entries = json.loads(text)
    at = datetime.fromisoformat(seen["at"])
    return at, Decimal(seen["minutes"]), {str(entry[0]): _checked(entry) for entry in entries}


def _checked(entry: Entry) -> Entry:
    _, title, numbers = entry
    return [None, str(title), [[str(label), int(value), str(kind)] for label, value, kind in numbers]]


def _altered(step: PlannedStep, entry: Entry) -> Altered | None:
    """Only what is still to do: nobody sews again what is done."""
    if step.state != "open":
        return None
    _, title, before = entry
    was = {(label, kind): value for label, value, kind in before}
    numbers = tuple(
        Number(label, was[label, kind], value, kind)
        for label, value, kind in _numbers(step)
        if was.get((label, kind), value) != value
    )
    if title == step.title and not numbers:
        return None
    return Altered(step, _said(title, step.title), numbers)


def _said(was: str, now: str) -> str:
    """What a title was; only its end where both begin alike up to a colon ("36 tucks")."""
    if was == now:
        return ""
    head, colon, tail = was.rpartition(": ")
    return tail if colon and now.startswith(f"{head}: ") else was
