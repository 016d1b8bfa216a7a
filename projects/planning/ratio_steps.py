"""The steps of one panel worked by ratio: mark the dots or lines, draw up, sew, steam to size."""

from collections.abc import Iterator
from dataclasses import dataclass

from projects.calc import ratio_labour
from projects.calc.ratio_work import Marks, RatioWork
from projects.calc.units import grouped

from . import cautions
from .bench import Bench
from .drafts import Draft
from .edges import edges_of
from .plan import PICK_UP, Measure


@dataclass(frozen=True, slots=True)
class Words:
    """What the work of one technique is called, and how to go about each of its steps. A title takes the
    panel's name, what is counted is put behind it; no words, no step."""

    mark: str
    sew: str
    how: str
    steam: str
    rest: str
    pleat: str = ""
    draw: str = ""
    drawing: str = ""
    by_hand: str = ""


WORDS = {
    "gathers": Words(
        mark="On both sides of the seam line.",
        sew="Sew the gathering of",
        how="Longest stitch, loose upper thread; leave the ends long at both ends and do not fasten them.",
        by_hand="Small running stitches, all alike, a strong thread to each row; leave the ends long.",
        draw="Draw up",
        drawing="Draw the bobbin threads from both ends, share the fullness out, wind the ends round pins.",
        steam="Press the allowance of",
        rest="Only the allowance, so that the gathers stay full.",
    ),
    "shirring": Words(
        mark="Chalk the rows on the side the elastic does not lie on.",
        sew="Sew the elastic of",
        how="Elastic on the bobbin, wound by hand; draw every row flat while it is sewn.",
        by_hand="Stitch over the elastic with herringbone, taking care not to pierce it.",
        steam="Steam",
        rest="Hold the iron above the rows until they have drawn up, then let it rest and measure.",
    ),
    "english": Words(
        mark="On the wrong side, every dot of a row in line with the row above.",
        sew="Smock",
        how="One pleat to each stitch; the thread above the needle going down, below it going up.",
        pleat=PICK_UP,
        draw="",
        drawing="A strong thread to each row; draw all up together until the size is right, tie in pairs.",
        steam="Steam",
        rest="Let it dry before the drawing threads come out, so that the pleats stay where they are.",
    ),
    "honeycomb": Words(
        mark="On the right side, with a mark that comes out.",
        sew="Join the dots of",
        how="Two dots together with two small stitches; the thread goes behind to the next row, whose pairs "
        "lie between.",
        steam="Steam",
        rest="Pin it out to size, steam without touching, let it dry.",
    ),
    "lattice": Words(
        mark="The grid on the wrong side; squares exactly square.",
        sew="Draw up the squares of",
        how="The two ends of a square's diagonal together, knotted; the thread to the next one lies loose. "
        "Every second square of a row, leaning the other way in the next.",
        steam="Steam",
        rest="From the wrong side without touching; stroke the folds even, let it dry.",
    ),
    "quilting": Words(
        mark="Try on a scrap that the marks come out.",
        sew="Quilt",
        how="Baste wadding and backing to it first, from the middle outwards; sew the lines so too.",
        by_hand="Baste wadding and backing to it first; small even stitches from the middle outwards.",
        steam="Steam",
        rest="Let it lie flat until it has stopped drawing in.",
    ),
    "trapunto": Words(
        mark="Transfer the lines to the backing.",
        sew="Sew and fill",
        how="Backing basted on first; sew the lines, then fill from behind, the cloth still flat.",
        by_hand="Backing basted on first; small even stitches, then fill from behind until it stands.",
        steam="Steam",
        rest="Never flat under the iron: from behind, on a soft pad.",
    ),
}


def ratio_steps(bench: Bench, work: RatioWork) -> Iterator[Draft]:
    """In working order. A panel of no rows, dots or lines has nothing to work."""
    words = WORDS[work.technique]
    yield _mark(bench, work, words)
    if words.pleat:
        yield _pleat(bench, work, words)
    yield _sew(bench, work, words)
    if words.draw:
        yield _draw(bench, words)
    yield _steam(bench, work, words)


def _mark(bench: Bench, work: RatioWork, words: Words) -> Draft:
    flat = (Measure("across, the cloth flat", work.width, "panel"), Measure("along", work.length, "panel"))
    return bench.draft(
        "mark", "mark", 10.0, f"Mark {bench.line.name}: {counted(work)}",
        detail=f"{words.mark} By the mark table.", measures=(*flat, *_grid(bench, work)),
        work=ratio_labour.marking(work),
    )


def _grid(bench: Bench, work: RatioWork) -> Iterator[Measure]:
    sides = ((bench.plan.across, work.grid_across), (bench.plan.along, work.grid_along))
    for side, marks in sides:
        if marks is not None and marks.count and not (work.slant and not work.has_dots):
            yield Measure(f"first from the {edges_of(side)[0]}", marks.first)
            yield from _apart(marks, side.name)


def _apart(marks: Marks, name: str) -> Iterator[Measure]:
    if marks.count > 1:
        yield Measure(f"then apart, {name}", marks.step, "depth")


def _pleat(bench: Bench, work: RatioWork, words: Words) -> Draft:
    return bench.draft(
        "draw", "texture", 11.0, f"{words.pleat} {bench.line.name} and draw up: {counted(work)}",
        detail=words.drawing, measures=_finished(bench), cautions=(cautions.NEEDLES,),
        work=ratio_labour.drawing_up(work),
    )


def _sew(bench: Bench, work: RatioWork, words: Words) -> Draft:
    how = words.by_hand if work.by_hand and words.by_hand else words.how
    return bench.draft(
        "sew", "texture", 12.0, f"{words.sew} {bench.line.name}: {sewn(work)}",
        detail=how, cautions=(cautions.NEEDLES,), work=ratio_labour.sewing(work),
    )


def _draw(bench: Bench, words: Words) -> Draft:
    """Its time is part of the metres gathered."""
    return bench.draft(
        "draw", "texture", 13.0, f"{words.draw} {bench.line.name} to size", detail=words.drawing,
        measures=_finished(bench),
    )


def _steam(bench: Bench, work: RatioWork, words: Words) -> Draft:
    return bench.draft(
        "press", "press", 14.0, f"{words.steam} {bench.line.name}", detail=words.rest,
        measures=_finished(bench), cautions=(cautions.iron(bench.fabric),), work=ratio_labour.steaming(work),
    )


def _finished(bench: Bench) -> tuple[Measure, ...]:
    """What it must measure when drawn up, border included."""
    return tuple(Measure(f"finished {s.name}", s.finished, "panel") for s in bench.plan.both)


def counted(work: RatioWork) -> str:
    """What is marked: "1 428 dots in 21 rows", "12 lines", "2 rows"."""
    if work.squares_across:
        return f"{_many(work.squares_across * work.squares_down, 'square')}, {grouped(work.dots)} dots"
    if work.has_dots:
        return f"{_many(work.dots, 'dot')} in {_many(work.rows, 'row')}"
    return _many(work.lines, "row" if work.technique in ("gathers", "shirring") else "line")


def sewn(work: RatioWork) -> str:
    """What is sewn: "315 stitches", "12 lines"."""
    return _many(work.stitches, "stitch") if work.has_dots else counted(work)


def _many(count: int, unit: str) -> str:
    plural = "stitches" if unit == "stitch" else f"{unit}s"
    return f"{grouped(count)} {unit if count == 1 else plural}"
