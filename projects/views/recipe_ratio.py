"""What the recipe page and its live fragments get where a texture by ratio is shown."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from django.http import HttpRequest
from django.utils.safestring import SafeString

from projects.calc.errors import CalcError
from projects.calc.lengths import System
from projects.calc.panels import PanelPlan
from projects.calc.ratio import ByRatio
from projects.drawings.worked import Look, how, worked
from projects.forms import recipe as form
from projects.forms.number_cells import NumberCell
from projects.forms.recipe_ratio import SETS, finds_of
from projects.models import Fabric
from projects.planning.learned_rates import rates_for
from projects.planning.ratio_from_cloth import ratio_from_cloth
from projects.planning.recipe_ratio import RatioFacts, ratio_facts
from projects.planning.recipe_trial import Trial, samples_of, try_on
from projects.planning.samples import Samples
from projects.printing.ratio_marks import GridTable, grid_tables

from . import ratio_words as words
from . import recipe_drawn as drawn
from .recipe_words import Fact

PHONE = 312
TAKES = {"across": "width", "along": "length"}


@dataclass(frozen=True, slots=True)
class NumberLine:
    """One typed number and what it rests on."""

    cell: NumberCell
    basis: str = ""


@dataclass(frozen=True, slots=True)
class WorkedView:
    """The drawing of how it is worked, for a wide page and for a phone, and the same in words."""

    wide: SafeString
    phone: SafeString
    words: list[str]


@dataclass(slots=True)
class RatioView:
    """The form as the page shows it."""

    title: str
    numbers: list[NumberLine]
    takes: str = ""
    answer: str = ""
    rests: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    may_be_by_hand: bool = False
    sample_units: dict[str, str] = field(default_factory=dict)
    finds: dict[str, list[tuple[str, str]]] = field(default_factory=dict)
    names = words.NAMES
    sets = SETS


@dataclass(slots=True)
class Found:
    """The numbers of a state that can be worked out."""

    facts: RatioFacts
    panel: PanelPlan | None = None
    answers: dict[str, Fact] = field(default_factory=dict)


def worked_out(state: form.RecipeState, request: HttpRequest, fabric: Fabric | None) -> Found | None:
    """Work the recipe out; what calc refuses goes beside its field and nothing is shown."""
    if state.recipe is None:
        return None
    samples = Samples(samples_of(state.recipe), request.workroom.depth_spread)
    known = {"fabric": fabric, "samples": samples, "workroom": request.workroom}
    try:
        found = Found(ratio_facts(state.recipe, rates=rates_for(), **known))
    except CalcError as error:
        state.refuse(error)
        state.recipe = None
        return None
    if state.mode == "size" and all(cell.nm for cell in state.size.values()):
        found.panel = _tried(state, known)
    if state.mode == "cloth":
        trial = Trial.of(state.recipe, room=state.room, **known)
        found.answers = {n: a for n in words.NAMES if (a := _answered(state, trial, n)) is not None}
    return found


def _tried(state: form.RecipeState, known: dict[str, Any]) -> PanelPlan | None:
    across, along = state.size["across"].value, state.size["along"].value
    try:
        return try_on(state.recipe, across=across, along=along, **known)
    except CalcError as error:
        name = error.field if error.field in state.size else "across"
        state.size[name].error = str(error)
        return None


def _answered(state: form.RecipeState, trial: Trial, name: str) -> Fact | None:
    flat, wished, find = state.flat[name], state.size[name], state.find[name]
    if not flat.nm or (find != "finished" and wished.error):
        return None
    try:
        found = ratio_from_cloth(
            trial, name, flat=flat.nm, find=find, finished=wished.nm, system=state.system
        )
    except CalcError as error:
        cell = wished if error.field == "finished" and find != "finished" else flat
        cell.error = str(error)
        return None
    return words.from_cloth(found, state.recipe, name, state.system)


def parts(state: form.RecipeState, found: Found | None) -> dict[str, Any]:
    """The part of the page's context that differs from tucks and pleats."""
    system, facts = state.system, found.facts if found else None
    panel = found.panel if found else None
    return {
        "work": facts,
        "ratio": _view(state, facts),
        "facts": words.facts(facts, system) if facts else [],
        "worked": _drawn(facts, system) if facts else None,
        "panel": panel,
        "drawn": drawn.panel_of(panel, system) if panel else None,
        "grids": _grids(panel, system) if panel else [],
        "sums": words.sums(panel, system) if panel else [],
        "counted": words.counted(panel, system) if panel else "",
        "backwards": found.answers if found else {},
    }


def _view(state: form.RecipeState, facts: RatioFacts | None) -> RatioView:
    fields = state.ratio
    title = dict(form.KINDS)[state.kind]
    view = RatioView(title, [NumberLine(cell) for cell in fields.numbers])
    view.finds = {name: finds_of(fields.technique, name) for name in words.NAMES}
    view.sample_units = words.SAMPLE_UNITS[fields.technique]
    view.may_be_by_hand = fields.technique in ("gathers", "quilting", "trapunto")
    if facts is None:
        return view
    content, ups = facts.content, facts.ups
    view.numbers = [NumberLine(cell, _basis(cell, facts)) for cell in fields.numbers]
    taken = [TAKES[name] for name in words.NAMES if ups[name].ratio > 1]
    view.takes = f"takes up {' and '.join(taken)}" if taken else "takes up nothing"
    view.answer, view.rests = words.answer(facts), words.rests(facts)
    view.notes = _notes(content)
    return view


def _basis(cell: NumberCell, facts: RatioFacts) -> str:
    name = cell.path.partition(".")[2]
    return words.basis(facts.content, name, facts.ups[name]) if name in words.NAMES else ""


def _notes(content: ByRatio) -> list[str]:
    if content.drawn_to_size:
        return [
            "It is drawn up until the size is right: a ratio a little off makes the cloth fuller or flatter, "
            "never too small, so no sewing margin is cut."
        ]
    return []


def _drawn(facts: RatioFacts, system: System) -> WorkedView:
    across, along = (float(facts.ups[name].ratio) for name in words.NAMES)
    title = f"{facts.content.name}: how it is worked, flat above, finished below"
    wide, phone = (
        worked(facts.content, Look(across, along, system, title, width, phone))
        for width, phone in ((976, False), (PHONE, True))
    )
    return WorkedView(wide, phone, how(facts.content, system))


def _grids(panel: PanelPlan, system: System) -> list[GridTable]:
    return list(grid_tables([], panel, system))
