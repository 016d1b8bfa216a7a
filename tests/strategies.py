"""Shared hypothesis strategies: recipes, sizes and cloths that could be sewn. Lengths are whole nm."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from hypothesis import settings
from hypothesis import strategies as st

from projects.calc.axis import Pressing, Tuck, repeat_of
from projects.calc.lay import LayPanel
from projects.calc.ratio import NEEDED, RATIO_TECHNIQUES, ByRatio
from projects.calc.recipe import Direction, Recipe
from projects.calc.sampling import TakeUp
from projects.calc.sizes import Cloth, PieceSize, Sizing

MM = 1_000_000
FIXED = settings(derandomize=True, deadline=None, database=None, max_examples=100)
"""The same examples in every run, on a fast machine and a slow one."""

PRESSED = (Pressing.ON, Pressing.BACK, Pressing.OPENED)


def lengths(least: int, most: int) -> st.SearchStrategy[int]:
    """Whole nm, mostly odd ones: what typed inches give."""
    return st.integers(least, most)


def lay_panels(*, widest: int, longest: int, most: int) -> st.SearchStrategy[tuple[LayPanel, ...]]:
    """1 to `most` kinds of panels for a lay, up to four of each, every kind with a name of its own (nm)."""
    one = st.builds(
        LayPanel,
        name=st.just(""),
        width=st.integers(1, widest),
        length=st.integers(1, longest),
        count=st.integers(1, 4),
        may_turn=st.booleans(),
    )
    found = st.lists(one, min_size=1, max_size=most)
    return found.map(lambda kinds: tuple(replace(kind, name=f"piece {i}") for i, kind in enumerate(kinds)))


def tuck_rows(most: int = 8) -> st.SearchStrategy[tuple[Tuck, ...]]:
    """One repeat of 1 to `most` tucks, some overlapping."""
    tuck = st.builds(Tuck, lengths(1 * MM, 40 * MM), lengths(MM // 5, 25 * MM))
    return st.lists(tuck, min_size=1, max_size=most).map(tuple)


def extras() -> st.SearchStrategy[int]:
    """e: what the cloth adds by itself, nm; small enough that no tuck of `tuck_rows` gives cloth back."""
    return lengths(-300_000, 2 * MM)


@st.composite
def placings(draw: st.DrawFn, most: int = 8) -> dict[str, object]:
    """Keyword arguments of `axis.place`."""
    tucks = draw(tuck_rows(most))
    return {
        "tucks": tucks,
        "length": draw(lengths(1, 600 * MM)),
        "extra": draw(extras()),
        "phase": draw(lengths(0, repeat_of(tucks) - 1)),
        "pressing": draw(st.sampled_from(PRESSED)),
        "turns_at_centre": draw(st.booleans()),
    }


def tuck_directions() -> st.SearchStrategy[Direction]:
    return st.builds(
        Direction,
        technique=st.just("tucks"),
        tucks=tuck_rows(),
        pressing=st.sampled_from(PRESSED),
        turns_at_centre=st.booleans(),
        sewn=st.none() | lengths(0, 300 * MM),
        whole_repeats=st.booleans(),
        centring=st.sampled_from(("", "tuck", "space")),
        way=st.sampled_from(("", "by gauge", "fold and pin")),
    )


def corded_directions() -> st.SearchStrategy[Direction]:
    return st.builds(Direction, technique=st.just("corded"), tucks=tuck_rows(), cord=lengths(MM, 5 * MM))


def pleat_directions() -> st.SearchStrategy[Direction]:
    """Pleats no deeper than half their width, so that every kind can be laid."""
    return st.builds(
        Direction,
        technique=st.sampled_from(("knife", "box", "inverted")),
        width=lengths(30 * MM, 90 * MM),
        depth=lengths(2 * MM, 9 * MM),
    )


def directions() -> st.SearchStrategy[Direction]:
    return tuck_directions() | corded_directions() | pleat_directions()


@st.composite
def recipes(draw: st.DrawFn) -> Recipe:
    across, along = draw(st.none() | directions()), draw(st.none() | directions())
    if across is None and along is None:
        across = draw(directions())
    return Recipe(across, along, draw(st.sampled_from(("auto", "across", "along"))))


def pieces() -> st.SearchStrategy[PieceSize]:
    allowance = lengths(0, 30 * MM)
    return st.builds(
        PieceSize,
        across=lengths(120 * MM, 900 * MM),
        along=lengths(120 * MM, 900 * MM),
        allowance_left=allowance,
        allowance_right=allowance,
        allowance_top=allowance,
        allowance_bottom=allowance,
        caught=st.sampled_from(("keep", "drop")),
        margin_at=st.sampled_from(("both", "first", "far")),
        whole_repeats=st.booleans(),
    )


def sizings() -> st.SearchStrategy[Sizing]:
    return st.builds(
        Sizing,
        squaring=lengths(0, 15 * MM),
        border=st.sampled_from((0, 25 * MM)),
        check_every=st.none() | st.integers(1, 20),
        wash=st.sampled_from(("before", "after", "never")),
    )


def cloths() -> st.SearchStrategy[Cloth]:
    share = st.none() | st.decimals("0", "0.1", places=3)
    return st.builds(
        Cloth,
        thickness=st.none() | lengths(50_000, 2 * MM),
        grams=st.none() | st.decimals("20", "400", places=1),
        shrink_along=share,
        shrink_across=share,
        usable_width=st.none() | lengths(900 * MM, 1500 * MM),
    )


def sampled() -> st.SearchStrategy[TakeUp]:
    return st.builds(
        lambda extra, se: TakeUp(2 * extra, se, 2 * extra - se, 2 * extra + se, "this cloth", 1, 12),
        lengths(-100_000, MM),
        lengths(50_000, 300_000),
    )


NO_SHRINK = Cloth(shrink_along=Decimal(0), shrink_across=Decimal(0))


@st.composite
def ratio_recipes(draw: st.DrawFn) -> Recipe:
    """Recipes worked by ratio, of every technique."""
    technique = draw(st.sampled_from(RATIO_TECHNIQUES))
    ratios = st.decimals(1, 6, places=2)
    numbers: dict[str, int] = {}
    for name in ("spacing", "row"):
        apart = lengths(3 * MM, 60 * MM)
        numbers[name] = draw(apart if name in NEEDED[technique] else apart | st.just(0))
    if technique == "lattice":
        numbers["diagonal"] = draw(st.just(0) | lengths(numbers["spacing"], 3 * numbers["spacing"] // 2))
    return Recipe(
        ratio=ByRatio(
            technique,
            draw(ratios),
            draw(ratios),
            rows=draw(lengths(1, 4)),
            slant=draw(st.booleans()),
            by_hand=draw(st.booleans()),
            way=draw(st.sampled_from(("", "by hand", "on a frame"))),
            **numbers,
        )
    )
