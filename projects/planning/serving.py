"""Other cloth on the shelf that could serve instead of a fabric the project would have to buy."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Case, F, FloatField, Q, QuerySet, Value, When
from django.db.models.functions import Abs, Cast, Coalesce

from projects.models import ClothLength, Fabric, Project

from .cloth import Washing
from .plan import FabricPlan

FEWEST, MOST = 0.7, 1.4
"""How light and how heavy another cloth may be, as a share of the weight planned with."""
SHOWN, LOOKED_AT = 5, 20
UNKNOWN_WEIGHT, UNKNOWN_FAMILY, OTHER_FAMILY = 0.5, 0.25, 0.5
"""What stands for a difference that is not known, and for another colour, beside a difference in weight."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a fabric of the project is still to give: worked cloth (nm) of a width, in one length."""

    fabric: Fabric
    washing: Washing
    worked: int
    width: int

    @classmethod
    def of(cls, line: FabricPlan, fabric: Fabric, project: Project) -> "Wanted":
        return cls(fabric, Washing.of(fabric, project), line.worked, line.width)


@dataclass(frozen=True, slots=True)
class Serving:
    """A length of another fabric: ``takes`` of it (nm on the shelf) would serve. ``heavier`` is the share by
    which it is heavier, None where a weight is unknown; ``alike`` whether it is of the same colour family."""

    length: ClothLength
    takes: int
    free: int
    heavier: Decimal | None
    alike: bool | None


def serving(wanted: Iterable[Wanted], project: Project) -> dict[int, tuple[Serving, ...]]:
    """By fabric, what would serve instead, the closest first, at most five each. One query for all."""
    listed = list(wanted)
    near = Q()
    for want in listed:
        near |= Q(pk__in=_nearest(want).values("pk")[:LOOKED_AT])
    rows = list(ClothLength.objects.filter(near).select_related("fabric")) if near else []
    return {want.fabric.pk: _best(want, rows, project) for want in listed}


def _nearest(want: Wanted) -> QuerySet[ClothLength]:
    """Lengths of other fabrics that may be long, wide and heavy enough, the closest first."""
    rows = ClothLength.objects.filter(deleted_at=None, fabric__deleted_at=None)
    rows = rows.exclude(fabric=want.fabric).filter(shelf__gte=F("held") + want.worked)
    rows = rows.annotate(wide=Coalesce("width", "fabric__width")).filter(wide__gte=want.width)
    if want.washing.when == "after":
        rows = rows.filter(washed=False)
    weight = _weight(want.fabric)
    if weight:
        within = Q(fabric__grams__gte=weight * FEWEST, fabric__grams__lte=weight * MOST)
        rows = rows.filter(within | Q(fabric__grams=None))
    return rows.annotate(far=_far(want.fabric, weight)).order_by("far", "shelf", "pk")


def _weight(fabric: Fabric) -> float | None:
    return float(fabric.grams) if fabric.grams is not None else None


def _far(fabric: Fabric, weight: float | None) -> object:
    """How far another fabric is: the share it is lighter or heavier, and what another colour counts."""
    colour = Case(
        When(fabric__family="", then=Value(UNKNOWN_FAMILY)),
        When(fabric__family=fabric.family, then=Value(0.0)),
        default=Value(OTHER_FAMILY if fabric.family else UNKNOWN_FAMILY),
        output_field=FloatField(),
    )
    if weight is None:
        return colour
    apart = Abs(Cast("fabric__grams", FloatField()) - Value(weight)) / Value(weight)
    return Coalesce(apart, Value(UNKNOWN_WEIGHT), output_field=FloatField()) + colour


def _best(want: Wanted, rows: Iterable[ClothLength], project: Project) -> tuple[Serving, ...]:
    """The rows that serve exactly, each judged with its own shrinkage and width."""
    found = [(_distance(want.fabric, row.fabric), row.shelf, row.pk, row) for row in rows]
    fit = [made for *_, row in sorted(found, key=lambda f: f[:3]) if (made := _judged(want, row, project))]
    return tuple(fit[:SHOWN])


def _distance(fabric: Fabric, other: Fabric) -> float:
    """The same as the database reckons by ``_far``."""
    colour = OTHER_FAMILY
    if not other.family or not fabric.family:
        colour = UNKNOWN_FAMILY
    elif other.family == fabric.family:
        colour = 0.0
    weight, its = _weight(fabric), _weight(other)
    if weight is None:
        return colour
    return colour + (UNKNOWN_WEIGHT if its is None else abs(its - weight) / weight)


def _judged(want: Wanted, row: ClothLength, project: Project) -> Serving | None:
    if row.fabric_id == want.fabric.pk or not want.worked:
        return None
    weight, its = _weight(want.fabric), _weight(row.fabric)
    if weight and its and not weight * FEWEST <= its <= weight * MOST:
        return None
    washing = Washing.of(row.fabric, project)
    takes = want.worked if row.washed else washing.to_buy(want.worked)
    wide = washing.width_of(row, row.fabric)
    if not washing.serves(row) or wide < want.width or takes > row.shelf - row.held:
        return None
    heavier = None
    if want.fabric.grams is not None and row.fabric.grams is not None:
        heavier = row.fabric.grams / want.fabric.grams - 1
    families = want.fabric.family, row.fabric.family
    alike = families[0] == families[1] if all(families) else None
    return Serving(row, takes, row.shelf - row.held, heavier, alike)
