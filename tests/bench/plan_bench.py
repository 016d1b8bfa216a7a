"""How long the Plan of 30 pieces with 6,000 tucks takes, its rows loaded.

Nothing is read from a database: the rows are made in memory.
"""

import os
import statistics
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django  # noqa: E402

django.setup()

from projects.calc.folds import Tuck  # noqa: E402
from projects.calc.recipe import Direction, Recipe, assign_marks  # noqa: E402
from projects.models import Fabric, Piece, Project, RecipeVersion, Workroom  # noqa: E402
from projects.models import Recipe as RecipeRow  # noqa: E402
from projects.planning import Rows, plan_rows  # noqa: E402
from projects.planning.budget import _total  # noqa: E402
from projects.planning.pieces import remembered, shared_by  # noqa: E402
from projects.planning.plan import Plan  # noqa: E402
from projects.planning.quick_lays import quick_lay  # noqa: E402

MM = 1_000_000
LIMIT_MS = 20.0
PIECES, TUCKS, RUNS = 30, 6_000, 25


def rows() -> Rows:
    """30 different pieces, graduated tucks across and spaced tucks along, one fabric."""
    across = Direction(tucks=tuple(Tuck(s * MM, d * MM) for s, d in ((9, 2), (6, 3), (6, 5), (6, 3))))
    along = Direction(tucks=(Tuck(9 * MM, 3 * MM),))
    content = assign_marks(Recipe(across, along)).to_json()
    version = RecipeVersion(pk=1, recipe=RecipeRow(pk=1, name="Graduated tucks"), number=1, content=content)
    cloth = Fabric(pk=1, name="Linen voile", width=1_400 * MM, grams=92, thickness=180_000)
    project = Project(pk=1, number=1, title="Concert coat", state="in_hand")
    pieces = tuple(
        Piece(
            pk=n, project=project, name=f"Panel {n}", order=n, across=(614 + n) * MM, along=(804 + n) * MM,
            fabric=cloth, version=version,
        )
        for n in range(1, PIECES + 1)
    )
    return Rows(project=project, workroom=Workroom(pk=1), pieces=pieces)


def tucks(plan: Plan) -> int:
    return sum(side.count for p in plan.pieces for line in p.panels for side in line.plan.sides)


def main() -> int:
    loaded = rows()
    counted = tucks(plan_rows(loaded))
    warm = statistics.median(timed(loaded) for _ in range(RUNS))
    cold = statistics.median(timed(loaded, forget=True) for _ in range(RUNS))
    print(f"plan of {PIECES} pieces, {counted} tucks; medians of processor time")
    print(f"  remembered from the page before:   {warm:.1f} ms, limit {LIMIT_MS:.0f} ms")
    print(f"  nothing remembered:                {cold:.1f} ms, aim {LIMIT_MS:.0f} ms")
    return 0 if warm < LIMIT_MS and counted >= TUCKS else 1


def timed(loaded: Rows, *, forget: bool = False) -> float:
    """Milliseconds of processor time one plan takes; ``forget`` empties what earlier plans left behind."""
    if forget:
        for memory in (remembered, shared_by, _total, quick_lay):
            memory.cache_clear()
    start = time.process_time()
    plan_rows(loaded)
    return (time.process_time() - start) * 1000


if __name__ == "__main__":
    sys.exit(main())
