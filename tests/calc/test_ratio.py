"""Recipes worked by ratio: what is refused, names, and format 2 beside format 1."""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.calc.folds import Tuck
from projects.calc.ratio import (
    NEEDED,
    STARTING_RATIOS,
    ByRatio,
    starting_ratio,
)
from projects.calc.recipe import Direction, Recipe, RecipeError, assign_marks
from tests.strategies import FIXED, MM, ratio_recipes

TUCKS = Direction(tucks=(Tuck(20 * MM, 5 * MM),))
NUMBERS = {"spacing": 10 * MM, "row": 15 * MM, "rows": 2}


def by_ratio(technique: str, **values: object) -> ByRatio:
    across, along = STARTING_RATIOS[technique]
    usual = {"across": across, "along": along, **{name: NUMBERS[name] for name in NEEDED[technique]}}
    return ByRatio(technique, **{**usual, **values})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("technique", "name"),
    [
        ("gathers", "Gathers"),
        ("shirring", "Shirring"),
        ("english", "English smocking"),
        ("honeycomb", "Honeycomb smocking"),
        ("lattice", "Lattice smocking"),
        ("quilting", "Quilting"),
        ("trapunto", "Trapunto"),
    ],
)
def test_each_technique_has_a_name_and_starting_ratios(technique: str, name: str) -> None:
    recipe = Recipe(ratio=by_ratio(technique))
    assert recipe.kind_name() == name
    assert recipe.techniques == (technique,)
    assert not recipe.both
    assert assign_marks(recipe) == recipe
    assert 1 <= starting_ratio(technique, "along") <= starting_ratio(technique, "across") <= 4


def test_a_diagonal_sets_both_ratios_of_lattice() -> None:
    """Squares of 3 cm drawn up to a diagonal of 4.2 cm: 4 x 3 / 4.2 across, half of it along."""
    recipe = by_ratio("lattice", spacing=30 * MM, diagonal=42 * MM)
    assert recipe.ratio_of("across") == Fraction(120, 42)
    assert recipe.ratio_of("along") == Fraction(60, 42)
    assert by_ratio("lattice").ratio_of("across") == Fraction(Decimal("2.8284"))


@pytest.mark.parametrize(
    ("technique", "values", "field"),
    [
        ("pleating", {}, "technique"),
        ("gathers", {"across": Decimal("0.99")}, "across"),
        ("gathers", {"across": Decimal("8.01")}, "across"),
        ("gathers", {"across": Decimal("2.00001")}, "across"),
        ("gathers", {"across": Decimal("NaN")}, "across"),
        ("gathers", {"across": Decimal("Infinity")}, "across"),
        ("gathers", {"across": Decimal("2E+0")}, ""),
        ("gathers", {"across": 2.0}, "across"),
        ("gathers", {"along": "1"}, "along"),
        ("gathers", {"rows": 0}, "rows"),
        ("gathers", {"rows": True}, "rows"),
        ("gathers", {"rows": 21}, "rows"),
        ("shirring", {"row": 0}, "row"),
        ("english", {"spacing": 0}, "spacing"),
        ("english", {"row": 501 * MM}, "row"),
        ("lattice", {"spacing": MM - 1}, "spacing"),
        ("lattice", {"spacing": 30 * MM, "diagonal": 61 * MM}, "diagonal"),
        ("lattice", {"spacing": 30 * MM, "diagonal": 14 * MM}, "diagonal"),
        ("quilting", {"row": 1}, "row"),
        ("quilting", {"slant": 1}, "slant"),
        ("quilting", {"way": "two\nlines"}, "way"),
        ("trapunto", {"by_hand": "yes"}, "by_hand"),
    ],
)
def test_what_can_not_be_worked_is_refused_by_field(
    technique: str, values: dict[str, object], field: str
) -> None:
    if not field:
        assert by_ratio(technique, **values)
        return
    base = {"spacing": 10 * MM, "row": 10 * MM, "rows": 2, "across": Decimal(2), "along": Decimal(1)}
    with pytest.raises(RecipeError) as refused:
        ByRatio(technique, **{**base, **values})  # type: ignore[arg-type]
    assert refused.value.field == field
    assert refused.value.remedy in str(refused.value)


def test_ratio_stands_alone_in_a_recipe() -> None:
    with pytest.raises(RecipeError, match="nothing beside"):
        Recipe(TUCKS, ratio=by_ratio("gathers"))
    with pytest.raises(RecipeError) as refused:
        Recipe(ratio="gathers")  # type: ignore[arg-type]
    assert refused.value.field == "ratio"


def test_tucks_are_still_written_in_format_one() -> None:
    written = Recipe(TUCKS).to_json()
    assert written["format"] == 1
    assert "ratio" not in written
    assert Recipe.from_json(written) == Recipe(TUCKS)


@FIXED
@given(ratio_recipes())
def test_a_recipe_by_ratio_reads_back_equal(recipe: Recipe) -> None:
    written = recipe.to_json()
    assert written["format"] == 2
    assert Recipe.from_json(json.loads(json.dumps(written))) == recipe


_scalars = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20)
_anything = st.recursive(
    _scalars,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
)


@FIXED
@given(ratio_recipes(), st.data())
def test_hostile_json_only_raises_a_recipe_error(recipe: Recipe, data: st.DataObject) -> None:
    written = recipe.to_json()
    content = written["ratio"]
    key = data.draw(st.sampled_from([*content, "unheard_of"]))
    content[key] = data.draw(_anything)
    whole = data.draw(
        st.sampled_from([written, {**written, "ratio": content[key]}, {"format": 2, **content}])
    )
    try:
        read = Recipe.from_json(whole)
    except RecipeError as error:
        assert error.remedy
    else:
        assert Recipe.from_json(read.to_json()) == read


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"across": 2}, "ratio.across"),
        ({"across": "2e3"}, "ratio.across"),
        ({"across": "1_0"}, "ratio.across"),
        ({"across": "-2"}, "ratio.across"),
        ({"across": "٢"}, "ratio.across"),
        ({"across": "2." + "0" * 400}, "ratio.across"),
        ({"spacing_nm": 10.5}, "ratio.spacing"),
        ({"spacing_nm": 10**400}, "ratio.spacing"),
        ({"spacing": 10 * MM}, "ratio"),
    ],
)
def test_a_refusal_names_the_entry(change: dict[str, object], field: str) -> None:
    written = Recipe(ratio=by_ratio("english")).to_json()
    written["ratio"] |= change
    with pytest.raises(RecipeError) as refused:
        Recipe.from_json(written)
    assert refused.value.field == field


def test_format_two_holds_nothing_but_a_ratio() -> None:
    for content in ({"format": 2}, {"format": 2, "ratio": None}, {"format": 2, "ratio": []}):
        with pytest.raises(RecipeError, match="object"):
            Recipe.from_json(content)
    with pytest.raises(RecipeError, match="only format, ratio"):
        Recipe.from_json({**Recipe(TUCKS).to_json(), "format": 2})
