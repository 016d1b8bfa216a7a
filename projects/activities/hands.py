"""What check measures at the bench teach of a hand: one row for each stretch between two of them."""

from collections.abc import Iterator, Sequence

from django.db import transaction

from projects.calc.bench_state import Fact, State
from projects.models import HandChange, Run
from projects.planning.run_checks import checks_made
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


def _changes(run: RunPlan, state: State) -> Iterator[HandChange]:
    """One row a check with both readings, where one person sewed all since the check before and nothing
    twice: change of E net of what was asked and of wrong depths that are known."""
    for made in checks_made(run, state):
        if made.teaches:
            yield HandChange(
                fact_id=made.fact.seq,
                person_id=next(iter(made.stretch.people)),
                technique=run.technique,
                fabric_id=run.fabric_id,
                tucks=made.stretch.tucks,
                change=made.change,
            )
