"""What the recipe page and its live fragments get: one context for both."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from django.http import HttpRequest
from django.utils.safestring import SafeString

from projects.calc.errors import CalcError
from projects.calc.panels import PanelPlan
from projects.drawings import key
from projects.forms import recipe as form
from projects.forms.recipe_ratio import KINDS
from projects.forms.recipe_side import (
    CENTRINGS,
    PRESSINGS,
    SEWN,
    SEWN_PLEATS,
    TECHNIQUE_CHOICES,
    Row,
    Side,
    finds_of,
)
from projects.models import Fabric
from projects.planning.advice import advise
from projects.planning.hands import spreads
from projects.planning.learned_rates import rates_for
from projects.planning.recipe_backwards import from_cloth
from projects.planning.recipe_trial import Trial, samples_of, try_on
from projects.planning.recipe_work import SideWork, Work, work_out
from projects.planning.samples import Samples

from . import recipe_drawn as drawn
from . import recipe_ratio
from . import recipe_words as words

TAKES = {"across": "take up width", "along": "take up length"}


@dataclass(slots=True)
class RowView:
    """One row of the table: what was typed, its mark, what it takes up."""

    row: Row
    number: int
    letter: str = ""
    sample: SafeString | str = ""
    takes: str = ""


@dataclass(slots=True)
class SideView:
    """One direction as the page shows it."""

    side: Side
    rows: list[RowView]
    work: SideWork | None = None
    notes: list[tuple[str, str]] = field(default_factory=list)
    rests: str = ""
    repeat: str = ""
    sewn_first: str = ""
    letter: str = ""

    @property
    def name(self) -> str:
        return self.side.name

    @property
    def title(self) -> str:
        if self.side.is_nothing:
            return self.name.capitalize()
        return f"{'Pleats' if self.side.is_pleats else 'Tucks'} {self.name}"

    @property
    def takes(self) -> str:
        if self.side.is_nothing:
            return "nothing is sewn this way"
        return ", ".join(text for text in (TAKES[self.name], self.sewn_first) if text)

    @property
    def shape(self) -> str:
        return form.shape(self.side)

    @property
    def pressings(self) -> list[tuple[str, str]]:
        offered = PRESSINGS[self.name]
        return offered[:2] if self.side.technique == "knife" else offered

    @property
    def sewn_choices(self) -> list[tuple[str, str]]:
        return SEWN_PLEATS if self.side.is_pleats else SEWN

    @property
    def finds(self) -> list[tuple[str, str]]:
        return finds_of(self.side)

    @property
    def centre_choices(self) -> list[tuple[int, str]]:
        """Which tuck or space is put on the centre; each row is told by its number and its depth as typed."""
        on_tuck = self.side.centring == "tuck"
        found = [
            (0, "the middle of the pattern, else the deepest" if on_tuck else "the middle, else the widest")
        ]
        which = "tuck" if on_tuck else "after tuck"
        for number, row in enumerate(self.side.rows, 1):
            depth = "" if self.side.stands_up else f", depth {row.depth.shown[:20]}"
            found.append((number, f"{which} {number}{depth}"))
        return found

    technique_choices = TECHNIQUE_CHOICES
    centrings = CENTRINGS


@dataclass(slots=True)
class Worked:
    """The numbers of a state that can be worked out."""

    work: Work
    samples: Samples
    panel: PanelPlan | None = None
    answers: dict[str, words.Fact] = field(default_factory=dict)


def check(state: form.RecipeState, request: HttpRequest) -> None:
    """Work the state out for what calc refuses of it."""
    work = recipe_ratio.worked_out if state.by_ratio else worked
    work(state, request, fabric_of(state))


def fabric_of(state: form.RecipeState) -> Fabric | None:
    return Fabric.objects.live().filter(pk=int(state.fabric[:18])).first() if state.fabric else None


def worked(state: form.RecipeState, request: HttpRequest, fabric: Fabric | None) -> Worked | None:
    """Work tucks and pleats out; what calc refuses goes beside its field and nothing is shown."""
    if state.recipe is None:
        return None
    samples = Samples(samples_of(state.recipe), request.workroom.depth_spread, spreads())
    try:
        work = work_out(state.recipe, fabric=fabric, samples=samples, rates=rates_for())
    except CalcError as error:
        state.refuse(error)
        state.recipe = None
        return None
    found = Worked(work, samples)
    wished = state.size["across"], state.size["along"]
    if state.mode == "size" and all(cell.nm for cell in wished):
        found.panel = _tried(state, request, fabric, found)
    if state.mode == "cloth":
        trial = Trial.of(
            work.recipe, fabric=fabric, samples=samples, workroom=request.workroom, room=state.room
        )
        found.answers = {name: a for name in TAKES if (a := _answered(state, trial, name)) is not None}
    return found


def _answered(state: form.RecipeState, trial: Trial, name: str) -> words.Fact | None:
    """What the cloth typed gives one way; what does not fit goes beside the field it names."""
    flat, wished, find = state.flat[name], state.size[name], state.find[name]
    if not flat.nm or (find != "finished" and wished.error):
        return None
    try:
        found = from_cloth(trial, name, flat=flat.nm, find=find, finished=wished.nm, system=state.system)
    except CalcError as error:
        cell = wished if error.field == "finished" and find != "finished" else flat
        cell.error = str(error)
        return None
    return words.answer(found, name, state.system)


def _tried(
    state: form.RecipeState, request: HttpRequest, fabric: Fabric | None, found: Worked
) -> PanelPlan | None:
    across, along = state.size["across"].value, state.size["along"].value
    try:
        return try_on(
            found.work.recipe,
            across=across,
            along=along,
            fabric=fabric,
            samples=found.samples,
            workroom=request.workroom,
        )
    except CalcError as error:
        name = error.field if error.field in state.size else "across"
        state.size[name].error = str(error)
        return None


def context(request: HttpRequest, state: form.RecipeState, **more: Any) -> dict[str, Any]:
    """Everything both the page and its fragments show of a state."""
    fabric = fabric_of(state)
    if state.by_ratio:
        parts = recipe_ratio.parts(state, recipe_ratio.worked_out(state, request, fabric))
    else:
        parts = _by_direction(state, worked(state, request, fabric), fabric)
    return {
        "state": state,
        "fabric": fabric,
        "fabrics": Fabric.objects.live().only("name").order_by("name", "pk")[:500],
        "kinds": KINDS,
        "kind": state.recipe.kind_name() if state.recipe else "",
        "modes": form.MODES,
        "kept_room": words.kept_room(state.room, request.workroom, state.system),
        "problems": state.problems(),
        **parts,
        "needle": parts["panel"].needle_warnings(state.system) if parts["panel"] else (),
        **more,
    }


def _by_direction(state: form.RecipeState, found: Worked | None, fabric: Fabric | None) -> dict[str, Any]:
    """What the page shows of tucks and pleats."""
    work = found.work if found else None
    system = state.system
    return {
        "work": work,
        "views": [_side_view(side, state, work) for side in state.sides],
        "facts": words.facts(work, system) if work else [],
        "strips": drawn.strips(work, system) if work else [],
        "light": drawn.against_the_light(work) if work else "",
        "panel": found.panel if found else None,
        "drawn": drawn.panel_of(found.panel, system) if found and found.panel else None,
        "key": drawn.mark_key(work, system) if work else [],
        "far": words.last_marks(found.panel, system) if found and found.panel else "",
        "share": words.percent(fabric.light) if fabric and fabric.light is not None else "",
        "sums": words.sums(found.panel, system) if found and found.panel else [],
        "counted": words.counted(found.panel) if found and found.panel else "",
        "backwards": found.answers if found else {},
    }


def _side_view(side: Side, state: form.RecipeState, work: Work | None) -> SideView:
    rows = [RowView(row, number) for number, row in enumerate(side.rows)]
    view = SideView(side, rows)
    done = getattr(work, side.name) if work else None
    if done is None or work is None:
        return view
    view.work = done
    view.notes = [words.gap_words(note, done, state.system) for note in done.gaps]
    view.rests = words.rests_on(done.take_up, done, state.system)
    view.repeat = words.one_repeat(done, state.system)
    view.letter = done.direction.mark
    if len(work.sides) > 1 and work.first in ("across", "along"):
        view.sewn_first = "sewn first" if work.first == side.name else "sewn second"
    for row, tuck, taken in zip(rows, done.direction.tucks, done.taken, strict=False):
        row.letter, row.sample = tuck.mark, key.sample(tuck.mark)
        row.takes = words.takes(taken, state.system)
    return view


def advice(request: HttpRequest, state: form.RecipeState, fabric: Fabric | None) -> dict[str, Any]:
    """The sample to make of this recipe on the cloth chosen, and whether enough is known without it."""
    if state.recipe is None:
        return {"advice": None, "enough": False, "measured": False}
    samples = Samples(samples_of(state.recipe), request.workroom.depth_spread)
    known = fabric.pk if fabric else None
    found = advise(
        state.recipe,
        known,
        samples,
        thickness=fabric.thickness if fabric else None,
        width=fabric.width or None if fabric else None,
        swatch=fabric is None or None in (fabric.shrink_along, fabric.shrink_across),
        rates=rates_for(),
    )
    return {
        "advice": found,
        "enough": samples.enough(known, state.recipe),
        "measured": fabric is not None and samples.of_cloth(known, state.recipe),
    }
