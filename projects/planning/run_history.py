"""In what order the units of a run were sewn, and what sewing one again after a check changed. Lengths nm."""

from collections.abc import Iterator
from dataclasses import dataclass

from projects.calc.bench_state import SEWS, Fact, State

from .run_units import Unit


@dataclass(frozen=True, slots=True)
class Sewings:
    """How one unit was sewn: ``first`` is what holds at the first check after it, ``again`` what came after
    that check. Sewn twice with no check between, only the later one counts."""

    unit: Unit
    first: Fact
    again: tuple[Fact, ...] = ()

    def beyond(self, fact: Fact) -> int:
        """How much deeper than planned it was asked for then."""
        return int(fact.asked.get("beyond", {}).get(str(self.unit.number), 0))

    def depth(self, fact: Fact) -> int | None:
        """The depth typed for it then."""
        return fact.depth if fact.unit == self.unit.number else None

    @property
    def grown(self) -> Iterator[tuple[Fact, int]]:
        """Each time it was sewn again: how much longer the panel became, as far as depths are known."""
        for before, now in zip((self.first, *self.again), self.again, strict=False):
            yield now, 2 * (self._deeper(before) - self._deeper(now))

    def _deeper(self, fact: Fact) -> int:
        typed = self.depth(fact)
        return self.beyond(fact) if typed is None else typed - (self.unit.depth or 0)


def sewings_of(units: dict[int, Unit], state: State) -> tuple[Sewings, ...]:
    """Every sewn unit in the order of sewing."""
    facts: dict[int, list[Fact]] = {}
    for fact in state.live:
        if fact.kind in SEWS:
            for number in fact.units:
                facts.setdefault(number, []).append(fact)
    places = {number: place for place, number in enumerate(units)}
    found = [_sewings(units[number], facts[number], state) for number in units if number in facts]
    return tuple(sorted(found, key=lambda s: (s.first.at, places[s.unit.number])))


def _sewings(unit: Unit, facts: list[Fact], state: State) -> Sewings:
    check = next((c for c in state.checks if c.place > facts[0].place), None)
    first = facts[-1] if check is None else [f for f in facts if f.place < check.place][-1]
    return Sewings(unit, first, tuple(facts[facts.index(first) + 1 :]))


def sewn_before(state: State, fact: Fact) -> set[int]:
    """The units sewn when something happened, nothing taken back counted."""
    return {n for f in state.live if f.kind in SEWS and f.place < fact.place for n in f.units}
