"""One panel on the table, and the steps drafted for it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from projects.calc.lengths import System
from projects.calc.panels import PanelPlan
from projects.models import Fabric

from .drafts import Draft
from .plan import CheckMeasure, PanelLine

CUT_FROM, PANELS_FROM, A_PANEL = 1_000.0, 1_000_000.0, 100.0
OF_TEXTURE = ("mark", "texture", "press")
"""Stages whose time hangs on the technique too."""


@dataclass(frozen=True, slots=True)
class Bench:
    """One panel on the table: its line, its cloth, its place among the panels, its checks by direction."""

    line: PanelLine
    fabric: Fabric | None
    piece: str
    order: int
    checks: Mapping[str, Sequence[CheckMeasure]]
    system: System

    @property
    def plan(self) -> PanelPlan:
        return self.line.plan

    @property
    def taken_up_at(self) -> float:
        """From where on its steps stand once all panels are cut."""
        return PANELS_FROM + self.order * A_PANEL

    def draft(
        self, kind: str, stage: str, sub: float, title: str, direction: str = "", **values: object
    ) -> Draft:
        """A step of this panel; its key is (panel, kind, direction, number)."""
        start = CUT_FROM + self.order if stage == "cut" else self.taken_up_at
        place = start + sub
        key = f"{self.piece}.{self.line.number}:{kind}:{direction}:1"
        return Draft(
            key, stage, place, title, panel=self.line.name, panel_id=self.line.panel_id,
            technique=self.technique(direction) if stage in OF_TEXTURE else "", **values,
        )  # fmt: skip

    def technique(self, direction: str) -> str:
        """What is worked in one direction, or by ratio in both; empty where it is plain."""
        if self.plan.work is not None:
            return self.plan.work.technique
        found = self.plan.side(direction).direction if direction else None
        return found.technique if found else ""
