"""What is drawn of a lay, cloth by cloth: every panel, cut and remnant on the cloth it belongs to."""

from decimal import Decimal

import pytest

from projects.activities import lay_work
from projects.calc.lay.cuts import Remnant
from projects.models import Workroom
from projects.planning import plan_project
from projects.planning.fabric_plan import LayOn
from projects.planning.lay_drawn import ClothLaid, cloths_of, remains_of, share_kept, share_over
from projects.planning.lay_others import others_for
from tests import make

MM = 1_000_000


def test_a_share_over_the_shortest_is_rounded_up_and_never_says_less() -> None:
    assert share_over(2_042, 2_000) == Decimal("0.021")
    assert share_over(200_001, 200_000) == Decimal("0.001")
    assert share_over(2_000, 2_000) is None and share_over(2_000, 0) is None


def test_what_is_worth_keeping_is_a_share_of_the_cloth_taken_not_of_the_uncut_rest() -> None:
    """Of 10 by 8 taken, 2 by 5 remains beside panels and 10 by 1 across them, going on into the rest."""
    remnants = (Remnant("1", 8, 0, 2, 5), Remnant("1", 0, 7, 10, 50), Remnant("1", 0, 8, 10, 90))
    on = LayOn("1", 1, "S1", 10, 8, 100)
    cloth = ClothLaid(on, 3, (), remnants, (), frozenset(), 0)
    assert share_kept([cloth]) == Decimal("0.25") and share_kept([]) == 0


def test_what_remains_of_several_cloths_is_listed_largest_first() -> None:
    """The uncut rest of the first cloth is a strip; the largest lies on the second."""
    first = (Remnant("1", 0, 90, 10, 2),)
    second = (Remnant("2", 0, 40, 10, 30), Remnant("2", 5, 0, 5, 9))
    cloths = [
        ClothLaid(LayOn(name, 1, name, 10, 40, 100), 1, (), remnants, (), frozenset(), 0)
        for name, remnants in (("1", first), ("2", second))
    ]
    shown = [(left.on, left.width * left.length, cloth.on.name) for left, cloth in remains_of(cloths)]
    assert shown == [("2", 300, "2"), ("2", 45, "2"), ("1", 20, "1")]


def test_each_cloth_has_its_own_panels_cuts_and_remnants(workroom: Workroom) -> None:
    project, fabric = make.project(), make.fabric()
    for i in range(4):
        make.piece(project, name=f"Panel {i}", across=1_000 * MM, along=600 * MM, fabric=fabric)
    short = make.length(fabric, label="S1", received=1_000 * MM)
    lay_work.set_options(project=project, fabric=fabric, values={"one_dye_lot": False, "end_loss": 20 * MM})
    line = plan_project(project).fabrics[0]
    first, roll = cloths_of(line)
    assert (first.on.cloth_id, first.on.label, roll.on.cloth_id) == (short.pk, "S1", None)
    assert first.panels == 1 and roll.panels == 3 and roll.is_roll and not first.is_roll
    assert first.rest == 1_000 * MM - first.on.used and roll.rest == 0
    assert first.lost == roll.lost == 20 * MM
    for cloth in (first, roll):
        assert {cut.on for cut in cloth.cuts} == {left.on for left in cloth.remnants} | {cloth.on.name}
    numbers = [cut.number for cloth in (first, roll) for cut in cloth.cuts]
    assert numbers == list(range(1, len(numbers) + 1))


@pytest.mark.parametrize("state", ["asked", "waiting", "finished"])
def test_only_projects_in_hand_that_need_the_fabric_may_be_laid_together(
    workroom: Workroom, state: str
) -> None:
    project, fabric = make.project(), make.fabric()
    make.piece(project, fabric=fabric)
    beside, elsewhere = make.project("Capelet"), make.project("Banner")
    make.piece(beside, fabric=fabric)
    make.piece(beside, fabric=fabric)
    make.piece(elsewhere, fabric=make.fabric())
    make.piece(make.project("Later", state=state), fabric=fabric)
    gone = make.project("Gone")
    make.piece(gone, fabric=fabric)
    make.deletion(gone)
    assert others_for(project, fabric) == [beside]
