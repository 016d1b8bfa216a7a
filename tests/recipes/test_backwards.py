"""From the cloth owned: what is answered is what a piece of that size would need, and no more."""

import re

import pytest
from django.test import Client

from projects.calc.lengths import System
from projects.calc.recipe import Direction, Recipe
from projects.models import Workroom
from projects.planning.recipe_backwards import COARSE, Answer, from_cloth
from projects.planning.recipe_trial import Trial, try_on
from projects.planning.samples import Samples
from tests import make
from tests.recipes.posts import fields

MM = 1_000_000
WORK_OUT = "/recipes/work-out/"
LIVE = {"HTTP_HX_REQUEST": "true"}
KNIFE = Direction(technique="knife", width=25 * MM, depth=12 * MM)
CORDED = make.tucks((20, 0), technique="corded", cord=3 * MM)
RECIPES = {
    "one way": make.content(make.tucks(*make.GRADUATED)),
    "both ways": make.content(make.tucks(*make.GRADUATED), make.tucks((15, 5))),
    "pleats": make.content(KNIFE),
    "box pleats": make.content(Direction(technique="box", width=60 * MM, depth=15 * MM)),
    "corded": make.content(CORDED),
    "whole repeats": make.content(make.tucks(*make.GRADUATED, whole_repeats=True)),
    "centred": make.content(make.tucks(*make.GRADUATED, centring="tuck", centre_on=2)),
}


def solve(studio: Workroom, recipe: Recipe, find: str, *, room: bool = True, **given: int | None) -> Answer:
    trial = Trial.of(
        recipe, fabric=None, samples=Samples((), studio.depth_spread), workroom=studio, room=room
    )
    asked = {"flat": 1_400 * MM, "finished": 500 * MM} | given
    return from_cloth(trial, "across", find=find, system=System.METRIC, **asked)


def cut(studio: Workroom, recipe: Recipe, finished: int) -> int:
    samples = Samples((), studio.depth_spread)
    plan = try_on(recipe, across=finished, along=500 * MM, fabric=None, samples=samples, workroom=studio)
    return plan.cut_width


@pytest.mark.parametrize("name", RECIPES)
def test_the_size_answered_fits_and_a_millimetre_more_does_not(workroom: Workroom, name: str) -> None:
    recipe = RECIPES[name]
    found = solve(workroom, recipe, "finished")
    assert cut(workroom, recipe, found.finished) == 1_400 * MM - found.left
    assert found.left >= 0
    assert cut(workroom, recipe, found.finished + COARSE[System.METRIC]) > 1_400 * MM
    assert found.finished < solve(workroom, recipe, "finished", room=False).finished


@pytest.mark.parametrize(
    ("name", "find"),
    [(n, "depth") for n in RECIPES if n != "corded"]
    + [(n, "spacing") for n in RECIPES if "pleats" not in n]
    + [("pleats", "number"), ("box pleats", "number")],
)
def test_numbers_answered_make_a_panel_the_cloth_holds(workroom: Workroom, name: str, find: str) -> None:
    found = solve(workroom, RECIPES[name], find)
    new = Recipe(found.direction, RECIPES[name].along)
    assert cut(workroom, new, 500 * MM) == 1_400 * MM - found.left
    assert 0 <= found.left < 140 * MM
    assert found.count > 0


def test_fewer_tucks_than_the_size_holds_say_how_many_it_would(workroom: Workroom) -> None:
    recipe = RECIPES["one way"]
    enough = solve(workroom, recipe, "number")
    assert enough.of == 0
    few = solve(workroom, recipe, "number", flat=1_000 * MM)
    assert 0 < few.count < enough.count == few.of


def test_plain_cloth_keeps_only_allowances_and_squaring(workroom: Workroom) -> None:
    trial = Trial.of(
        RECIPES["one way"], fabric=None, samples=Samples((), 400_000), workroom=workroom, room=True
    )
    found = from_cloth(trial, "along", flat=1_000 * MM, find="depth", finished=None, system=System.METRIC)
    assert found.finished == 1_000 * MM - 2 * workroom.seam_allowance - 2 * workroom.squaring
    assert found.direction is None


def posted(client: Client, recipe: Recipe, **more: str) -> dict[str, str]:
    row = make.recipe(of=recipe)
    base = fields(client.get(f"/recipes/{row.pk}/"))
    return base | {"mode": "cloth", "flat.across": "140"} | more


def test_the_page_says_what_is_kept_and_what_is_left_out(owner_page: Client, workroom: Workroom) -> None:
    asked = posted(owner_page, RECIPES["one way"])
    shown = owner_page.post(WORK_OUT, asked, **LIVE).content.decode()
    assert "Room is kept as for a piece: seam allowances of 15 mm" in shown
    del asked["room"]
    bare = owner_page.post(WORK_OUT, asked, **LIVE).content.decode()
    assert "The texture runs from edge to edge" in bare


def test_pleats_and_corded_tucks_are_asked_what_can_be_solved(owner_page: Client, workroom: Workroom) -> None:
    asked = posted(owner_page, RECIPES["pleats"], **{"find.across": "number", "size.across": "50"})
    shown = owner_page.post(WORK_OUT, asked, **LIVE).content.decode()
    assert re.search(r"<b>\d+ pleats</b> across, 50\.0 cm finished, each showing (about )?[\d.]+ mm", shown)
    corded = posted(owner_page, RECIPES["corded"], **{"find.across": "depth"})
    answer = owner_page.post(WORK_OUT, corded, **LIVE)
    assert answer.context["state"].find["across"] == "finished"
    assert "as deep as their cord makes them" in answer.content.decode()


def test_too_little_cloth_says_how_much_would_do(owner_page: Client, workroom: Workroom) -> None:
    answer = owner_page.post(WORK_OUT, posted(owner_page, RECIPES["one way"], **{"flat.across": "4"}), **LIVE)
    assert answer.status_code == 422
    error = answer.context["state"].flat["across"].error
    assert re.search(r"4\.0 cm was given, at least \d+\.\d cm was expected", error)
