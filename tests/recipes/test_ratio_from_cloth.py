"""From the cloth owned, for textures by ratio: how large, how full, how many; what is answered fits."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from projects.calc.backwards import BackwardsError
from projects.calc.lengths import System, parse
from projects.calc.ratio import ByRatio
from projects.calc.ratio_backwards import part_in, unit_of
from projects.calc.recipe import Recipe as Content
from projects.models import Workroom
from projects.planning.ratio_from_cloth import ratio_from_cloth
from projects.planning.recipe_trial import Trial
from projects.planning.samples import Samples
from tests.recipes.posts import fields
from tests.recipes.ratios import TECHNIQUES, content
from tests.recipes.test_by_ratio import LIVE, WORK_OUT, page_of, recipe_of, text

MM = 1_000_000


def trial(technique: str, room: bool = True, **changed: object) -> Trial:
    recipe = Content(ratio=content(technique).ratio if not changed else ByRatio(technique, **changed))
    return Trial.of(recipe, fabric=None, samples=Samples([], 400_000), workroom=Workroom(), room=room)


def asked(tried: Trial, find: str, flat: int, finished: int | None, name: str = "across"):  # type: ignore[no-untyped-def]
    return ratio_from_cloth(tried, name, flat=flat, find=find, finished=finished, system=System.METRIC)


def test_a_worked_example_of_pleats() -> None:
    """English smocking 3 to 1, dots 10 mm apart, 300 mm finished edge to edge: 900 mm of flat cloth, 90 dots.

    From 700 mm each pleat takes up 10 - 10 / 3 mm: 400 / (20 / 3) = 60 of them, and no cloth is left.
    """
    tried = trial("english", False, across=Decimal(3), along=Decimal(1), spacing=10 * MM, row=10 * MM)
    whole = asked(tried, "number", 900 * MM, 300 * MM)
    assert (whole.count, whole.left, whole.of) == (90, 0, 0)
    part = asked(tried, "number", 700 * MM, 300 * MM)
    assert (part.count, part.left, part.of) == (60, 0, 90)
    assert asked(tried, "ratio", 700 * MM, 300 * MM).ratio == Fraction(233, 100)
    large = asked(tried, "finished", 700 * MM, None)
    assert (large.finished, large.count) == (233 * MM, 69)


@settings(derandomize=True, max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    technique=st.sampled_from(["gathers", "shirring", "english"]),
    flat=st.integers(150, 3_000),
    finished=st.integers(50, 1_500),
    room=st.booleans(),
)
def test_the_fullest_fits_and_a_hundredth_more_does_not(
    technique: str, flat: int, finished: int, room: bool
) -> None:
    tried = trial(technique, room)
    try:
        found = asked(tried, "ratio", flat * MM, finished * MM)
    except BackwardsError as error:
        assert error.field in ("flat", "finished")
        return
    given_ratio = {"across": Decimal(float(found.ratio)).quantize(Decimal("0.01")), "along": Decimal(1)}
    usual = {"spacing": 10 * MM, "row": 10 * MM, "rows": 2}
    side = trial(technique, room, **given_ratio, **usual).side("across", finished * MM)
    assert side.flat + found.left == flat * MM and found.left >= 0
    if found.ratio < 8:
        given_ratio["across"] += Decimal("0.01")
        assert trial(technique, room, **given_ratio, **usual).side("across", finished * MM).flat > flat * MM


@settings(derandomize=True, max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    technique=st.sampled_from(["english", "honeycomb", "lattice", "quilting", "trapunto"]),
    flat=st.integers(150, 3_000),
    finished=st.integers(50, 1_500),
)
def test_so_many_fit_and_one_more_does_not(technique: str, flat: int, finished: int) -> None:
    tried = trial(technique)
    side, unit = tried.side("across", finished * MM), unit_of(tried.recipe.ratio, "across")
    try:
        found = asked(tried, "number", flat * MM, finished * MM)
    except BackwardsError as error:
        assert error.field in ("flat", "finished")
        return
    assert found.left >= 0
    if not found.of:
        assert side.flat <= flat * MM
        return
    each = unit * (1 - 1 / side.ratio.ratio)
    takes = [side.length + 2 * side.border + each * n for n in (found.count, found.count + 1)]
    assert takes[0] <= flat * MM < takes[1]
    assert found.count < found.of


def test_what_draws_nothing_up_says_so() -> None:
    tried = trial("quilting", False, across=Decimal(1), along=Decimal(1), spacing=20 * MM)
    side = tried.side("across", 500 * MM)
    with pytest.raises(BackwardsError, match="Finish it smaller"):
        part_in(side, 20 * MM, 300 * MM, System.METRIC)


@pytest.mark.parametrize(("system", "unit"), [(System.METRIC, "cm"), (System.INCH, "in")])
def test_what_would_do_is_said_in_the_studios_units_and_does(system: System, unit: str) -> None:
    tried = trial("english", False, across=Decimal(3), along=Decimal(1), spacing=10 * MM, row=10 * MM)
    with pytest.raises(BackwardsError, match="Not one fits") as refused:
        ratio_from_cloth(
            tried, "across", flat=301 * MM, find="number", finished=300 * MM, system=system
        )
    assert refused.value.field == "flat" and "mm" not in str(refused.value)
    least = refused.value.expected.removeprefix("at least ")
    assert least.endswith(f" {unit}")
    enough = ratio_from_cloth(
        tried, "across", flat=parse(least, unit).nm, find="number", finished=300 * MM, system=system
    )
    assert enough.count == 1


@pytest.mark.parametrize("technique", TECHNIQUES)
@pytest.mark.parametrize("find", ["finished", "ratio", "number", "depth", ""])
def test_the_page_answers_whatever_is_asked(
    owner_page: Client, workroom: Workroom, technique: str, find: str
) -> None:
    posted = fields(page_of(owner_page, recipe_of(technique))) | {"mode": "cloth", "flat.across": "114"}
    posted |= {"find.across": find, "size.across": "40"}
    for extra in ({}, LIVE):
        answer = owner_page.post(WORK_OUT, posted, **extra)
        assert answer.status_code == 200
        found = answer.context["backwards"]["across"]
        assert found.figure and "None" not in found.words
        assert found.figure in text(answer).partition('id="answer-across"')[2][:300]
    whole = text(owner_page.post(WORK_OUT, posted))
    assert 'id="find-across"' in whole and "how large it becomes" in whole


def test_full_and_many_are_said_in_words(owner_page: Client, workroom: Workroom) -> None:
    posted = fields(page_of(owner_page, recipe_of("english"))) | {"mode": "cloth", "flat.across": "114"}
    full = owner_page.post(WORK_OUT, posted | {"find.across": "ratio", "size.across": "40"})
    assert "how full it can be" in text(full)
    assert full.context["backwards"]["across"].words.startswith("flat to finished, across, 40.0 cm finished")
    many = owner_page.post(WORK_OUT, posted | {"find.across": "number", "size.across": "60"})
    found = many.context["backwards"]["across"]
    assert found.figure.endswith("dots") and "leave the rest plain" in found.words


def test_a_finished_size_larger_than_the_cloth_is_refused_beside_it(
    owner_page: Client, workroom: Workroom
) -> None:
    posted = fields(page_of(owner_page, recipe_of("english"))) | {"mode": "cloth", "flat.across": "114"}
    for wished in ("200", ""):
        answer = owner_page.post(WORK_OUT, posted | {"find.across": "ratio", "size.across": wished}, **LIVE)
        assert answer.status_code == 422 and answer.context["state"].size["across"].error
