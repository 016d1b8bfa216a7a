"""The texture a client sees: of every technique, on a phone and wide, without a word of the maker's own."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from projects.activities import sharing
from projects.calc.direction import Direction
from projects.calc.ratio import RATIO_TECHNIQUES, STARTING_RATIOS, ByRatio
from projects.calc.recipe import Recipe
from projects.models import ShareLink
from projects.planning.build_page import Texture, build_page
from tests import make

MM = 1_000_000
WAY = "in grandmother's way"
NUMBERS = {
    "gathers": {"rows": 2}, "shirring": {"row": 12 * MM}, "english": {"spacing": 8 * MM, "row": 10 * MM},
    "honeycomb": {"spacing": 8 * MM, "row": 10 * MM}, "lattice": {"spacing": 30 * MM},
    "quilting": {"spacing": 25 * MM}, "trapunto": {"spacing": 12 * MM},
}  # fmt: skip


def ratio(technique: str) -> Recipe:
    across, along = STARTING_RATIOS[technique]
    return Recipe(
        across=None, along=None, ratio=ByRatio(technique, across, along, way=WAY, **NUMBERS[technique])
    )


def pleats(technique: str) -> Recipe:
    return make.content(Direction(technique=technique, depth=10 * MM, width=60 * MM, way=WAY))


def share(content: Recipe, **piece: Any) -> tuple[ShareLink, str]:
    coat, maker = make.project(), make.person()
    version = make.version(of=content, by=maker)
    make.piece(coat, fabric=make.fabric(), version=version, **piece)
    shows = dict.fromkeys(sharing.SHOWS, True)
    token = sharing.make_link(project=coat, name="Fern", expires_at=None, shows=shows, person=maker)
    return sharing.find_link(token, make.timezone.now()), token


def texture_of(content: Recipe) -> tuple[Texture | None, str]:
    link, token = share(content)
    page = build_page(link, make.workroom(), today=make.date(2026, 11, 25))
    return page.texture, Client().get(reverse("see", args=[token])).content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize("technique", RATIO_TECHNIQUES)
def test_work_by_ratio_is_drawn(technique: str) -> None:
    texture, html = texture_of(ratio(technique))
    assert texture is not None and texture.by_ratio is not None and texture.by_ratio.way == ""
    assert html.count('class="drawing strip only-') == 2 and WAY not in html and "once it is worked" in html
    assert len(html) < 60_000


@pytest.mark.django_db
@pytest.mark.parametrize("technique", ["knife", "box", "inverted"])
def test_pleats_are_drawn(technique: str) -> None:
    texture, html = texture_of(pleats(technique))
    assert texture is not None and len(texture.sides) == 1
    assert html.count('class="drawing strip only-') == 2 and WAY not in html


@pytest.mark.django_db
def test_both_ways_alike_is_drawn_once_and_otherwise_twice() -> None:
    side, other = make.tucks(*make.GRADUATED, way=WAY), make.tucks((9, 3))
    assert texture_of(make.content(side, side))[1].count('class="drawing strip only-') == 2
    assert texture_of(make.content(side, other))[1].count('class="drawing strip only-') == 4


@pytest.mark.django_db
def test_strips_are_whole_repeats_with_what_the_plan_takes_up() -> None:
    texture, _ = texture_of(make.content(make.tucks(*make.GRADUATED)))
    assert texture is not None
    (side,) = texture.sides
    assert (side.phone.count, side.wide.count) == (4, 12)
    assert (side.phone.length, side.phone.flat) == (54 * MM, 110 * MM)
    assert Decimal(side.wide.flat) / side.wide.length == Decimal(110) / 54


@pytest.mark.django_db
def test_plain_cloth_has_no_drawing_and_what_is_too_wide_for_its_cloth_has() -> None:
    coat, maker = make.project(), make.person()
    make.piece(coat, fabric=make.fabric())
    shows = dict.fromkeys(sharing.SHOWS, True)
    token = sharing.make_link(project=coat, name="Fern", expires_at=None, shows=shows, person=maker)
    assert "The texture" not in Client().get(reverse("see", args=[token])).content.decode()
    texture, html = texture_of(make.content(make.tucks((4, 60))))
    assert texture is not None and "The texture" in html
