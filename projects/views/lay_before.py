"""What the page of a lay says beside it: cloth before the wash, and a lay the plan has left."""

from dataclasses import dataclass, replace

from django.http import HttpRequest

from projects.calc.lengths import System
from projects.drawings import lay as drawing
from projects.drawings.lay_marks import Marks
from projects.models import Fabric, KeptLay, LayDraft, Project
from projects.planning import plan_project
from projects.planning.cloth import Washing
from projects.planning.fabric_plan import FabricPlan
from projects.planning.lay_cuts import cutting_of
from projects.planning.lay_drawn import ClothLaid, cloths_of
from projects.planning.lay_json import Kept, read_kept
from projects.planning.lay_uncut import Uncut, uncut_parts
from projects.planning.lays import clothes_of


@dataclass(frozen=True, slots=True)
class Unwashed:
    """What to buy for the roll's part of a lay before the wash (nm): its width and length."""

    width: int
    length: int


def unwashed(line: FabricPlan, draft: LayDraft | None, fabric: Fabric, project: Project) -> Unwashed | None:
    """None where the wash changes nothing, or nothing is to be bought. A width that is only known as it was
    worked is left as it is."""
    if line.lay is None or not line.lay.length:
        return None
    washing, own = Washing.of(fabric, project), line.lay_state != "accepted" and draft is not None
    sold = (draft.width if own and draft else None) or fabric.width
    width = sold if washing.worked_width(sold) == line.lay_width else line.lay_width
    found = Unwashed(width, washing.to_buy(line.lay.length))
    return None if found == Unwashed(line.lay_width, line.lay.length) else found


def together(line: FabricPlan, draft: LayDraft | None, fabric: Fabric) -> int | None:
    """How much less cloth a lay of several projects takes than each of them by itself, as it would be laid
    now (nm as worked; below 0 where it takes more). None where the lay shown is of one project, or
    accepted: some of its panels may be cut by then."""
    if draft is None or line.lay is None or not line.laid_with or line.lay_state == "accepted":
        return None
    plans = [plan_project(row) for row in draft.others.all() if row.number in line.laid_with]
    theirs = sum(one.worked for plan in plans for one in plan.fabrics if one.fabric_id == fabric.pk)
    return line.worked + theirs - line.lay.length - sum(used.length for used in line.lay.used)


@dataclass(frozen=True, slots=True)
class Before:
    """A lay that was accepted: what it takes of all its cloths (nm as worked), and each of them drawn.
    ``alone``: only the project's own panels lie in it, so that the sum can be compared with the plan's.
    ``on_table`` is what was cut off for it and not cut up: no other lay takes it before it is let go."""

    takes: int
    alone: bool
    cloths: tuple[tuple[str, str], ...]
    on_table: tuple[Uncut, ...]


def before(request: HttpRequest, kept: KeptLay, line: FabricPlan) -> Before:
    """The lay as it was accepted, whatever the plan asks now."""
    read = read_kept(kept.inputs, kept.result)
    labels = {str(row.place): row.cloth.label for row in kept.lengths.all()}
    labels[""] = kept.cloth.label if kept.cloth else "Cloth to buy"
    was = replace(line, lay=read.lay, laid_for=read.request, lay_on=clothes_of(read.lay, read.request))
    cut = frozenset(part.panel.name for part in line.parts if part.cut)
    return Before(
        takes=read.lay.length + sum(used.length for used in read.lay.used),
        alone=not read.projects,
        cloths=tuple(
            (labels[cloth.on.name], _drawn(request, read, cloth, labels[cloth.on.name], cut))
            for cloth in cloths_of(was)
        ),
        on_table=uncut_parts(cutting_of(kept)) if kept.cuts.all() else (),
    )


def _drawn(request: HttpRequest, read: Kept, cloth: ClothLaid, label: str, cut: frozenset[str]) -> str:
    return drawing.lay(
        read.lay,
        cloth_width=cloth.on.width,
        system=System(request.workroom.units),
        title=f"The lay accepted before, on {label}: how {cloth.panels} parts lie on it",
        cut=[i for i, placed in enumerate(read.lay.placements) if placed.name in cut],
        on=cloth.on.name,
        marks=Marks(
            cuts=cloth.cuts,
            done=frozenset(),
            remnants=cloth.remnants,
            flaws=cloth.flaws,
            pinned=frozenset(),
            lost=cloth.lost,
            whole=cloth.on.there,
            movable=False,
        ),
    )
