"""The job sheet: everything the table needs of one project's Plan, as values for its template."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import groupby
from typing import Any

import segno
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from projects.calc.labour import format_minutes
from projects.calc.lengths import Rounding, System, about, rounded, rounded_up
from projects.drawings import key
from projects.models import Workroom
from projects.planning.plan import CheckMeasure, Measure, PanelLine, PiecePlan, Plan, PlannedStep

from .edges import EdgePart, edge_part
from .lay_sheet import NONE_MADE, LaySheet, lays_of
from .marks import MarkTable, mark_tables
from .ratio_marks import GridTable, grid_tables_of
from .worked_parts import WorkedPart, worked_parts


@dataclass(frozen=True, slots=True)
class CutRow:
    """A panel to cut: its size in both unit systems, across x along the grain."""

    name: str
    hand: str
    fabric: str
    metric: str
    inches: str
    spare: bool
    cut: bool
    note: str


@dataclass(frozen=True, slots=True)
class KeyRow:
    """One mark: its letter and line, and the depths it stands for."""

    letter: str
    drawing: SafeString
    words: str


@dataclass(frozen=True, slots=True)
class ChecksFrom:
    """Check measures as text that are measured from and to the same places."""

    start: str
    end: str
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StepRow:
    """A step with a box to tick, its check measures as text, and its cautions."""

    title: str
    detail: str
    measures: tuple[str, ...]
    checks: tuple[ChecksFrom, ...]
    cautions: tuple[str, ...]
    done: bool
    skipped: str
    minutes: str


@dataclass(frozen=True, slots=True)
class BudgetRow:
    title: str
    planned: str
    range: str
    logged: str
    starting: bool


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture for the sheet as a ``data:`` address, with its caption."""

    address: str
    caption: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the template shows; every text is ready to read."""

    plan: Plan
    studio: str
    paper: str
    printed_on: date
    qr: str
    cuts: tuple[CutRow, ...]
    lays: tuple[LaySheet, ...]
    marks: tuple[MarkTable, ...]
    key: tuple[KeyRow, ...]
    stages: tuple[tuple[str, tuple[StepRow, ...]], ...]
    budget: tuple[BudgetRow, ...]
    total: str
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    pictures: tuple[Picture, ...]
    edging: EdgePart
    grids: tuple[GridTable, ...] = ()
    """Marks of panels worked by ratio."""
    worked: tuple[WorkedPart, ...] = ()
    own_hours: bool = False
    """The hours so far are those of the person who prints, not of all."""

    @property
    def pairs(self) -> bool:
        """Whether any panel is of a pair, so that the table of panels says which hand it is."""
        return any(row.hand for row in self.cuts)


def make_sheet(
    plan: Plan,
    workroom: Workroom,
    *,
    today: date,
    address: str = "",
    pictures: Iterable[Picture] = (),
    own_hours: bool = False,
    made: Mapping[int, frozenset[int]] = NONE_MADE,
) -> Sheet:
    """The job sheet of a plan. ``address`` is the project's page for the QR code; empty: none is shown.
    ``made`` are the numbers of cuts that are made of each fabric's accepted lay."""
    system = System(workroom.units)
    return Sheet(
        plan=plan,
        studio=workroom.name,
        paper=workroom.paper,
        printed_on=today,
        qr=segno.make(address, error="m").svg_data_uri(scale=4, border=2) if address else "",
        cuts=tuple(row for piece in plan.pieces for row in _cuts(piece)),
        lays=tuple(lays_of(plan, made, system)),
        marks=tuple(mark_tables(plan.pieces, system)),
        grids=tuple(grid_tables_of(plan.pieces, system)),
        worked=tuple(worked_parts(plan.pieces, system)),
        key=tuple(_key(plan.pieces, system)),
        stages=tuple(_stages(plan.steps, system)),
        budget=tuple(_budget(plan)),
        total=_time(plan.minutes),
        cautions=_texts(plan, "caution"),
        notes=_texts(plan, "warning"),
        pictures=tuple(pictures),
        edging=edge_part(plan, system),
        own_hours=own_hours,
    )


def sheet_html(sheet: Sheet, **extra: Any) -> str:
    """The sheet as one page of HTML, for the browser's own print or for the PDF (``pdf=True``)."""
    return render_to_string("printing/sheet.html", {"sheet": sheet, **extra})


def _cuts(piece: PiecePlan) -> Iterator[CutRow]:
    for line in piece.panels:
        yield CutRow(
            name=line.name,
            hand=line.hand,
            fabric=piece.fabric,
            metric=_size(line, System.METRIC),
            inches=_size(line, System.INCH),
            spare=line.spare,
            cut=line.cut,
            note=_joined(line),
        )


def _size(line: PanelLine, system: System) -> str:
    across, along = line.plan.cut_width, line.plan.cut_length
    return f"{rounded(across, Rounding.PANEL, system)} × {rounded(along, Rounding.PANEL, system)}"


def _joined(line: PanelLine) -> str:
    joins = line.plan.joins
    where = "inside its folds" if line.plan.work is None else "where its fullness hides it"
    return f"cut as {len(joins.widths)} widths, joined {where}" if joins else ""


def _key(pieces: tuple[PiecePlan, ...], system: System) -> Iterator[KeyRow]:
    """Each letter once; depths differ between recipes, so each recipe's depth is told."""
    depths: dict[str, dict[int, list[str]]] = {}
    for piece in pieces:
        for line in piece.panels:
            for letter, depth in _depths(line):
                names = depths.setdefault(letter, {}).setdefault(depth, [])
                if piece.name not in names:
                    names.append(piece.name)
    for letter in sorted(depths, key=lambda text: (len(text), text)):
        used = sorted(depths[letter].items())
        words = "; ".join(f"{about(depth, system)} deep ({', '.join(names)})" for depth, names in used)
        yield KeyRow(letter, key.sample(letter, width=70), words)


def _depths(line: PanelLine) -> set[tuple[str, int]]:
    axes = [side.axis for side in line.plan.sides if side.axis]
    return {pair for axis in axes for pair in zip(axis.marks, axis.depths, strict=True)}


def _stages(steps: tuple[PlannedStep, ...], system: System) -> Iterator[tuple[str, tuple[StepRow, ...]]]:
    for heading, group in groupby(steps, key=lambda step: step.heading):
        yield heading, tuple(_rows(group, system))


def _rows(group: Iterable[PlannedStep], system: System) -> Iterator[StepRow]:
    """The steps under one heading: what is over in one line, and each caution once, where it is first due."""
    said: set[str] = set()
    for step in group:
        if step.state != "open":
            yield _over(step)
            continue
        yield _step(step, system, tuple(text for text in step.cautions if text not in said))
        said.update(step.cautions)


def _over(step: PlannedStep) -> StepRow:
    reason = step.reason if step.state == "skipped" else ""
    return StepRow(
        title=step.title,
        detail="",
        measures=(),
        checks=(),
        cautions=(),
        done=step.state == "done",
        skipped=reason,
        minutes="",
    )


def _step(step: PlannedStep, system: System, cautions: tuple[str, ...]) -> StepRow:
    return StepRow(
        title=step.title,
        detail=step.detail if step.in_plan else f"{step.detail} No longer in the plan.".strip(),
        measures=tuple(_measure(measure, system) for measure in step.measures),
        checks=tuple(_checks(step, system)),
        cautions=tuple(text.replace(" °C", "\u00a0°C") for text in cautions),
        done=False,
        skipped="",
        minutes=_time(step.minutes) if step.minutes >= 1 else "",
    )


def _measure(measure: Measure, system: System) -> str:
    if measure.kind == "depth":
        text = about(measure.length, system)
    else:
        read = rounded_up if measure.kind == "cloth" else rounded
        text = read(measure.length, Rounding(measure.kind), system)
    return f"{measure.label} {text}"


def _checks(step: PlannedStep, system: System) -> Iterator[ChecksFrom]:
    """Check measures in the order of sewing, those between the same ends together."""
    for (start, end), group in groupby(step.checks, key=lambda check: check.ends):
        yield ChecksFrom(start, end, tuple(_check(check, system) for check in group))


def _check(check: CheckMeasure, system: System) -> str:
    """Both readings of a check measure on one line, each with room to write."""
    seam, edge, near = (rounded(nm, Rounding.MARK, system) for nm in check[3:])
    return f"□ after {check.tuck}\t{seam}\t______\t{edge}\t______\ttogether within {near}"


def _budget(plan: Plan) -> Iterator[BudgetRow]:
    for stage in plan.budget:
        yield BudgetRow(
            title=stage.title,
            planned=_time(stage.planned),
            range=f"{_time(stage.low)} to {_time(stage.high)}" if stage.planned else "",
            logged=format_minutes(stage.logged) if stage.logged else "",
            starting=stage.starting,
        )


def _time(minutes: Decimal) -> str:
    """Rounded as pages round it, so that paper and page say the same."""
    return format_minutes(round(minutes))


def _texts(plan: Plan, kind: str) -> tuple[str, ...]:
    """Notes of one kind, each once, with the names of what they are about."""
    about: dict[str, list[str]] = {}
    for note in (*plan.notes, *(note for piece in plan.pieces for note in piece.notes)):
        names = about.setdefault(note.text, []) if note.kind == kind else []
        if note.about and note.about not in names:
            names.append(note.about)
    return tuple(f"{', '.join(names)}: {text}" if names else text for text, names in about.items())
