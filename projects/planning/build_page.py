"""The build page: what a client may see of one project, and nothing else.

The page's template gets a ``BuildPage`` and can show nothing that is not in it: no price, no hours, nobody's
name, no other project. What a link switches off is not even looked for.
"""

from collections.abc import Collection, Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import Q, QuerySet

from projects.calc.axis import Axis
from projects.calc.direction import Direction
from projects.calc.errors import CalcError
from projects.calc.lengths import ceil_div
from projects.calc.ratio import ByRatio
from projects.calc.ratio_samples import RatioUps
from projects.calc.recipe import Recipe
from projects.calc.sampling import TakeUp
from projects.calc.techniques import TECHNIQUES
from projects.models import Fabric, Photo, ShareLink, Workroom

from .making import plan_project
from .plan import STAGE_TITLES, PiecePlan, Plan
from .recipe_work import repeat_of

PHONE_TUCKS, WIDE_TUCKS, MOST_REPEATS = 4, 12, 12
SKIPPED = "skipped"


@dataclass(frozen=True, slots=True)
class StageShown:
    """How far one stage is, in steps: ``done`` of ``total``, which is never 0."""

    title: str
    done: int
    total: int

    @property
    def percent(self) -> int:
        """Hundredths done; 100 only when every step is."""
        return 100 * self.done // self.total

    @property
    def words(self) -> str:
        if self.done == self.total:
            return "done"
        return f"{self.done} of {self.total} steps done" if self.done else "not begun"


@dataclass(frozen=True, slots=True)
class PhotoShown:
    """A photograph chosen for the client: its key, the words under it, its largest size in pixels."""

    key: str
    caption: str
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class ClothShown:
    name: str
    fibre: str
    colour: str


@dataclass(frozen=True, slots=True)
class SideShown:
    """One direction of the texture as whole repeats of a strip, for a phone and for a wider page."""

    direction: str
    phone: Axis
    wide: Axis


@dataclass(frozen=True, slots=True)
class Texture:
    """The texture to draw: folds by direction, or work by ratio with its flat / finished across and along.

    ``name`` is plain English from its numbers; how it is worked in the maker's own words is left out.
    """

    name: str
    sides: tuple[SideShown, ...] = ()
    by_ratio: ByRatio | None = None
    ratios: tuple[float, float] = (1.0, 1.0)

    @property
    def words(self) -> str:
        """What the drawing shows, for somebody who has never seen one."""
        if self.by_ratio is None:
            return (
                "Above, the flat cloth with every line that is sewn; "
                "below, the same cloth once it is folded and pressed."
            )
        return "Above, the flat cloth as it is marked; below, the same cloth once it is worked."


@dataclass(frozen=True, slots=True)
class BuildPage:
    """All that the page, its PDF and their drawings may tell. Empty where there is nothing to tell."""

    studio: str
    title: str
    today: date
    units: str
    paper: str
    note: str = ""
    promised: date | None = None
    stages: tuple[StageShown, ...] = ()
    photos: tuple[PhotoShown, ...] = ()
    texture: Texture | None = None
    cloth: tuple[ClothShown, ...] = ()

    @property
    def all_stages(self) -> StageShown | None:
        """All steps together."""
        if not self.stages:
            return None
        return StageShown("All together", sum(s.done for s in self.stages), sum(s.total for s in self.stages))


def build_page(
    link: ShareLink,
    workroom: Workroom,
    *,
    today: date,
    chosen: Collection[int] = (),
    left_out: Collection[int] = (),
) -> BuildPage:
    """What the holder of ``link`` may see today. Reads the database in a fixed number of queries. Ids of
    photographs ``chosen`` and ``left_out`` are taken as if that were saved already, for a preview."""
    project = link.project
    asks_plan = link.show_progress or link.show_drawing or link.show_cloth
    plan = plan_project(project) if asks_plan else None
    cloth = _fabrics(plan) if plan and (link.show_cloth or link.show_drawing) else {}
    return BuildPage(
        studio=workroom.name,
        title=project.title,
        today=today,
        units=workroom.units,
        paper=workroom.paper,
        note=project.client_note.strip(),
        promised=project.promised if link.show_date else None,
        stages=_stages(plan) if plan and plan.pieces and link.show_progress else (),
        photos=_photos(photos_shown(link, chosen, left_out)),
        texture=_texture(plan.pieces, cloth) if plan and link.show_drawing else None,
        cloth=_cloth(cloth.values()) if link.show_cloth else (),
    )


def photos_shown(
    link: ShareLink, chosen: Collection[int] = (), left_out: Collection[int] = ()
) -> QuerySet[Photo]:
    """Living photographs of the link's project chosen for the client; none where they are switched off."""
    wanted = Q(for_client=True) & ~Q(pk__in=left_out) | Q(pk__in=chosen)
    rows = Photo.objects.live().filter(wanted, project_id=link.project_id).order_by("pk")
    return rows if link.show_photos else rows.none()


def _photos(rows: QuerySet[Photo]) -> tuple[PhotoShown, ...]:
    return tuple(PhotoShown(row.key, row.caption, row.width, row.height) for row in rows)


def _stages(plan: Plan) -> tuple[StageShown, ...]:
    """Stages with anything to do, in working order. What is skipped or no longer planned does not count; what
    is done in a stage of the studio's own counts in the one that stands before it, since a client isn't told
    how a studio divides its work."""
    roots = {stage.key: stage.root for stage in plan.stages}
    counts: dict[str, list[int]] = {}
    for step in plan.steps:
        if step.state != SKIPPED and (step.in_plan or step.state == "done"):
            count = counts.setdefault(roots.get(step.stage, step.stage), [0, 0])
            count[0] += step.state == "done"
            count[1] += 1
    known = [(title, counts.get(stage)) for stage, title in STAGE_TITLES.items()]
    return tuple(StageShown(title, *count) for title, count in known if count)


def _fabrics(plan: Plan) -> dict[int, Fabric]:
    """The project's fabrics by key, in the order of the plan."""
    keys = [fabric.fabric_id for fabric in plan.fabrics]
    rows = Fabric.objects.in_bulk(keys)
    return {key: rows[key] for key in keys if key in rows}


def _cloth(rows: Iterable[Fabric]) -> tuple[ClothShown, ...]:
    return tuple(ClothShown(row.name, row.fibre, row.colour) for row in rows)


def _texture(pieces: Iterable[PiecePlan], cloth: dict[int, Fabric]) -> Texture | None:
    """The texture of the first piece that has one; none where it can't be laid."""
    for piece in pieces:
        if piece.recipe is None:
            continue
        fabric = cloth.get(piece.fabric_id) if piece.fabric_id else None
        with suppress(CalcError):
            return _of_piece(piece, piece.recipe, fabric.thickness if fabric else None)
    return None


def _of_piece(piece: PiecePlan, recipe: Recipe, thickness: int | None) -> Texture:
    if recipe.ratio is not None:
        return _by_ratio(recipe.kind_name(), recipe.ratio, piece.ratios)
    known = (
        ("across", recipe.across, piece.take_up_across),
        ("along", recipe.along, piece.take_up_along),
    )
    sides = tuple(_side(name, side, taken, thickness) for name, side, taken in known if side is not None)
    return Texture(recipe.kind_name(), sides)


def _by_ratio(name: str, content: ByRatio, known: RatioUps | None) -> Texture:
    ratios = (float(known.across.ratio), float(known.along.ratio)) if known else None
    given = (float(content.across), float(content.along))
    return Texture(name, by_ratio=replace(content, way=""), ratios=ratios or given)


def _side(name: str, direction: Direction, known: TakeUp | None, thickness: int | None) -> SideShown:
    extra, repeat = (known.extra if known else 0), repeat_of(direction)

    def laid(repeats: int) -> Axis:
        return TECHNIQUES[direction.technique].place(direction, repeats * repeat, extra, thickness)

    each = max(1, laid(1).count)
    phone, wide = (min(MOST_REPEATS, ceil_div(least, each)) for least in (PHONE_TUCKS, WIDE_TUCKS))
    return SideShown(name, laid(phone), laid(wide))
