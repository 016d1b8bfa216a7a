"""What to buy, with the reasons: cloth as laid, what the wash takes, samples, less what is on hand."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from projects.calc.lay import LayPanel
from projects.calc.lengths import System, buy_up
from projects.calc.sample_advice import SWATCH
from projects.models import Fabric, NotionNeed

from . import under
from .advice import SampleNeeded
from .cloth import Washing
from .fabric_plan import LayPart
from .lay_json import own_names
from .lay_request import Table
from .lay_taking import Taken, take
from .lay_units import ruled_in
from .lays import ACCEPTED, LaidOut, lay_out
from .load import Rows
from .on_hand import Band
from .plan import Binding, BuyLine, FabricPlan, NotionPlan, PanelLine, PiecePlan
from .strips_laid import strip_panels, where_cut
from .touched import states_of, swatch_open
from .under_cut import under_parts

PANELS, SHRINKAGE = "Panels as laid", "Shrinkage in the wash"
SAMPLE, AND_SWATCH, SWATCH_ONLY = "Sample of {}", ", and wash swatch", "Wash swatch"
ON_HAND, ROUNDING = "On hand", "Rounded up to the step it is sold in"


def plan_fabric(
    fabric: Fabric,
    pieces: Iterable[PiecePlan],
    needed: tuple[SampleNeeded, ...],
    rows: Rows,
    bindings: tuple[Binding, ...] = (),
) -> FabricPlan:
    """One fabric of the project: its lay, and what to buy as a sum of lines."""
    turns = {piece.pk: piece.may_turn for piece in rows.pieces}
    pieces = tuple(pieces)
    of_it = [(line, p.piece_id) for p in pieces for line in p.panels if line.fabric_id == fabric.pk]
    lines = [(line, turns[piece_id], piece_id) for line, piece_id in of_it]
    project, washing = rows.project, Washing.of(fabric, rows.project)
    layers = list(under.layers_in(fabric.pk, pieces, turns))
    beneath = under_parts(fabric, layers, washing, states_of(rows))
    stock = rows.stock.get(fabric.pk, ())
    kept, draft = rows.lays.get(fabric.pk), rows.drafts.get(fabric.pk)
    system = ruled_in(kept, System(rows.workroom.units))
    panels = lay_parts(lines, [b for b in bindings if not b.on_the_bias], system, beneath)
    table = Table(fabric, washing, project.number, project.pk, panels, stock, system)
    bindings = where_cut(bindings, table, kept, draft, rows.workroom.bias_least)
    table = replace(table, parts=lay_parts(lines, bindings, system, beneath))
    laid = lay_out(table, kept, draft)
    grams = _grams(fabric, [line for line, _ in of_it], layers)
    made = _fabric_plan(laid, needed, table, rows, grams)
    roles = [role for role, _, _ in layers] if any(not part.cut for part in beneath) else []
    return replace(made, bindings=bindings, lines=_named(made.lines, bindings, bool(lines), roles))


def lay_parts(
    lines: Iterable[tuple[PanelLine, bool, int]],
    bindings: Iterable[Binding],
    system: System,
    beneath: tuple[LayPart, ...] = (),
) -> tuple[LayPart, ...]:
    """All that is cut from a fabric: its panels, each with whether it may turn and its piece, what lies under
    quilted ones, then the blanks for strips."""
    found = [
        LayPart(
            panel, line.name, line.panel_id, line.cut, "", piece, "" if line.plan.joins else line.hand
        )
        for line, may_turn, piece in lines
        for panel in lay_panels(line, may_turn)
    ]
    found += beneath
    blanks = [(panel, b) for b in bindings for panel in strip_panels(b, system)]
    found += [LayPart(panel, panel.name, None, b.cut, b.key) for panel, b in blanks]
    names = own_names(part.panel.name for part in found)
    return tuple(
        part if part.panel.name == name else replace(part, panel=replace(part.panel, name=name))
        for part, name in zip(found, names, strict=True)
    )


def _named(
    lines: tuple[BuyLine, ...], bindings: tuple[Binding, ...], panels: bool, roles: list[str]
) -> tuple[BuyLine, ...]:
    """The first line says what is laid: panels, what lies under others, blanks for strips."""
    strips = ["blanks for strips"] if any(b.blanks and not b.cut for b in bindings) else []
    laid = [*(["panels"] if panels else []), *dict.fromkeys(roles), *strips] or ["panels"]
    words = f"{', '.join(laid[:-1])} and {laid[-1]}" if len(laid) > 1 else laid[0]
    return tuple(
        replace(line, why=f"{words[:1].upper()}{words[1:]} as laid") if line.why == PANELS else line
        for line in lines
    )


def lay_panels(line: PanelLine, may_turn: bool) -> tuple[LayPanel, ...]:
    """What is cut for one panel: itself, or the widths that are joined to it."""
    plan = line.plan
    if not plan.joins:
        return (LayPanel(line.name, plan.cut_width, plan.cut_length, 1, may_turn),)
    widths = plan.joins.widths
    return tuple(
        LayPanel(f"{line.name}, width {number}", width, plan.cut_length, 1, may_turn)
        for number, width in enumerate(widths, 1)
    )


def _grams(fabric: Fabric, lines: list[PanelLine], layers: list[under.Layer]) -> Decimal | None:
    """What the finished panels hold of this fabric, as cloth and as what lies under cloth."""
    weights = [line.plan.weight_of(line.plan.cloth.grams) for line in lines if not line.spare]
    weights += under.grams_of(fabric, layers)
    return sum((w for w in weights if w is not None), Decimal(0)) if weights and None not in weights else None


def _fabric_plan(
    laid: LaidOut,
    needed: tuple[SampleNeeded, ...],
    table: Table,
    rows: Rows,
    grams: Decimal | None,
) -> FabricPlan:
    fabric, washing, request = table.fabric, table.washing, table.request
    extras = _extras(fabric, needed, rows)
    taken = take(laid.counted or laid, [e.band for e in extras], table)
    sums = _sums(taken, extras, washing, rows.workroom.buy_step)
    return FabricPlan(
        fabric_id=fabric.pk,
        name=fabric.name,
        width=request.width,
        lay=laid.lay,
        problem=laid.problem,
        need=sums.need,
        on_hand=sums.on_hand,
        buy_exact=sums.need - sums.on_hand,
        buy=sums.buy,
        lines=sums.lines,
        kept_lay=laid.state == ACCEPTED,
        lay_changed=laid.changed,
        grams=grams,
        free=sum(piece.free for piece in table.stock),
        lot=taken.lot,
        mixed=taken.mixed,
        uses=taken.uses,
        samples=needed,
        request=request,
        lay_width=_drawn_on(laid) or request.width,
        sold_width=fabric.width,
        panels=request.panels,
        for_panels=_as_bought(taken, washing),
        worked=taken.worked,
        for_all_panels=washing.to_buy(laid.whole),
        whole=laid.whole,
        parts=table.parts,
        lay_state=laid.state,
        laid_for=laid.laid_for,
        lay_on=tuple(part.on for part in laid.parts),
        laid_with=laid.laid_with,
        carried_by=laid.carried_by,
        cut_off=sum(part.off for part in laid.parts),
    )


def _drawn_on(laid: LaidOut) -> int:
    """The width of the roll, where the lay takes of it; else of the first length it takes."""
    widths = [part.on.width for part in laid.parts]
    return widths[-1] if laid.lay and laid.lay.length and widths else next(iter(widths), 0)


@dataclass(frozen=True, slots=True)
class Extra:
    """Cloth beside the panels: a sample, a ``swatch`` to wash. ``length`` and ``width`` are as bought, nm."""

    why: str
    length: int
    width: int
    swatch: bool = False

    @property
    def band(self) -> Band:
        return Band(self.length, self.width, bought=True, unwashed=self.swatch)


def _extras(fabric: Fabric, needed: tuple[SampleNeeded, ...], rows: Rows) -> list[Extra]:
    """Samples still to make, and a swatch where what the wash takes isn't known: with the sample beside
    which it costs least, else alone."""
    if not rows.workroom.buy_swatch:
        return []
    to_make = [n for n in needed if not n.over]
    if not swatch_open(fabric, rows):
        return [_sample(n, fabric, swatch=False) for n in to_make]
    if not to_make:
        return [Extra(SWATCH_ONLY, SWATCH, SWATCH, swatch=True)]
    beside = min(to_make, key=lambda n: n.advice.buy - n.advice.along.cut)
    return [_sample(n, fabric, swatch=n is beside) for n in to_make]


def _sample(needed: SampleNeeded, fabric: Fabric, *, swatch: bool) -> Extra:
    """One sample's cloth, as wide as it is; with the swatch beside it where both fit, else after it. Washed
    cloth does for both: nothing is bought for a swatch where a sample can be made of what is there."""
    wide, long, why = needed.advice.across.cut, needed.advice.along.cut, SAMPLE.format(needed.recipe_name)
    if not swatch:
        return Extra(why, long, min(fabric.width, wide))
    both = wide + SWATCH
    across = both if both <= fabric.width else max(wide, SWATCH)
    return Extra(why + AND_SWATCH, needed.advice.buy, min(fabric.width, across))


@dataclass(frozen=True, slots=True)
class Sums:
    need: int
    on_hand: int
    buy: int
    lines: tuple[BuyLine, ...]


def _sums(taken: Taken, extras: list[Extra], washing: Washing, step: int) -> Sums:
    """All as cloth to be bought; the lines sum to what to buy. What is on hand counts as what it saves."""
    left = washing.to_buy(taken.left)
    left += sum(e.length for i, e in enumerate(extras) if i not in taken.extras)
    panels = _as_bought(taken, washing)
    need = panels + sum(e.length for e in extras)
    buy = buy_up(left, step)
    lines = [
        BuyLine(PANELS, taken.worked),
        BuyLine(SHRINKAGE, panels - taken.worked),
        *(BuyLine(e.why, e.length) for e in extras),
        BuyLine(ON_HAND, left - need),
        BuyLine(ROUNDING, buy - left),
    ]
    return Sums(need, need - left, buy, tuple(line for line in lines if line.length))


def _as_bought(taken: Taken, washing: Washing) -> int:
    """Cloth as it comes to hand for the panels: what is washed already loses nothing more."""
    return taken.washed + washing.to_buy(taken.worked - taken.washed)


THOUSANDTHS = Decimal(1000)


def plan_notions(needs: Iterable[NotionNeed], free: dict[int, int]) -> tuple[NotionPlan, ...]:
    """Each notion the project needs, what of it is free, and how many to get."""
    return tuple(_notion(need, free.get(need.notion_id, 0)) for need in needs)


def _notion(need: NotionNeed, free: int) -> NotionPlan:
    buy = max(0, need.amount - free)
    amounts = (Decimal(amount) / THOUSANDTHS for amount in (need.amount, free, buy))
    return NotionPlan(need.notion_id, need.notion.name, need.notion.unit, *amounts, need.why)
