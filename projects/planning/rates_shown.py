"""What logs taught of each part of the work, for the page that shows it: in all, by technique and person."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from projects.calc.learned import Factor
from projects.calc.ratio import RATIO_NAMES
from projects.calc.recipe_names import technique_name
from projects.models import LearnedRate

from .learned_rates import CURVE, SPREADS, moved

CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class RateLine:
    """Minutes for one as finished steps made them, and how many steps. ``technique`` and ``person`` are
    empty where it is all of them."""

    technique: str
    person: str
    minutes: Decimal
    steps: int


@dataclass(frozen=True, slots=True)
class Taught:
    """What was learned of one driver: ``whole`` of everybody's work in every technique, and the parts."""

    whole: RateLine
    parts: tuple[RateLine, ...]


def taught_of(bases: Mapping[str, Decimal]) -> dict[str, Taught]:
    """By driver, what was learned of it, where anything was; ``bases`` is what learning starts from. One
    query. Parts are listed where there are at least two, the most steps first."""
    rows = LearnedRate.objects.exclude(driver__in=[*SPREADS, CURVE]).select_related("person").order_by("pk")
    found: dict[str, list[RateLine]] = defaultdict(list)
    for row in rows:
        if row.driver in bases:
            found[row.driver].append(_line(row, bases[row.driver]))
    shown = {}
    for driver, lines in found.items():
        whole = next((line for line in lines if not line.technique and not line.person), None)
        parts = [line for line in lines if line.technique or line.person]
        if whole is not None:
            shown[driver] = Taught(whole, _parts(whole, parts))
    return shown


def _line(row: LearnedRate, base: Decimal) -> RateLine:
    minutes = moved(base, Factor(row.mean, row.variance, row.steps)).quantize(CENT)
    name = RATIO_NAMES.get(row.technique) or technique_name(row.technique) if row.technique else ""
    return RateLine(name, str(row.person) if row.person_id else "", minutes, row.steps)


def _parts(whole: RateLine, lines: list[RateLine]) -> tuple[RateLine, ...]:
    """Techniques of everybody, people in all techniques, then both; a line that says no more than a wider one
    is left out."""
    if len({(line.technique, line.person) for line in lines}) < 2:
        return ()
    said = {("", ""): _figures(whole)}
    found = []
    order = sorted(lines, key=lambda line: (bool(line.technique and line.person), -line.steps, line.person))
    for line in order:
        wider = {("", ""), (line.technique, ""), ("", line.person)} - {(line.technique, line.person)}
        said[line.technique, line.person] = _figures(line)
        if _figures(line) not in [said.get(key) for key in wider]:
            found.append(line)
    return tuple(found)


def _figures(line: RateLine) -> tuple[Decimal, int]:
    return line.minutes, line.steps
