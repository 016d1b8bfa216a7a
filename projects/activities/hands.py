"""What check measures at the bench teach of a hand: one row for each stretch between two of them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from django.db import transaction

from projects.calc.bench_state import SEWS, Fact, State
from projects.models import HandChange, Run
from projects.planning.bench_now import readings_at
from projects.planning.run_units import Unit
from projects.planning.runs import RunPlan


@transaction.atomic
def learn_from(*, row: Run, run: RunPlan | None, state: State) -> None:
    """Have the rows of a run say what its check measures say now: those of a check that was taken back go,
    and a tap that comes late changes the stretch it belongs to. Nothing is written where nothing changed."""
    wanted = {known.fact_id: known for known in _changes(run, state)} if run else {}
    here = {known.fact_id: known for known in HandChange.objects.filter(fact__run=row)}
    HandChange.objects.filter(pk__in=[h.pk for key, h in here.items() if key not in wanted]).delete()
    new = [known for key, known in wanted.items() if key not in here]
    for key in wanted.keys() & here.keys():
        found, known = here[key], wanted[key]
        if _said(found) != _said(known):
            known.pk = found.pk
            known.save()
    if new:
        HandChange.objects.bulk_create(new)


def teaches(new: Sequence[Fact], state: State) -> bool:
    """Whether facts that just arrived may change what check measures teach."""
    if any(fact.kind in ("check", "undo") for fact in new):
        return True
    return bool(state.checks) and any(fact.place < state.checks[-1].place for fact in new)


def _said(known: HandChange) -> tuple[object, ...]:
    return known.person_id, known.technique, known.fabric_id, known.tucks, known.change


@dataclass
class _Stretch:
    """What happened since the check before. ``beyond`` is the sum of what was asked, or is known, beyond the
    planned depths; ``tucks`` those whose depth is the hand's own."""

    tucks: int = 0
    beyond: int = 0
    people: set[int | None] = field(default_factory=set)
    again: bool = False

    @property
    def teaches(self) -> bool:
        """One person's, with nothing sewn twice: what sewing again does is no habit of the hand."""
        return self.tucks > 0 and len(self.people) == 1 and None not in self.people and not self.again


Part = tuple[int, bool] | None
"""What readings cover: from which seam, and to which side; None: the whole panel."""


def _changes(run: RunPlan, state: State) -> Iterator[HandChange]:
    """One row a check with both readings: change of E since the one before, net of what was asked and of
    wrong depths that are known. A check without the far reading lengthens the stretch to the next. Where
    readings are from a seam in the middle, each side of it is followed by itself."""
    sewn: set[int] = set()
    stretches: dict[Part, _Stretch] = {}
    before: dict[Part, int] = {}
    for fact in state.live:
        if fact.kind in SEWS:
            _sewn(run, fact, sewn, stretches)
        elif fact.kind == "check" and (excess := _excess(run, fact, sewn)) is not None:
            part = _part(run.by_number[fact.unit or 0])
            stretch = stretches.pop(part, _Stretch())
            if stretch.teaches:
                yield HandChange(
                    fact_id=fact.seq,
                    person_id=next(iter(stretch.people)),
                    technique=run.technique,
                    fabric_id=run.fabric_id,
                    tucks=stretch.tucks,
                    change=excess - before.get(part, 0) + 2 * stretch.beyond,
                )
            before[part] = excess


def _part(unit: Unit) -> Part:
    return None if unit.origin is None else (unit.origin, unit.from_far)


def _sewn(run: RunPlan, fact: Fact, sewn: set[int], stretches: dict[Part, _Stretch]) -> None:
    for number in fact.units:
        unit = run.by_number.get(number)
        if unit is None:
            continue
        again = number in sewn
        sewn.add(number)
        if unit.origin == number:
            continue  # no reading from its own seam covers it
        stretch = stretches.setdefault(_part(unit), _Stretch())
        stretch.again |= again
        stretch.people.add(fact.person)
        if number == fact.unit and fact.depth is not None:
            stretch.beyond += fact.depth - (unit.depth or 0)
        else:
            stretch.beyond += int(fact.asked.get("beyond", {}).get(str(number), 0))
            stretch.tucks += 1


def _excess(run: RunPlan, fact: Fact, sewn: set[int]) -> int | None:
    """E: both readings beside what they should be with these units sewn, the mean of both ends where both
    were measured; None where it can't be told. What they should be is kept with the check, where it was known
    then: a plan may change after it."""
    if fact.unit not in run.by_number or fact.near is None or fact.far is None:
        return None
    if run.by_number[fact.unit].origin == fact.unit:
        return None
    total = fact.near + fact.far
    if fact.near_end is not None and fact.far_end is not None:
        total = (total + fact.near_end + fact.far_end) // 2
    near, far = fact.asked.get("near"), fact.asked.get("far")
    if not isinstance(near, int) or not isinstance(far, int):
        near, far = readings_at(run, fact.unit, {*sewn, fact.unit})
    return total - near - far
