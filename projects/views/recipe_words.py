"""What the recipe page says of its numbers: the row of facts, notes on gaps, what a number rests on."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from projects.calc import labour
from projects.calc.direction import Direction
from projects.calc.gaps import GapNote, visible_gaps
from projects.calc.lengths import Rounding, System, about, rounded, thickness
from projects.calc.panels import PanelPlan
from projects.calc.sampling import TakeUp
from projects.models import Workroom
from projects.planning.recipe_backwards import Answer
from projects.planning.recipe_work import SideWork, Work, folds_each

SQUARE_YARD = Decimal("0.83612736")
"""Square metres."""


@dataclass(frozen=True, slots=True)
class Fact:
    figure: str
    words: str


def facts(work: Work, system: System) -> list[Fact]:
    """The five figures under the title."""
    lead = work.sides[0]
    metre, square = ("m", "m²") if system is System.METRIC else ("yd", "yd²")
    return [
        Fact(_two(lead.ratio), f"flat to finished, {_ratios(work, metre)}"),
        Fact(f"{_two(work.area)} {square}", f"flat cloth per finished {square}"),
        Fact(_repeat(lead, system), f"one {_unit(lead)} {lead.name}, finished to flat"),
        _layers(work, system),
        _hours(work, system, square),
    ]


def _ratios(work: Work, metre: str) -> str:
    """For instance "across: 2.04 m makes 1 m"; both directions at once where they read alike."""
    said = {s.name: f"{_two(s.ratio)} {metre} makes 1 {metre}" for s in work.sides}
    if len(said) == 2 and len(set(said.values())) == 1:
        return f"both ways: {said['across']}"
    return "; ".join(f"{name}: {text}" for name, text in said.items())


def _two(value: Fraction) -> str:
    """Two decimals, half up."""
    hundredths = (200 * value.numerator + value.denominator) // (2 * value.denominator)
    return f"{hundredths // 100}.{hundredths % 100:02d}"


def _unit(side: SideWork) -> str:
    return "pleat" if side.direction.is_pleats else "repeat"


def _repeat(side: SideWork, system: System) -> str:
    """For instance "54 → about 110.7 mm"; "about" is said once, before whatever it holds for."""
    first, last = about(side.repeat, system), about(side.repeat_flat, system)
    unit = "mm" if system is System.METRIC else "in"
    if first.startswith("about "):
        last = last.removeprefix("about ")
    return _unbroken(f"{first.removesuffix(f' {unit}')} → {last}")


def _unbroken(text: str) -> str:
    """A whole number and its fraction stay on one line."""
    return re.sub(r" (?=[⁰¹²³⁴-⁹])", "\N{NO-BREAK SPACE}", text)


def one_repeat(side: SideWork, system: System) -> str:
    """The answer to one direction's table, said under it."""
    return f"One {_unit(side)}, finished to flat: {_repeat(side, system)}, {_two(side.ratio)} to 1."


def _layers(work: Work, system: System) -> Fact:
    where = "where tucks cross" if len(work.sides) > 1 else "where it is thickest"
    thick = (
        "this cloth's thickness is not known"
        if work.thickness is None
        else f"{thickness(work.thickness, system)} thick"
    )
    return Fact(f"{work.layers} layers" if work.layers > 1 else "1 layer", f"{where}, {thick}")


def _hours(work: Work, system: System, square: str) -> Fact:
    minutes = work.minutes if system is System.METRIC else work.minutes * SQUARE_YARD
    figure = hours(minutes)
    return Fact(figure, f"per finished {square}, without setting up{behind(work.starting, work.learnt)}")


def behind(starting: bool, learnt: int) -> str:
    """What stands behind a figure of hours: a starting value, finished steps, both, or the studio's own."""
    said = ["starting value"] if starting else []
    if learnt:
        said.append(f"from {learnt} {'step' if learnt == 1 else 'steps'} of yours")
    return f"; {', and '.join(said)}" if said else ""


def hours(minutes: Decimal) -> str:
    """Whole hours from ten hours on, else hours and minutes."""
    if minutes >= 600:
        return f"{int((minutes / 60 + Decimal('0.5')) // 1)}\N{NO-BREAK SPACE}h"
    return labour.format_minutes(labour.total_minutes([minutes]))


def gap_words(note: GapNote, side: SideWork, system: System) -> tuple[str, str]:
    """A note on a narrow gap: its lead in bold, then what to do."""
    after = side.direction.tucks[note.after - 1].mark
    shown = about(abs(note.gap), system)
    texts = {
        "tight": f"{shown[0].upper()}{shown[1:]} of cloth shows between the folds. "
        "Press each tuck before sewing the next.",
        "blind": "The fold meets the next seam, no cloth shows. Press each tuck before sewing the next.",
        "overlapping": f"The tucks overlap by {shown}: sew against the pressing, the last tuck first, "
        "and press each before the next.",
    }
    return f"{note.kind.capitalize()} after {after}.", texts[note.kind]


def rests_on(known: TakeUp, side: SideWork, system: System) -> str:
    """What a direction's take-up rests on, with its 80 % range where a sample was measured."""
    unit = "pleat" if side.direction.is_pleats else "tuck"
    if known.basis == "none" and side.direction.stands_up:
        return (
            f"No sample yet: what a {unit} takes up is the way round its cord, a starting value. "
            "Sew a sample before cutting anything dear."
        )
    if known.basis == "none":
        return (
            f"No sample yet: each {unit} is taken to swallow just twice its depth; what the cloth adds by "
            f"itself is eight times in ten between {signed(known.low, system)} and "
            f"{signed(known.high, system)} (starting value)."
        )
    samples = "1 sample" if known.samples == 1 else f"{known.samples} samples"
    added = f"The cloth adds {signed(known.extra, system)} to each {unit} by itself, "
    span = f"eight times in ten between {signed(known.low, system)} and {signed(known.high, system)}. "
    return f"{added}{span}Rests on {samples} of {known.basis}, {known.tucks} {unit}s."


def signed(nm: int, system: System) -> str:
    """A small length with its sign, to 0.01 mm or a thousandth of an inch: it is never sewn by."""
    sign = "−" if nm < 0 else ""
    if system is System.METRIC:
        return f"{sign}{abs(nm) / 1e6:.2f} mm"
    return f"{sign}{abs(nm) / 25.4e6:.3f} in"


def size(nm: int, system: System) -> str:
    return rounded(nm, Rounding.PANEL, system)


def sums(panel: PanelPlan, system: System) -> list[tuple[str, str, str]]:
    """From the finished size to the flat cloth, line by line; a line that adds nothing is left out."""
    across, along = panel.across, panel.along
    lines = [
        ("finished size", across.pattern, along.pattern),
        ("seam allowances", *(s.parts.allowance_start + s.parts.allowance_end for s in (across, along))),
        ("squaring up, both sides", *(2 * s.parts.squaring for s in (across, along))),
        ("sewing margin", *(s.parts.margin for s in (across, along))),
        ("whole repeats", *(s.parts.repeat_start + s.parts.repeat_end for s in (across, along))),
        (f"{sewn_words(panel)} take up", *(s.axis.take_up if s.axis else 0 for s in (across, along))),
        ("drawn in by the other way's seams", across.flat - across.marked, along.flat - along.marked),
    ]
    return [(label, size(a, system), size(b, system)) for label, a, b in lines if a or b]


def last_marks(panel: PanelPlan, system: System) -> str:
    """For instance "3.2 cm across, 4.1 cm along": a check before anything is sewn."""
    far = ((s.last_mark_from_far_edge, s.name) for s in panel.both)
    return ", ".join(f"{rounded(nm, Rounding.MARK, system)} {name}" for nm, name in far if nm is not None)


def sewn_words(panel: PanelPlan) -> str:
    """ "tucks", "pleats", or both where the directions differ."""
    units = dict.fromkeys(f"{unit_of(s.direction)}s" for s in panel.both if s.direction)
    return " and ".join(units) or "tucks"


def unit_of(direction: Direction) -> str:
    return "pleat" if direction.is_pleats else "tuck"


def counted(panel: PanelPlan) -> str:
    """For instance "42 tucks across and 56 along." A box pleat is one pleat, though it has two folds."""
    said: list[str] = []
    unit = ""
    for plan in panel.both:
        if plan.direction is not None:
            mine = unit_of(plan.direction)
            count = plan.count // folds_each(plan.direction)
            named = f" {mine}{'' if count == 1 else 's'}" if mine != unit else ""
            said.append(f"{count}{named} {plan.name}")
            unit = mine
    return f"{' and '.join(said)}."


def percent(share: Decimal) -> str:
    """For instance "78 %"."""
    return f"{(share * 100).normalize():f}\N{NO-BREAK SPACE}%"


def answer(found: Answer, name: str, system: System) -> Fact:
    """What the cloth gives one way: the figure asked for, then the rest."""
    within = f"{name}, {size(found.finished, system)} finished"
    if found.direction is None:
        return Fact(size(found.finished, system), f"{name}, finished, plain cloth.")
    unit = unit_of(found.direction)
    count = f"{found.count} {unit}{'' if found.count == 1 else 's'}"
    left = f" {size(found.left, system)} of flat cloth is left over." if found.left >= 1_000_000 else ""
    more = f"{_overlapping(found)}{left}"
    if found.find == "finished":
        return Fact(size(found.finished, system), f"{name}, finished, with {count}.{left}")
    if found.find == "depth":
        return Fact(_each(found.direction, "depth", system), f"deep, {within}, with {count}.{more}")
    if found.find == "spacing":
        return Fact(
            _each(found.direction, "space", system), f"from seam to seam, {within}, with {count}.{more}"
        )
    if found.direction.is_pleats:
        return Fact(count, f"{within}, each showing {about(found.direction.width, system)}.{left}")
    return Fact(count, f"{within}{_of(found)}.{left}")


def _of(found: Answer) -> str:
    """Where the cloth gives fewer than the finished size holds."""
    return f", of the {found.of} it would hold: leave the last ones unsewn" if found.of else ""


def _overlapping(found: Answer) -> str:
    own = found.direction
    if own is None or own.is_pleats or own.stands_up or min(visible_gaps(own.tucks, own.laid)) >= 0:
        return ""
    return " They overlap then: sew against the pressing, the last tuck first."


def _each(direction: Direction, what: str, system: System) -> str:
    """The lengths of a repeat, each once, by mark where there are several."""
    if direction.is_pleats:
        return about(getattr(direction, what), system)
    values = {t.mark: getattr(t, what) for t in direction.tucks}
    if len(set(values.values())) == 1:
        return about(next(iter(values.values())), system)
    said = (f"{t.mark} {about(getattr(t, what), system)}" for t in direction.tucks[:8])
    return _unbroken(", ".join(said))


def kept_room(room: bool, workroom: Workroom, system: System) -> str:
    """What an answer from the cloth owned leaves out, or has kept room for."""
    if not room:
        return (
            "The texture runs from edge to edge of the cloth: nothing is kept for seam allowances, for "
            "squaring up, or for what sewing may come out short by."
        )
    return (
        f"Room is kept as for a piece: seam allowances of {about(workroom.seam_allowance, system)}, "
        f"{about(workroom.squaring, system)} for squaring up at each side, and the sewing margin."
    )


def takes(taken: int, system: System) -> str:
    """What a tuck takes up, without its unit, which stands at the head of the column."""
    unit = "mm" if system is System.METRIC else "in"
    return about(taken, system).removesuffix(f" {unit}").replace("about ", "≈\N{NARROW NO-BREAK SPACE}")
