"""Which pieces use a fabric: worn, as wadding or backing, and for the strips of their edges."""

from collections.abc import Collection

from django.db.models import Q


def uses(fabrics: Collection[int], at: str = "", *, strips: bool = False) -> Q:
    """Pieces with one of these fabrics as cloth, wadding or backing; with ``strips`` also those whose edges
    are cut from one. ``at`` leads to the pieces from what is asked ("pieces__"); ask with it in one
    ``filter``, so that all of it is about the same piece. Wadding counts though a piece is not quilted: what
    is planned tells."""
    names = ("fabric", "wadding", "backing")
    found = Q()
    for name in names:
        found |= Q(**{f"{at}{name}__in": fabrics})
    if strips:
        found |= Q(**{f"{at}edges__fabric__in": fabrics, f"{at}edges__deleted_at": None})
    return found
