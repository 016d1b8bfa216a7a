"""What a device shows of units still to come while its taps wait is what the studio says once it has them."""

import json
import random
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import product
from typing import Any

import pytest
from django.core.serializers.json import DjangoJSONEncoder
from django.db import transaction

from projects.activities import bench as activity
from projects.activities.bench import Bench
from projects.calc.lengths import System
from projects.calc.ratio import STARTING_RATIOS, ByRatio
from projects.calc.recipe import Recipe
from projects.models import Person, Piece, Run
from projects.planning.bench_now import due_of
from projects.planning.run_placed import Placed
from projects.planning.run_source import runs_by_key
from projects.planning.runs import RunPlan
from projects.views.bench_data import page_data, why
from projects.views.bench_words import Words
from tests import make
from tests.make import MM
from tests.walks.bench import script

pytestmark = [pytest.mark.browser, pytest.mark.django_db]
ROUNDS = 4
PLACINGS = ("lines", "folds", "last")
BEGUN = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
SCRIPTS = ("fold", "lengths", "waiting", "figures", "lies", "words", "model")
SHOWN = """cases => cases.map(({data, waiting}) => {
  const outbox = { waiting: () => waiting, refused: () => [], drop() {}, refuse() {} };
  const model = new Bench.Model(data, outbox), state = Bench.fold(model.all()), due = model.dueCheck(state);
  return { due: due && [due.after, due.near, due.far, due.near_nm, due.far_nm],
    units: data.order.filter(unit => !state.sewn.has(unit)).map(unit => {
      const { number, mark, deep, unit: of, fold, fold_unit, from, drawn, why } = model.numbers(unit, state);
      return [number, mark, deep, of, fold, fold_unit, from, drawn, why] }) } })"""


def tucks(**values: Any) -> Piece:
    recipe = values.pop("of", make.content())
    return make.piece(fabric=make.fabric(), version=make.version(of=recipe), across=300 * MM, **values)


def ratio(technique: str, **numbers: Any) -> Piece:
    across, along = STARTING_RATIOS[technique]
    recipe = Recipe(ratio=ByRatio(technique, across=across, along=along, **numbers))
    version = make.version(of=recipe)
    return make.piece(fabric=make.fabric(), version=version, across=240 * MM, along=200 * MM)


def overlapping(**values: Any) -> Piece:
    return tucks(of=make.content(make.tucks((10, 14), **values)))


MADE = {
    "one after the other": tucks,
    "from the centre": lambda: tucks(work_order="centre"),
    "every other one": lambda: tucks(work_order="alternate"),
    "from the far side": overlapping,
    "turning at the centre": lambda: overlapping(turns_at_centre=True),
    "pleats": lambda: tucks(
        of=make.content(make.Direction("knife", width=20 * MM, depth=30 * MM, turns_at_centre=True))
    ),
    "box pleats, every other one": lambda: tucks(
        of=make.content(make.Direction("box", width=60 * MM, depth=10 * MM)), work_order="alternate"
    ),
    "slanting lines": lambda: ratio("quilting", spacing=25 * MM, row=25 * MM, slant=True),
    "straight lines": lambda: ratio("quilting", spacing=25 * MM, row=25 * MM),
    "lattice": lambda: ratio("lattice", spacing=30 * MM, row=12 * MM, rows=2),
    "edge": lambda: make.edge(length=4_300 * MM).piece,
}


def run_made(name: str) -> tuple[Piece, RunPlan]:
    piece = MADE[name]()
    runs = runs_by_key(piece.project).values()
    return piece, next(run for run in runs if (run.edge is not None) == (name == "edge") and run.count > 4)


class Chance:
    """Facts as a device makes them, each of which can be taken, and what they come to so far."""

    def __init__(self, seed: str, run: RunPlan, system: System) -> None:
        self.chance, self.run, self.system = random.Random(seed), run, system
        self.made: list[dict[str, Any]] = []
        self.sewn: list[int] = []
        self.at = BEGUN

    def fact(self, kind: str, **values: Any) -> None:
        op = str(uuid.UUID(int=self.chance.getrandbits(128), version=4))
        # Some within the same second, none at the same moment: a device sees to that.
        self.at += timedelta(milliseconds=self.chance.choice((1, 400, 90_000)))
        fact = {"op": op, "kind": kind, "unit": None, "also": [], "undoes": None, "at": self.at.isoformat()}
        self.made.append(fact | values)

    def next(self) -> int | None:
        """Mostly the next one; now and then one that leaves others out."""
        left = [unit.number for unit in self.run.units if unit.number not in self.sewn]
        return (left[0] if self.chance.random() < 0.8 else self.chance.choice(left)) if left else None

    def sew(self, unit: int) -> None:
        planned = self.run.by_number[unit].depth
        depth = ""
        if planned and self.chance.random() < 0.3:
            nm = planned + self.chance.choice((-2, -1, 1, 2)) * 500_000
            depth = f"{nm / 1e6:g}" if self.system is System.METRIC else f"{nm / 25.4e6:.3f}"
        self.sewn.append(unit)
        self.fact("sewn", unit=unit, depth=depth)

    def instruct(self) -> None:
        if self.chance.random() < 0.25:
            self.fact(self.chance.choice(("guide", "correct")), refused=True)
        elif self.chance.random() < 0.5:
            self.fact("guide", asked={"guide": self.chance.choice((-500_000, 0, 300_000, 396_875))})
        else:
            some = self.chance.sample([unit.number for unit in self.run.units], 4)
            steps = {str(n): self.chance.choice((-500_000, 500_000)) for n in some[:3]}
            self.fact("correct", asked={"steps": steps, "spaces": {str(some[3]): -1_000_000}})

    def step(self) -> None:
        draw = self.chance.random()
        unit = self.next()
        if draw < 0.15 and self.run.side is not None:
            self.instruct()
        elif draw < 0.25 and self.made:
            self.undo()
        elif draw < 0.28 and self.sewn and self.run.checks:
            self.fact("check", unit=self.chance.choice(self.sewn), near="120 mm", far="150 mm")
        elif draw < 0.33 and self.sewn:
            self.fact(self.chance.choice(("resew", "absorb")), unit=self.chance.choice(self.sewn))
        elif unit is not None:
            self.sew(unit)

    def undo(self) -> None:
        taken = self.chance.choice(self.made[-4:])
        self.fact("undo", undoes=taken["op"])
        if taken["kind"] == "sewn" and taken["unit"] in self.sewn:
            self.sewn.remove(taken["unit"])


def shown(bench: Bench, system: System) -> dict[str, Any]:
    """What the studio shows of every unit still to come."""
    assert bench.run is not None
    words, placed = Words(bench.run, system), Placed(bench.run, bench.state, bench.placing)
    left = [unit for unit in bench.run.units if unit.number not in bench.state.sewn]
    due = due_of(bench.run, bench.state)
    read = [due.check.tuck, words.length(due.near), words.length(due.far), due.near, due.far] if due else None
    return {"due": read, "units": [_unit(bench, words, unit, placed.where(unit)) for unit in left]}


def _unit(bench: Bench, words: Words, unit: Any, where: Any) -> list[Any]:
    beyond = bench.state.beyond(unit.number)
    deep, deep_of = words.deep(None if unit.depth is None else unit.depth + beyond)
    fold, fold_of = words.figure(unit, where)
    figures = [unit.number, unit.letter, deep, deep_of or fold_of, fold, fold_of]
    return [*figures, words.where(unit, where), words.drawn(unit, where), why(bench, unit, words)]


def cases(name: str, person: Person, system: System) -> Iterator[tuple[dict[str, Any], Any]]:
    """For each round what a device is given, and what the studio says once it has all of it."""
    piece, run = run_made(name)
    row = Run.objects.create(project=piece.project, key=run.key, panel_id=run.panel_id, edge_id=run.edge_id)
    for placing, round_ in product(PLACINGS, range(ROUNDS)):
        Run.objects.filter(pk=row.pk).update(placing=placing)
        made = Chance(f"{name} {placing} {round_}", run, system)
        for _ in range(made.chance.randint(3, 30)):
            made.step()
        known = made.chance.randint(0, len(made.made))
        usual = {"project": piece.project, "key": run.key, "person": person, "system": system}
        usual["now"] = made.at + timedelta(hours=1)
        with transaction.atomic():
            first = activity.record(facts=made.made[:known], **usual)
            data = page_data(first.bench, person, system)
            second = activity.record(facts=made.made[known:], **usual)
            assert not first.refused and not second.refused, (first.refused, second.refused)
            expected = shown(second.bench, system)
            transaction.set_rollback(True)
        yield {"data": data, "waiting": made.made[known:]}, expected


@pytest.mark.parametrize(
    ("name", "system"), [*((name, System.METRIC) for name in MADE), ("one after the other", System.INCH)]
)
def test_a_device_shows_what_the_studio_will_say(name: str, system: System, chromium: Any) -> None:
    make.workroom(units=system.value)
    given, expected = zip(*cases(name, make.anybody(), system), strict=True)
    found = in_a_page(chromium, SHOWN, json.loads(json.dumps(given, cls=DjangoJSONEncoder)))
    assert any(case["waiting"] for case in given) and any(case["units"] for case in expected)
    for case, mine, theirs in zip(given, found, expected, strict=True):
        assert mine == theirs, case["waiting"]


def in_a_page(chromium: Any, expression: str, given: Any) -> Any:
    page = chromium.new_page()
    try:
        page.add_script_tag(content="".join(script(f"bench-{one}.js") for one in SCRIPTS))
        return page.evaluate(expression, given)
    finally:
        page.close()
