"""The steps of a plan: what it generates, merged with what people did, moved, skipped and added."""

from collections import Counter
from collections.abc import Iterator, Mapping
from decimal import Decimal

from projects.calc.lengths import System, share_out
from projects.models import Fabric, Step

from . import cautions
from .bench import Bench
from .check_measures import CheckMeasures, checks_for
from .drafts import CENT, NOTHING, Draft, setup_of, starting
from .edge_steps import edge_steps, strip_steps
from .learned_rates import SIX, Rates
from .load import Rows
from .own_drafts import own_drafts
from .paces import ONE, paces_of
from .panel_steps import panel_steps
from .plan import AT_THE_TABLE, FabricPlan, Note, PiecePlan, PlannedStep
from .project_steps import after_panels, before_cutting, of_kind
from .touched import states_of
from .under_cut import under_steps

OWN = "own:"
"""An own step's key in the Plan: this and its row's key, so that every step has one handle."""


def generate(
    rows: Rows, pieces: tuple[PiecePlan, ...], fabrics: tuple[FabricPlan, ...], rules: tuple[Note, ...]
) -> list[Draft]:
    """Every step the plan asks for, in true working order."""
    cloth = rows.fabrics
    states = states_of(rows)
    system = System(rows.workroom.units)
    benches = list(_benches(pieces, cloth, system))
    drafts = [
        *before_cutting(rows.project, [(cloth[f.fabric_id], f) for f in fabrics], pieces, states),
        *under_steps(pieces, cloth.values(), rows),
        *(draft for bench in benches for draft in panel_steps(bench)),
        *strip_steps((b for f in fabrics for b in f.bindings), cloth, system),
        *edge_steps(pieces, cloth, system),
        *after_panels(rows.project, pieces, rules, cloth.values(), system),
    ]
    found = sorted(of_kind(rows.project, drafts), key=lambda draft: draft.place)
    own = list(own_drafts(rows.templates, found, benches, rows.stages)) if rows.templates else []
    return sorted([*found, *own], key=lambda draft: draft.place) if own else found


def _benches(
    pieces: tuple[PiecePlan, ...], cloth: Mapping[int, Fabric], system: System
) -> Iterator[Bench]:
    known: dict[int, dict[str, CheckMeasures]] = {}
    for place, piece in enumerate(pieces):
        for line in piece.panels:
            plan = line.plan
            checks = known.setdefault(id(plan), {}) or checks_for(plan)
            known[id(plan)] = checks
            fabric = cloth.get(line.fabric_id) if line.fabric_id else None
            yield Bench(line, fabric, str(piece.piece_id), 100 * place + line.number, checks, system)


def merge(drafts: list[Draft], rows: Rows) -> tuple[tuple[PlannedStep, ...], dict[str, bool]]:
    """All steps in order, and by stage whether their minutes rest on starting values."""
    touched = {step.key: step for step in rows.steps if step.key}
    own = [step for step in rows.steps if step.key is None and step.removed_at is None]
    keys = {draft.key for draft in drafts}
    gone = [step for key, step in touched.items() if key not in keys and _stays(step, rows)]
    shelf = _Shelf(rows, drafts)
    shared = _with_setup(drafts, rows.rates)
    paces = paces_of(drafts, rows)
    steps = [
        *(_generated(draft, setup, touched.get(draft.key), rows.rates, paces) for draft, setup in shared),
        *(shelf.step(step, step.key or "", in_plan=False) for step in gone),
        *(shelf.step(step, f"{OWN}{step.pk}", in_plan=True) for step in own),
    ]
    listed = _listed(sorted(steps, key=lambda step: step.place), rows)
    return tuple(listed), _on_starting(drafts, rows.rates)


def _listed(steps: list[PlannedStep], rows: Rows) -> Iterator[PlannedStep]:
    """The steps of own stages under the stage's title, or under their panel while it is on the table."""
    own = {stage.key: stage for stage in rows.stages if stage.own}
    for step in steps:
        stage = own.get(step.stage)
        if stage is not None:
            at_table = step.panel and stage.root in AT_THE_TABLE
            step = step._replace(listed_under=step.panel if at_table else stage.title)
        yield step


def _stays(step: Step, rows: Rows) -> bool:
    """Done, skipped or logged steps never go; one that was only moved does."""
    return step.state != "open" or step.pk in rows.worked


def _on_starting(drafts: list[Draft], rates: Rates) -> dict[str, bool]:
    found: dict[str, bool] = {}
    for draft in drafts:
        found[draft.stage] = found.get(draft.stage, False) or starting(draft, rates)
    return found


Setup = tuple[Decimal, Decimal]
"""A step's part of setting its stage up: minutes, and as a share of the whole."""


def _with_setup(drafts: list[Draft], rates: Mapping[str, Decimal]) -> Iterator[tuple[Draft, Setup]]:
    """Each draft with its part of its stage's setting up: those that have work share it equally, to a
    hundredth, so that no step seems to take long only because it comes first."""
    times = Counter(draft.stage for draft in drafts if draft.work)
    shares = {stage: _shares(setup_of(stage, rates), count) for stage, count in times.items()}
    equal = {stage: (1 / Decimal(count)).quantize(SIX) for stage, count in times.items()}
    none = (NOTHING, NOTHING)
    for draft in drafts:
        yield draft, (next(shares[draft.stage]), equal[draft.stage]) if draft.work else none


def _shares(setup: Decimal, count: int) -> Iterator[Decimal]:
    """``count`` parts that sum to ``setup``; what does not divide goes to the first ones."""
    hundredths = int(setup / CENT)
    odd = setup - hundredths * CENT
    parts = share_out(hundredths, count)
    yield parts[0] * CENT + odd
    for part in parts[1:]:
        yield part * CENT


def _generated(
    draft: Draft, setup: Setup, row: Step | None, rates: Rates, paces: Mapping[str, Decimal]
) -> PlannedStep:
    touched = row is not None
    minutes, pace = draft.minutes(rates) + setup[0], paces.get(draft.key, ONE)
    if pace is not ONE:
        minutes = (minutes * pace).quantize(CENT)
    return PlannedStep(  # by position: hundreds are made for every page
        draft.key, draft.stage, draft.title, draft.detail, draft.panel, draft.panel_id, draft.measures,
        draft.checks, draft.cautions, cautions.short(draft.cautions), minutes,
        _state(draft, row.state if touched else "open"),
        row.reason if touched else "",
        True,
        False,
        row.pk if touched else None,
        draft.place if not touched or row.place is None else row.place,
        draft.technique, draft.work, setup[1], pace,
    )  # fmt: skip


def _state(draft: Draft, ticked: str) -> str:
    """A cut is done when its panel is booked as cut, whether from here or from the piece's page."""
    if draft.booked is None:
        return ticked
    if draft.booked:
        return "done"
    return "open" if ticked == "done" else ticked


class _Shelf:
    """Steps that live by their row alone: own ones, and those the plan no longer asks for."""

    def __init__(self, rows: Rows, drafts: list[Draft]) -> None:
        self.names = {panel.pk: panel.name for group in rows.panels.values() for panel in group}
        self.ends = {draft.stage: draft.place + 0.25 for draft in drafts}

    def step(self, row: Step, key: str, *, in_plan: bool) -> PlannedStep:
        """With the words the row has, where it was put or just after the last step of its stage."""
        return PlannedStep(
            key=key,
            stage=row.stage,
            title=row.title,
            detail=row.detail,
            panel=self.names.get(row.panel_id, ""),
            panel_id=row.panel_id,
            minutes=row.minutes or Decimal(0),
            state=row.state,
            reason=row.reason,
            in_plan=in_plan,
            own=row.key is None,
            step_id=row.pk,
            place=self.ends.get(row.stage, 0.0) if row.place is None else row.place,
        )
