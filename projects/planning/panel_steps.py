"""The steps of one panel in true working order: cut, mark, sew, press, the second direction, check, trim."""

from collections.abc import Iterator, Sequence
from decimal import Decimal

from projects.calc.labour import metres
from projects.calc.marks import begin_at, cross_from
from projects.calc.order_of_work import in_pairs, middle_of, wish_unfollowed
from projects.calc.panels import PanelPlan, SidePlan
from projects.calc.recipe import Direction
from projects.calc.techniques import TECHNIQUES

from . import cautions
from .bench import Bench
from .drafts import Draft
from .edges import edges_of
from .plan import CheckMeasure, Measure
from .ratio_steps import ratio_steps
from .words import fold_word

BEGIN = {
    "first": "Begin at the {first}.",
    "far": "The {folds} overlap: begin at the {far}, last number first, and press each before the next.",
    "both": "The {folds} overlap: begin at both edges, work to the middle, press each before the next.",
    "centre": "The {folds} overlap: begin in the middle, work outwards, press each before the next.",
    "middle": (
        "Begin in the middle with number {middle} and work to the {far}; then from the middle to the {first}."
    ),
    "alternate": "Begin at the {first} and sew every other one; then those between, from the {first} again.",
    "pairs": (
        "Begin at the {first} and fold every other pleat, both its folds; then those between, "
        "from the {first} again."
    ),
}
REFUSED = {
    "centre": "As they overlap they can't be sewn from the centre outwards, which the piece asks for.",
    "alternate": "As they overlap they can't be sewn every other one first, which the piece asks for.",
}
CROSSING = {
    "first": "Start each seam at the {first}, so that the foot runs off the folds.",
    "far": "Start each seam at the {far}, so that the foot runs off the folds.",
    "both": "Sew each seam from both ends to the middle, so that the foot runs off the folds.",
    "centre": "Sew each seam from the middle outwards, so that the foot runs off the folds.",
}


def panel_steps(bench: Bench) -> Iterator[Draft]:
    """Every step of one panel. A spare is only cut."""
    yield from _cut(bench)
    if bench.line.spare:
        return
    work = bench.plan.work
    if work is not None:
        yield from ratio_steps(bench, work)
        yield from _finish_panel(bench)
        return
    sub = 10.0
    for place, side in enumerate(s for s in bench.plan.sides if s.direction and s.count):
        yield from _texture(bench, side, second=place == 1, sub=sub + 20 * place)
    if any(s.count for s in bench.plan.sides):
        yield from _finish_panel(bench)


def _cut(bench: Bench) -> Iterator[Draft]:
    plan, joins = bench.plan, bench.plan.joins
    hand = f" Write {bench.line.hand.upper()} on it." if bench.line.hand else ""
    spare = " Keep it by as a spare." if bench.line.spare else ""
    sizes = (Measure("across", plan.cut_width, "panel"), Measure("along the grain", plan.cut_length, "panel"))
    if joins:
        sizes = (*(Measure(f"width {i}", w, "panel") for i, w in enumerate(joins.widths, 1)), sizes[1])
    yield bench.draft(
        "cut", "cut", 0.0, f"Cut {bench.line.name}", measures=sizes, work=(("panels", 1),),
        detail=f"On the straight grain, square at the corners; mark the top and the face.{hand}{spare}",
        cautions=cautions.cutting(bench.fabric), booked=bench.line.cut,
    )
    if joins and joins.joins:
        yield _join(bench, len(joins.joins))


def _join(bench: Bench, count: int) -> Draft:
    joins, (first, _) = bench.plan.joins, edges_of(bench.plan.across)
    word = fold_word(bench.plan.across.direction)
    by_ratio = bench.plan.work is not None
    inside = "join {0}, from the {1}" if by_ratio else f"inside {word} {{0}}, from the {{1}}"
    places = tuple(Measure(inside.format(j.number, first), j.position) for j in joins.joins)
    where = "Fullness will hide each join." if by_ratio else f"Each join lies inside a {word}, off the fold."
    return bench.draft(
        "join", "cut", 0.5, f"Join the widths of {bench.line.name}", measures=places,
        detail=f"{where} Press it open.",
        work=(("width_joins", count),),
        cautions=(cautions.NEEDLES, cautions.iron(bench.fabric)),
    )


def _texture(bench: Bench, side: SidePlan, second: bool, sub: float) -> Iterator[Draft]:
    yield _mark(bench, side, second, sub)
    yield _sew(bench, side, second, sub + 1)
    if side.direction is not None and not side.direction.stands_up:
        yield _press(bench, side, sub + 2)


def _mark(bench: Bench, side: SidePlan, second: bool, sub: float) -> Draft:
    first, far = edges_of(side)
    lies = " Mark the cloth as it lies now, the first direction sewn and pressed." if second else ""
    extent = Measure(f"{side.name}, the cloth now", side.marked, "panel")
    last = Measure(f"last line from the {far}, a check before sewing", side.last_mark_from_far_edge or 0)
    return bench.draft(
        "mark", "mark", sub, f"Mark {bench.line.name} {side.name}: {_counted(side)}", side.name,
        detail=f"From the {first}, by the mark table.{lies}", measures=(extent, last),
        work=(("marks", side.count),),
    )


def _sew(bench: Bench, side: SidePlan, second: bool, sub: float) -> Draft:
    direction = side.direction
    verb = "Fold and baste" if direction.is_pleats else "Sew"
    detail = [TECHNIQUES[direction.technique].sew_note(direction), _begin(side)]
    if second:
        detail.append(_crossing(bench.plan.other(side.name)))
    checks = bench.checks.get(side.name, ())
    return bench.draft(
        "sew", "texture", sub, f"{verb} {bench.line.name} {side.name}: {_counted(side)}", side.name,
        detail=" ".join(text for text in detail if text),
        measures=_sewn_length(direction), checks=checks,
        cautions=(cautions.NEEDLES, *bench.plan.needle_warnings(bench.system)[:1]),
        work=_sewing(bench.plan, side, checks),
    )


def _counted(side: SidePlan) -> str:
    unit = "pleat fold" if side.direction.is_pleats else "tuck"
    return f"{side.count} {unit}{'' if side.count == 1 else 's'}"


def _begin(side: SidePlan) -> str:
    axis, (first, far) = side.axis, edges_of(side)
    begin = begin_at(axis)
    words = BEGIN["pairs" if begin == "alternate" and in_pairs(axis) else begin]
    middle = axis.numbers[middle_of(axis)] if "{middle}" in words else 0
    text = words.format(first=first, far=far, folds=f"{fold_word(side.direction)}s", middle=middle)
    return f"{text} {REFUSED[axis.order]}" if wish_unfollowed(axis) else text


def _crossing(crossed: SidePlan) -> str:
    """From which end each seam starts, so that the foot runs off the folds it crosses."""
    first, far = edges_of(crossed)
    words = CROSSING.get(cross_from(crossed.axis) if crossed.axis else "", "")
    return words.format(first=first, far=far)


def _sewn_length(direction: Direction) -> tuple[Measure, ...]:
    if not direction.sewn:
        return ()
    return (Measure("sew only this far, then fasten off", direction.sewn),)


def _sewing(
    plan: PanelPlan, side: SidePlan, checks: Sequence[CheckMeasure]
) -> tuple[tuple[str, Decimal | int], ...]:
    unit = "pleats" if side.direction.is_pleats else "tucks"
    cords = side.count if side.direction.technique == "corded" else 0
    work = (
        ("runs", 1), ("metres_sewn", metres(plan.sewn(side.name))), (unit, side.count),
        ("cords", cords), ("checks", len(checks)),
    )
    return tuple((key, count) for key, count in work if count)


def _press(bench: Bench, side: SidePlan, sub: float) -> Draft:
    length = side.count * bench.plan.run_of(side.name)
    return bench.draft(
        "press", "press", sub, f"Press {bench.line.name} {side.name}", side.name,
        detail=_lies(side), cautions=(cautions.iron(bench.fabric),),
        work=(("metres_pressed", metres(length)),),
    )


def _lies(side: SidePlan) -> str:
    """Which way the flaps lie, seen on the face."""
    first, far = edges_of(side)
    words = {
        "on": f"The flaps lie towards the {far}.",
        "back": f"The flaps lie towards the {first}.",
        "opened": "Each tuck is opened flat over its seam.",
    }
    first_lies, last_lies = side.axis.pressings[0], side.axis.pressings[-1]
    if first_lies is last_lies:
        return words.get(first_lies.value, "")
    before, beyond = words[first_lies.value], words[last_lies.value]
    return f"Up to the centre: {_small(before)} Beyond it: {_small(beyond)}"


def _small(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"


def _finish_panel(bench: Bench) -> Iterator[Draft]:
    plan, name = bench.plan, bench.line.name
    both = (plan.across, plan.along)
    measures = tuple(Measure(f"finished {s.name}", s.finished, "panel") for s in both)
    piece = tuple(Measure(f"{s.name}, allowances included", _piece_extent(s), "panel") for s in both)
    yield bench.draft(
        "check", "trim", 70.0, f"Check {name} finished", measures=measures,
        detail="Lay it flat, measure in three places each way, before anything is cut off.",
    )
    yield bench.draft(
        "baste", "trim", 71.0, f"Baste a line just inside the cut edge of {name}",
        detail=_through(plan),
        cautions=(cautions.NEEDLES,),
    )
    yield bench.draft(
        "trim", "trim", 72.0, f"Cut {name} to the piece", measures=piece, work=(("panels_trimmed", 1),),
        cautions=cautions.cutting(bench.fabric),
    )


def _through(plan: PanelPlan) -> str:
    if plan.work is not None:
        return "Through the texture, so that no thread of it runs out when it is cut."
    return "Through every tuck or pleat the cut will cross, so that none opens."


def _piece_extent(side: SidePlan) -> int:
    """From cut edge to cut edge as sewn."""
    return side.length - side.near.cut - side.far.cut
