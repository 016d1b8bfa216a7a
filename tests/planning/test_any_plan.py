"""Whatever recipe, piece and cloth: there is a plan or a plain reason, and its parts sum."""

import json
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from projects.calc.recipe import Recipe, assign_marks
from projects.models import Fabric, Notion, NotionNeed, Piece, Project, RecipeVersion, Workroom
from projects.models import Recipe as RecipeRow
from projects.planning import Rows, plan_rows
from projects.planning.export import plan_json
from projects.planning.snapshot import keep, read_kept
from tests.strategies import MM, ratio_recipes, recipes

share = st.none() | st.decimals(0, Decimal("0.3"), places=3)
fabrics = st.builds(
    Fabric,
    pk=st.just(1), name=st.sampled_from(["Linen voile", "Velvet"]), width=st.integers(100 * MM, 2_000 * MM),
    grams=st.none() | st.decimals(20, 600, places=1), thickness=st.none() | st.integers(20_000, 3 * MM),
    shrink_along=share, shrink_across=share, one_way=st.booleans(), raised=st.booleans(), sheer=st.booleans(),
)  # fmt: skip


@st.composite
def rows(draw: st.DrawFn) -> Rows:
    flag = st.booleans()
    cloth = draw(st.none() | fabrics)
    project = Project(
        pk=1, number=7, title="Concert coat", washing=draw(st.sampled_from(["before", "after", "never"])),
        childrens_wear=draw(flag), nightwear=draw(flag),
    )  # fmt: skip
    units, every = draw(st.sampled_from(["metric", "inch"])), draw(st.none() | st.integers(1, 30))
    studio = Workroom(pk=1, check_every=every, units=units)
    pieces = tuple(draw(piece(project, cloth, number)) for number in range(1, draw(st.integers(1, 3)) + 1))
    cord = NotionNeed(pk=1, project=project, notion=Notion(pk=1, name="Cord", kind="cord"), amount=2_500)
    return Rows(project=project, workroom=studio, pieces=pieces, needs=(cord,))


@st.composite
def piece(draw: st.DrawFn, project: Project, cloth: Fabric | None, number: int) -> Piece:
    flag, allowance = st.booleans(), st.integers(0, 60 * MM)
    recipe: Recipe | None = draw(st.none() | recipes() | ratio_recipes())
    version = None
    if recipe is not None:
        content = assign_marks(recipe).to_json()
        version = RecipeVersion(pk=number, recipe=RecipeRow(pk=1, name="Tucks"), number=1, content=content)
    return Piece(
        pk=number, project=project, name=f"Piece {number}", order=number, fabric=cloth, version=version,
        across=draw(st.integers(MM, 1_500 * MM)), along=draw(st.integers(MM, 1_500 * MM)),
        count=draw(st.integers(1, 4)), mirrored=draw(flag), spare=draw(flag), allowances_drawn=draw(flag),
        allowance_sides=draw(allowance), allowance_top=draw(allowance), allowance_bottom=draw(allowance),
        whole_repeats=draw(flag), centring=draw(st.sampled_from(["", "tuck", "space"])), bordered=draw(flag),
        caught=draw(st.sampled_from(["keep", "drop"])), may_turn=draw(flag),
        margin_at=draw(st.sampled_from(["both", "start", "end"])),
    )  # fmt: skip


@given(rows())
@settings(derandomize=True, max_examples=120, deadline=None)
def test_there_is_a_plan_or_a_reason(given_rows: Rows) -> None:
    plan = plan_rows(given_rows)
    for found in plan.pieces:
        assert bool(found.problem) != bool(found.panels)
        for line in found.panels:
            kept = read_kept(json.loads(json.dumps(keep(line.hand, line.plan)))).plan
            assert (kept.cut_width, kept.cut_length) == (line.plan.cut_width, line.plan.cut_length)
            assert kept.sewn_across == line.plan.sewn_across
    for fabric in plan.fabrics:
        assert sum(line.length for line in fabric.lines) == fabric.buy
        assert fabric.buy >= fabric.buy_exact == fabric.need - fabric.on_hand
    assert sum(s.minutes for s in plan.steps) == sum(b.planned for b in plan.budget)
    assert len({s.key for s in plan.steps}) == len(plan.steps)
    assert [s.place for s in plan.steps] == sorted(s.place for s in plan.steps)
    json.dumps(plan_json(plan))
