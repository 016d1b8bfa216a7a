"""How much quicker the same step goes by the same recipe when done again, once hours show that it does."""

from collections import Counter
from collections.abc import Iterable, Mapping
from decimal import Decimal

from projects.calc.labour import learning

from .drafts import Draft
from .load import Rows

ONE = Decimal(1)


def paces_of(drafts: Iterable[Draft], rows: Rows) -> Mapping[str, Decimal]:
    """By key, the share of its time a step takes as a repeat within the project, in working order; only of
    stages with a learning curve."""
    curves = rows.rates.curves
    if not curves:
        return {}
    versions = {str(piece.pk): piece.version_id for piece in rows.pieces}
    times: Counter[tuple[str, str, int | None]] = Counter()
    found = {}
    for draft in drafts:
        curve = curves.get(draft.stage)
        if curve is None or not draft.panel or not draft.work:
            continue
        panel, kind, direction = draft.key.split(":")[:3]
        series = (kind, direction, versions.get(panel.split(".")[0]))
        times[series] += 1
        if times[series] > 1:
            found[draft.key] = learning(ONE, Decimal(str(curve)), times[series])
    return found
