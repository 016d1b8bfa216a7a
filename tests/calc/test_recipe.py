"""Recipes: what is refused and where, the JSON they are kept as, their letters and their names."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.calc.axis import Pressing, Tuck
from projects.calc.recipe import (
    MARK_STYLES,
    Direction,
    Recipe,
    RecipeError,
    assign_marks,
    mark_letter,
    mark_style,
)
from tests.strategies import FIXED, MM, recipes

GRADUATED = tuple(Tuck(s * MM, d * MM) for s, d in ((18, 4), (12, 7), (12, 10), (12, 7)))


def tucked(*pairs: tuple[float, float], **more: object) -> Direction:
    tucks = tuple(Tuck(int(s * MM), int(d * MM)) for s, d in pairs)
    return Direction(tucks=tucks, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("arguments", "field"),
    [
        ({"tucks": ()}, "tucks"),
        ({"tucks": (Tuck(MM, MM),) * 201}, "tucks"),
        ({"tucks": (Tuck(MM, MM), Tuck(MM, 0))}, "tucks.1.depth"),
        ({"tucks": (Tuck(MM, 199_999),)}, "tucks.0.depth"),
        ({"tucks": (Tuck(MM, 200 * MM + 1),)}, "tucks.0.depth"),
        ({"tucks": (Tuck(0, MM),)}, "tucks.0.space"),
        ({"tucks": (Tuck(-MM, MM),)}, "tucks.0.space"),
        ({"tucks": (Tuck(2_000 * MM + 1, MM),)}, "tucks.0.space"),
        ({"tucks": (Tuck(MM, MM, "a1"),)}, "tucks.0.mark"),
        ({"tucks": GRADUATED, "pressing": Pressing.CORDED}, "pressing"),
        ({"tucks": GRADUATED, "pressing": "on"}, "pressing"),
        ({"tucks": GRADUATED, "turns_at_centre": 1}, "turns_at_centre"),
        ({"tucks": GRADUATED, "sewn": -1}, "sewn"),
        ({"tucks": GRADUATED, "sewn": True}, "sewn"),
        ({"tucks": GRADUATED, "centring": "middle"}, "centring"),
        ({"tucks": GRADUATED, "centre_on": 5}, "centre_on"),
        ({"tucks": GRADUATED, "way": "two\nlines"}, "way"),
        ({"tucks": GRADUATED, "way": "\ud800"}, "way"),
        ({"tucks": GRADUATED, "way": "x" * 201}, "way"),
        ({"technique": "gathers"}, "technique"),
        ({"technique": "corded", "tucks": GRADUATED}, "cord"),
        ({"technique": "knife", "width": 50 * MM, "depth": 0}, "depth"),
        ({"technique": "knife", "width": 0, "depth": MM}, "width"),
        ({"technique": "box", "width": 50 * MM, "depth": 501 * MM}, "depth"),
        ({"technique": "knife", "width": MM, "depth": MM, "tucks": GRADUATED}, "tucks"),
        ({"technique": "knife", "width": MM, "depth": MM, "pressing": Pressing.OPENED}, "pressing"),
    ],
)
def test_a_direction_that_cannot_be_sewn_is_refused_by_field(
    arguments: dict[str, object], field: str
) -> None:
    with pytest.raises(RecipeError) as refused:
        Direction(**arguments)  # type: ignore[arg-type]
    error = refused.value
    assert error.field == field
    assert error.given and error.expected and error.remedy
    assert error.expected in str(error)


def test_a_recipe_without_tucks_is_refused() -> None:
    with pytest.raises(RecipeError, match="A recipe without tucks"):
        Recipe(None, None)
    with pytest.raises(RecipeError) as refused:
        Recipe(tucked((10, 4)), first="both")
    assert refused.value.field == "first"


def test_errors_name_the_direction_and_the_tuck() -> None:
    written = Recipe(Direction(tucks=GRADUATED)).to_json()
    written["across"]["tucks"][2]["depth_nm"] = 0
    with pytest.raises(RecipeError) as refused:
        Recipe.from_json(written)
    assert refused.value.field == "across.tucks.2.depth"
    assert str(refused.value) == (
        "0 mm was given, a depth from 0.2 mm to 200 mm was expected. Make it 0.2 mm or more."
    )


@FIXED
@given(recipes())
def test_json_reads_back_the_same_recipe(recipe: Recipe) -> None:
    assert Recipe.from_json(json.loads(json.dumps(recipe.to_json()))) == recipe
    lettered = assign_marks(recipe)
    assert Recipe.from_json(lettered.to_json()) == lettered


def test_format_one_is_kept_as_it_is() -> None:
    """Versions in a studio's data are never rewritten, so this text must be readable for ever."""
    kept = {
        "format": 1,
        "first": "auto",
        "across": {
            "technique": "tucks",
            "tucks": [{"space_nm": 18_000_000, "depth_nm": 4_000_000, "mark": "A"}],
            "pressing": "back",
            "sewn_nm": None,
        },
        "along": None,
    }
    recipe = Recipe.from_json(kept)
    assert recipe.across is not None
    assert recipe.across.tucks == (Tuck(18 * MM, 4 * MM, "A"),)
    assert recipe.across.pressing is Pressing.BACK
    assert recipe.along is None


ANYTHING = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.just(10**300)
    | st.floats()
    | st.text(max_size=20)
    | st.sampled_from(("tucks", "knife", "on", "auto")),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(
                ("format", "across", "along", "technique", "tucks", "depth_nm", "space_nm", "pressing")
            )
            | st.text(max_size=5),
            inner,
            max_size=5,
        )
    ),
    max_leaves=20,
)


@FIXED
@given(ANYTHING)
def test_hostile_json_is_a_recipe_error_and_nothing_else(given_json: object) -> None:
    for sent in (given_json, {"format": 1, "across": given_json}, {"format": given_json}):
        with pytest.raises(RecipeError):
            Recipe.from_json(sent)


@FIXED
@given(
    recipes(),
    ANYTHING,
    st.sampled_from(("technique", "tucks", "width_nm", "depth_nm", "pressing", "turns_at_centre", "cord_nm")),
)
def test_one_spoiled_entry_is_refused_or_read(recipe: Recipe, spoiled: object, key: str) -> None:
    written = recipe.to_json()
    name = "across" if recipe.across else "along"
    written[name][key] = spoiled
    try:
        assert Recipe.from_json(written).to_json() == written
    except RecipeError as error:
        assert len(str(error)) < 400


def test_a_number_too_long_to_print_is_refused() -> None:
    written = Recipe(Direction(tucks=GRADUATED)).to_json()
    for key in ("width_nm", "cord_nm", "sewn_nm", "centre_on", "technique", "turns_at_centre", "way"):
        spoiled = {**written, "across": {**written["across"], key: 10**5_000}}
        with pytest.raises(RecipeError, match="more than 60 digits"):
            Recipe.from_json(spoiled)


def test_nested_and_long_json_is_refused_quickly() -> None:
    nested: object = []
    for _ in range(900):
        nested = [nested]
    for sent in (nested, {"format": 1, "across": {"technique": "tucks", "tucks": [nested]}}):
        with pytest.raises(RecipeError):
            Recipe.from_json(sent)
    many = [{"space_nm": 1, "depth_nm": 200_000}] * 100_000
    with pytest.raises(RecipeError, match="100000 tucks"):
        Recipe.from_json({"format": 1, "across": {"technique": "tucks", "tucks": many}})


@pytest.mark.parametrize("number", [True, "1", 3, None, 1.0, 2.0, [2]])
def test_only_known_formats_are_read(number: object) -> None:
    written = Recipe(Direction(tucks=GRADUATED)).to_json() | {"format": number}
    with pytest.raises(RecipeError) as refused:
        Recipe.from_json(written)
    assert refused.value.field == "format"


def test_same_depth_same_letter_in_both_directions() -> None:
    recipe = assign_marks(Recipe(Direction(tucks=GRADUATED), tucked((20, 7), (20, 3), (20, 4))))
    assert recipe.across is not None and recipe.along is not None
    assert [t.mark for t in recipe.across.tucks] == ["A", "B", "C", "B"]
    assert [t.mark for t in recipe.along.tucks] == ["B", "D", "A"]
    assert assign_marks(recipe) == recipe


def test_pleats_have_a_letter_too() -> None:
    pleats = Direction("knife", width=50 * MM, depth=7 * MM)
    recipe = assign_marks(Recipe(pleats, tucked((20, 3), (20, 7))))
    assert recipe.across is not None and recipe.along is not None
    assert recipe.across.mark == "A"
    assert [t.mark for t in recipe.along.tucks] == ["B", "A"]


def test_letters_go_on_after_z_and_styles_come_round() -> None:
    assert [mark_letter(i) for i in (0, 1, 25, 26, 27, 51, 52, 701, 702)] == [
        "A", "B", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA",
    ]  # fmt: skip
    assert [mark_style(mark_letter(i)) for i in range(6)] == list(MARK_STYLES)
    assert mark_style("G") == mark_style("A")
    assert mark_style("AA") == MARK_STYLES[26 % 6]


@pytest.mark.parametrize(
    ("across", "along", "name"),
    [
        (tucked((10, 2)), None, "Pin tucks"),
        (tucked((10, 3.175)), None, "Spaced tucks"),
        (tucked((20, 6)), None, "Spaced tucks"),
        (tucked((6, 6)), None, "Blind tucks"),
        (tucked((6, 6), pressing=Pressing.OPENED), None, "Blind tucks"),
        (tucked((5, 6)), None, "Overlapping tucks"),
        (Direction(tucks=GRADUATED), Direction(tucks=GRADUATED), "Graduated tucks, both ways"),
        (tucked((10, 2), sewn=100 * MM), None, "Released pin tucks"),
        (Direction("corded", tucks=GRADUATED, cord=2 * MM), None, "Corded tucks"),
        (Direction("twin_needle", tucks=GRADUATED), None, "Twin-needle tucks"),
        (None, Direction("knife", width=50 * MM, depth=20 * MM), "Knife pleats"),
        (
            tucked((10, 2)),
            Direction("box", width=50 * MM, depth=20 * MM),
            "Pin tucks across, box pleats along",
        ),
    ],
)
def test_a_recipe_is_named_by_its_numbers(
    across: Direction | None, along: Direction | None, name: str
) -> None:
    assert Recipe(across, along).kind_name() == name
