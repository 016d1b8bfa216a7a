"""The steps of a project that belong to no one panel: the sample, the wash, making up, handing over."""

from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal

from projects.calc.lengths import System
from projects.calc.sample_advice import SWATCH
from projects.models import Fabric, Project

from . import cautions
from .advice import SampleNeeded
from .drafts import Draft
from .plan import FabricPlan, Measure, Note, PanelLine, PiecePlan
from .touched import prepare_key, sample_key, swatch_key, swatch_wanted
from .under import area_in, only_wadding
from .words import fold_word

SAMPLE_AT, SWATCH_AT, WASH_AT = 100.0, 300.0, 500.0
MAKE_UP_AT, FINISH_AT, DELIVER_AT = 9e8, 9.1e8, 9.2e8
METRE = Decimal(1_000_000_000)
FINISHING = {
    "garment": ("Hem, thread off and press", ""),
    "furnishing": (
        "Heading or closing, hems; thread off and press",
        "What hangs, hang for a day before its lower hem is measured and sewn.",
    ),
    "accessory": (
        "Line it, set in what closes it, thread off",
        "Handles and fastenings before the lining is closed. Press what may be pressed.",
    ),
}
"""By kind of work: how the pieces are finished, and how to go about it."""
ONLY_WORN = ("baste", "trim", "make-up", "finish", "deliver")
"""Steps a sample has none of: it is kept as it was sewn."""


def before_cutting(
    project: Project,
    fabrics: Iterable[tuple[Fabric, FabricPlan]],
    pieces: tuple[PiecePlan, ...],
    states: Mapping[str, str],
) -> Iterator[Draft]:
    """Samples, wash swatches, and washing or pressing each cloth. ``states`` of touched steps by key."""
    for number, (fabric, plan) in enumerate(fabrics):
        for sample, needed in enumerate(plan.samples):
            yield _sample(fabric, needed, SAMPLE_AT + number + sample / 100)
        swatch, prepare = swatch_key(fabric.pk), prepare_key(fabric.pk)
        if swatch_wanted(fabric, project) or (swatch in states and project.washing != "never"):
            yield _swatch(fabric, swatch, SWATCH_AT + number)
        for_panels = plan.for_all_panels if states.get(prepare) == "done" else plan.for_panels
        metres = _metres(plan, fabric.pk, pieces)
        if only_wadding(fabric.pk, pieces):
            yield _spread(project, fabric, for_panels, WASH_AT + number)
        else:
            yield _prepare(project, fabric, for_panels, metres, WASH_AT + number)


def _sample(fabric: Fabric, needed: SampleNeeded, place: float) -> Draft:
    advice = needed.advice
    sizes = (("across", advice.across), ("along", advice.along))
    cut = (Measure(f"cut {d}", e.cut, "panel") for d, e in sizes)
    flat = (Measure(f"flat between the two points {d}", e.flat) for d, e in sizes)
    finished = (Measure(f"finished between them {d}", e.finished) for d, e in sizes)
    return Draft(
        sample_key(fabric.pk, needed.key), "sample", place,
        f"Sew and measure a sample of {needed.recipe_name} on {fabric.name}", advice.why,
        measures=(*cut, *flat, *finished), cautions=(cautions.NEEDLES, cautions.iron(fabric)),
        work=(("samples", 1), *advice.work),
    )


def _swatch(fabric: Fabric, key: str, place: float) -> Draft:
    return Draft(
        key, "sample", place, f"Wash a swatch of {fabric.name}",
        "Mark two points each way, wash, dry and press it, measure again and write down what it lost.",
        measures=(Measure("square of", SWATCH, "panel"),), cautions=(cautions.iron(fabric),),
    )


def _prepare(
    project: Project, fabric: Fabric, for_panels: int, metres: Decimal, place: float
) -> Draft:
    """A wash that is done says what it was done for: all panels, those cut since too (nm as bought)."""
    wash = project.washing == "before"
    verb = "Wash and press" if wash else "Press"
    why = {
        "after": "It is sewn unwashed: press without steam, so that it does not shrink now.",
        "before": "Wash and dry it as the finished work will be.",
    }
    return Draft(
        prepare_key(fabric.pk), "prepare", place, f"{verb} {fabric.name}", why.get(project.washing, ""),
        measures=(Measure("cloth for the panels", for_panels, "cloth"),) if for_panels else (),
        cautions=(cautions.iron(fabric),), work=(("cloth_metres", metres),),
    )


def _spread(project: Project, fabric: Fabric, for_panels: int, place: float) -> Draft:
    """Wadding is never pressed."""
    wash = project.washing == "before"
    return Draft(
        prepare_key(fabric.pk), "prepare", place,
        f"{'Wash and spread out' if wash else 'Spread out'} {fabric.name}",
        "Flat, until its folds are gone; wadding is never pressed.",
        measures=(Measure("wadding to cut from", for_panels, "cloth"),) if for_panels else (),
    )


def _metres(plan: FabricPlan, fabric_id: int, pieces: tuple[PiecePlan, ...]) -> Decimal:
    """Cloth of all panels, cut ones too, as a length: booking one as cut changes no estimate."""
    lines = (line for p in pieces for line in p.panels if line.fabric_id == fabric_id)
    area = sum((line.plan.area for line in lines), Decimal(0))
    area += sum((Decimal(b.area) / METRE**2 for b in plan.bindings), Decimal(0)) + area_in(fabric_id, pieces)
    return (area * METRE / plan.width).quantize(Decimal("0.01")) if plan.width else Decimal(0)


def after_panels(
    project: Project, pieces: tuple[PiecePlan, ...], rules: tuple[Note, ...], fabrics: Iterable[Fabric],
    system: System,
) -> Iterator[Draft]:  # fmt: skip
    """Joining the pieces, finishing, handing over."""
    lines = [line for p in pieces for line in p.panels if not line.spare]
    if project.kind == "sample":
        yield from _measured(lines)
        return
    iron = tuple(dict.fromkeys(cautions.iron(f) for f in fabrics)) or (cautions.IRON,)
    if len(lines) > 1:
        yield _make_up(lines, iron, system)
    if lines:
        title, detail = FINISHING[project.kind]
        yield Draft(
            "p:finish::1", "finish", FINISH_AT, title, detail,
            cautions=(cautions.NEEDLES, *iron), work=(("pieces_finished", len(lines)),),
        )
    yield Draft(
        "p:deliver::1", "finish", DELIVER_AT,
        # Not by whether there is a client: a project that travels leaves it behind and is planned alike.
        "Look it over and hand it over or put it by",
        "Count the pins, write the care label, photograph it.", cautions=tuple(note.text for note in rules),
    )


def _measured(lines: list[PanelLine]) -> Iterator[Draft]:
    """What a sample is made for."""
    if lines:
        yield Draft(
            "p:measure::1", "finish", FINISH_AT, "Measure it, write it down as a sample of its recipe",
            "Flat and finished between two points, both ways, and how many tucks lie between. Note what to "
            "do otherwise, and pin its numbers to it.",
        )


def of_kind(project: Project, drafts: Iterable[Draft]) -> Iterator[Draft]:
    """The steps a project of this kind has."""
    for draft in drafts:
        if project.kind != "sample" or draft.key.split(":")[1] not in ONLY_WORN:
            yield draft


def _make_up(lines: list[PanelLine], iron: tuple[str, ...], system: System) -> Draft:
    over = (said for line in lines for said in line.plan.needle_warnings(system) if "seam" in said)
    needle = tuple(dict.fromkeys(over))
    return Draft(
        "p:make-up::1", "make_up", MAKE_UP_AT, f"Make up: join {len(lines)} pieces",
        _meets(lines), cautions=(cautions.NEEDLES, *iron, *needle[:3]),
        work=(("pieces_joined", len(lines)),),
    )


def _meets(lines: list[PanelLine]) -> str:
    """What to baste before a seam: what is there of tucks, pleats or other texture."""
    sides = [side for line in lines for side in line.plan.both if side.count]
    words = dict.fromkeys(f"{fold_word(side.direction)}s" for side in sides)
    if words:
        return f"Baste first where {' and '.join(words)} meet at a seam."
    return "Baste first where the texture meets a seam." if any(line.plan.work for line in lines) else ""
