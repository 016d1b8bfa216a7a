"""The lays on the job sheet: each cloth to scale with its numbered cuts, the cutting list, what remains."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from django.utils.safestring import SafeString

from projects.calc.lay import Lay
from projects.calc.lengths import Rounding, System, of_lay, rounded, rounded_up
from projects.drawings import lay as drawing
from projects.drawings.lay_marks import Marks
from projects.planning.lay_cuts import steps_of
from projects.planning.lay_drawn import ClothLaid, cloths_of
from projects.planning.lay_places import places_of
from projects.planning.plan import FabricPlan, Plan

from .lay_cuts import TO_BUY, CutWords, left_over, words_of

TALLEST = 300
"""How high a cloth is drawn at most (px): a higher one would be made smaller on paper, letters and all."""

_NUMBER = re.compile(r" (?=\d+\b)")
_FIGURE = re.compile(r"(?<=\d) (?=[¹²³⁰-⁹])|(?<=[\d₀-₉]) (?=(?:cm|in)\b)")

NONE_MADE: Mapping[int, frozenset[int]] = {}


@dataclass(frozen=True, slots=True)
class LayDrawn:
    """One cloth of a lay: a length on the shelf or cloth to buy, and how much of it is used."""

    drawing: SafeString
    text: str


@dataclass(frozen=True, slots=True)
class CutLine:
    """A line of the cutting list, with a box to tick."""

    words: CutWords
    made: bool


@dataclass(frozen=True, slots=True)
class LaySheet:
    """One fabric's lay. ``left`` says what remains, a line a cloth; ``problem`` why there is none."""

    fabric: str
    cloths: tuple[LayDrawn, ...] = ()
    cuts: tuple[CutLine, ...] = ()
    left: tuple[str, ...] = ()
    text: str = ""
    problem: str = ""


def lays_of(plan: Plan, made: Mapping[int, frozenset[int]], system: System) -> Iterator[LaySheet]:
    """The lays of a plan's fabrics. ``made`` are the numbers of cuts that are made, by fabric."""
    for line in plan.fabrics:
        done = made.get(line.fabric_id, frozenset()) if line.lay_state == "accepted" else frozenset()
        yield _lay(plan, line, done, system)


def _lay(plan: Plan, line: FabricPlan, done: frozenset[int], system: System) -> LaySheet:
    lay, request = line.lay, line.laid_for or line.request
    if lay is None or request is None:
        return LaySheet(line.name, problem=line.problem)
    cut = [i for i, place in enumerate(places_of(plan, line.fabric_id)) if place.cut]
    cloths = cloths_of(line)
    labels = {cloth.on.name: cloth.on.label or TO_BUY for cloth in cloths}
    steps = steps_of(lay, request)
    words = (words_of(step, labels.get(step.cut.on, TO_BUY), system) for step in steps)
    lines = (CutLine(_held(cut), cut.number in done) for cut in words)
    return LaySheet(
        fabric=line.name,
        cloths=tuple(_drawn(lay, cloth, cut, done, system) for cloth in cloths),
        cuts=tuple(lines),
        left=tuple(left_over(lay, request, labels, system)),
        text=_text(line, bool(cut)),
        problem=line.problem,
    )


def _held(cut: CutWords) -> CutWords:
    """The same words, no line of which ends between a name and its number or a figure and its unit."""
    how, leaves = (_FIGURE.sub("\u00a0", words) for words in (cut.how, cut.leaves))
    return replace(cut, frees=_NUMBER.sub("\u00a0", cut.frees), how=how, leaves=leaves)


def _text(line: FabricPlan, hatched: bool) -> str:
    said = ["Accepted"] if line.lay_state == "accepted" else []
    said += ["shortest possible"] if line.lay and line.lay.shortest else []
    said += ["hatched panels are cut already"] if hatched else []
    text = "; ".join(said)
    return text[:1].upper() + text[1:]


def _drawn(lay: Lay, cloth: ClothLaid, cut: list[int], done: frozenset[int], system: System) -> LayDrawn:
    used = rounded_up(cloth.on.used, of_lay(system), system)
    width = rounded(cloth.on.width, Rounding.PANEL, system)
    where = cloth.on.label or TO_BUY
    text = f"{where[:1].upper()}{where[1:]}: {used}, {width} wide"
    svg = drawing.lay(
        lay,
        cloth_width=cloth.on.width,
        system=system,
        title=f"lay on {where}",
        cut=cut,
        on=cloth.on.name,
        tallest=TALLEST,
        marks=Marks(
            cuts=cloth.cuts,
            done=done,
            remnants=cloth.remnants,
            flaws=cloth.flaws,
            lost=cloth.lost,
            whole=cloth.on.there,
        ),
    )
    return LayDrawn(svg, text)
