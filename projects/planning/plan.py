"""The Plan: all that pages, drawings, prints, budgets and quotes show of one project.

Pure values. Lengths are whole nanometres, minutes are decimals, areas are computed when read. Row keys
(``*_id``) lead pages back to the rows; they never go into the JSON that leaves.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from projects.calc.labour import STAGES
from projects.calc.panels import PanelPlan
from projects.calc.ratio_samples import RatioUps
from projects.calc.recipe import Recipe
from projects.calc.sampling import TakeUp

from .fabric_plan import BuyLine as BuyLine
from .fabric_plan import FabricPlan
from .fabric_plan import LayPart as LayPart
from .sewn import Binding, CordPlan, EdgePlan, ThreadPlan, UnderPlan
from .stages import ALL_BUILT_IN, Stage
from .words import unit_for

FORMAT = 1
STAGE_TITLES = dict(STAGES)
AT_THE_TABLE = ("mark", "texture", "press", "trim")
"""Stages that a panel goes through from beginning to end before the next is taken up."""
PICK_UP = "Pick up the dots of"
"""How the title of the step begins that picks up dots row by row: gathers are drawn up under the same kind,
all at once."""


@dataclass(frozen=True, slots=True)
class Note:
    """Something to know: ``kind`` is "warning", "caution" (can hurt) or "info"; ``about`` names the piece."""

    kind: str
    text: str
    about: str = ""


@dataclass(frozen=True, slots=True)
class Change:
    """What a kept number would be now: lengths in nm, or counts where ``kind`` is "count"."""

    label: str
    kept: int
    now: int
    kind: str = "length"


@dataclass(frozen=True, slots=True)
class PanelLine:
    """One panel: its name, LEFT or RIGHT of a pair, and its numbers (kept ones once it is cut)."""

    panel_id: int | None
    number: int
    name: str
    hand: str
    spare: bool
    cut: bool
    plan: PanelPlan
    fabric_id: int | None = None
    """What it is cut from: its piece's fabric, or the one it was cut from before the piece changed."""
    changes: tuple[Change, ...] = ()
    no_longer_wanted: bool = False
    """Cut, though its piece no longer asks for so many."""


@dataclass(frozen=True, slots=True)
class PiecePlan:
    piece_id: int
    name: str
    count: int
    pair: bool
    across: int
    along: int
    fabric_id: int | None
    fabric: str
    recipe_id: int | None
    recipe_name: str
    version: int | None
    recipe: Recipe | None
    take_up_across: TakeUp | None
    take_up_along: TakeUp | None
    panels: tuple[PanelLine, ...]
    ratios: RatioUps | None = None
    """What a recipe by ratio is planned with, both directions; None for tucks and pleats."""
    notes: tuple[Note, ...] = ()
    problem: str = ""
    """Why this piece can't be planned (in words for the page); then it has no panels' numbers."""
    edges: tuple[EdgePlan, ...] = ()
    hand_tucks: int = 0
    """How many tucks of the studio's own its sewing margins rest on; 0: the studio's setting."""
    under: tuple[UnderPlan, ...] = ()
    """Wadding and backing of a quilted piece, as far as they are chosen, from the top."""

    def uses(self, fabric_id: int) -> bool:
        """Whether it is cut from a fabric, or has it under it."""
        return self.fabric_id == fabric_id or any(layer.fabric_id == fabric_id for layer in self.under)


@dataclass(frozen=True, slots=True)
class NotionPlan:
    notion_id: int
    name: str
    unit: str
    need: Decimal
    free: Decimal
    buy: Decimal
    why: str = ""

    @property
    def need_unit(self) -> str:
        """The unit as said of what is needed: "spool" for 1."""
        return unit_for(self.need, self.unit)

    @property
    def free_unit(self) -> str:
        return unit_for(self.free, self.unit)

    @property
    def buy_unit(self) -> str:
        return unit_for(self.buy, self.unit)


class Measure(NamedTuple):
    """A length a step names: ``label`` and nm; ``kind`` is "mark", "panel", "cloth" or "depth"."""

    label: str
    length: int
    kind: str = "mark"


class CheckMeasure(NamedTuple):
    """Two readings after a tuck (nm): from the edge where sewing began (or the first seam sewn) to its seam,
    and from it to the far raw edge; ``near_enough`` is for both together."""

    tuck: int
    first_edge: str
    far_edge: str
    to_seam: int
    to_edge: int
    near_enough: int

    @property
    def ends(self) -> tuple[str, str]:
        """Where both are measured from and to; checks in a row with the same ones are listed together."""
        return self.first_edge, self.far_edge


class PlannedStep(NamedTuple):
    """A step in working order. ``key`` is (panel, kind, direction, number); of an own step "own:<row>"."""

    key: str
    stage: str
    title: str
    detail: str = ""
    panel: str = ""
    panel_id: int | None = None
    measures: tuple[Measure, ...] = ()
    checks: Sequence[CheckMeasure] = ()
    cautions: tuple[str, ...] = ()
    short_cautions: tuple[str, ...] = ()
    """A word or two for each caution, where its full text was read just before."""
    minutes: Decimal = Decimal(0)
    state: str = "open"
    reason: str = ""
    in_plan: bool = True
    own: bool = False
    step_id: int | None = None
    place: float = 0.0
    """Where it stands; a step moved between two others stands halfway."""
    technique: str = ""
    """What is marked, sewn or pressed; empty where that makes no difference to its time."""
    work: tuple[tuple[str, Decimal | int], ...] = ()
    """What its minutes come from: counts by driver, without setting up."""
    setup: Decimal = Decimal(0)
    """Its part of setting its stage up, from 0 to 1."""
    pace: Decimal = Decimal(1)
    """What repeating the same step leaves of its time, where hours show that it leaves less."""
    listed_under: str = ""
    """What a step of a stage of the studio's own is listed under."""

    @property
    def of_panel(self) -> str:
        """The part of the key that tells the panel; empty for steps of the whole project and own ones."""
        panel = self.key.split(":")[0]
        return panel if "." in panel else ""

    @property
    def on_table(self) -> str:
        """The same while the panel is worked by itself: the studio's own steps before and after that, though
        one for each panel, wait for all of them."""
        kind = self.kind
        if kind[:1] == "t" and kind[1:].isdecimal() and self.stage not in AT_THE_TABLE:
            return self.of_panel if self.listed_under == self.panel else ""
        return self.of_panel

    @property
    def kind(self) -> str:
        """What a generated step does ("cut", "mark", "sew"); of an own step its row."""
        return self.key.split(":")[1]

    @property
    def at_bench(self) -> bool:
        """Whether it is done unit after unit, and so has a run at the bench."""
        if not self.in_plan or self.own:
            return False
        return self.kind in ("sew", "edge") or self.kind == "draw" and self.title.startswith(PICK_UP)

    @property
    def heading(self) -> str:
        """What steps in a row are listed under: the panel on the table, else the stage."""
        if self.listed_under or self.panel and self.stage in AT_THE_TABLE:
            return self.listed_under or self.panel
        return STAGE_TITLES.get(self.stage, self.stage)


@dataclass(frozen=True, slots=True)
class StageBudget:
    """Minutes of one stage: planned (with the range that holds 8 times of 10) beside what is logged."""

    stage: str
    title: str
    planned: Decimal
    low: Decimal
    high: Decimal
    logged: int
    starting: bool
    learnt: int = 0
    """Finished steps that the minutes rest on; 0 where they rest on none."""


@dataclass(frozen=True, slots=True)
class ProjectFacts:
    project_id: int
    number: int
    title: str
    reference: str
    state: str
    due: date | None
    washing: str
    units: str


@dataclass(frozen=True, slots=True)
class Plan:
    facts: ProjectFacts
    pieces: tuple[PiecePlan, ...]
    fabrics: tuple[FabricPlan, ...]
    notions: tuple[NotionPlan, ...]
    steps: tuple[PlannedStep, ...]
    budget: tuple[StageBudget, ...]
    notes: tuple[Note, ...] = ()
    have_ready: tuple[str, ...] = field(default=())
    low: Decimal = Decimal(0)
    high: Decimal = Decimal(0)
    """The range that holds the minutes of all stages together 8 times of 10."""
    bindings: tuple[Binding, ...] = ()
    thread: ThreadPlan | None = None
    cords: tuple[CordPlan, ...] = ()
    stages: tuple[Stage, ...] = ALL_BUILT_IN
    """All stages in working order, the studio's own too."""

    def step(self, key: str) -> PlannedStep | None:
        """The step with this key, or None."""
        return next((step for step in self.steps if step.key == key), None)

    def next_steps(self, limit: int | None = None) -> tuple[PlannedStep, ...]:
        """Steps still to do, what comes next first; without a piece there are only the maker's own.

        In working order, but a panel that was begun is finished before another is cut or taken up.
        """
        to_do = [s for s in self.steps if s.state == "open" and s.in_plan and (self.pieces or s.own)]
        begun = {s.on_table for s in self.steps if s.state == "done" and s.on_table and s.kind != "cut"}
        untouched = (i for i, s in enumerate(to_do) if s.on_table and s.on_table not in begun)
        first = next(untouched, len(to_do))
        later = sorted(to_do[first:], key=lambda s: s.on_table not in begun)
        return tuple([*to_do[:first], *later][:limit])

    @property
    def minutes(self) -> Decimal:
        """Minutes planned in all."""
        return sum((s.planned for s in self.budget), Decimal(0))

    @property
    def logged(self) -> int:
        return sum(s.logged for s in self.budget)
