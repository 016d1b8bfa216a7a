"""The stash: four cloths with their lengths, dye lots and what happened to them."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from projects.activities import stock
from projects.activities.fabrics import add_fabric, add_length
from projects.models import ClothLength, Fabric

from .days import Days
from .measures import CM, M
from .people import People

VOILE: dict[str, Any] = {
    "name": "Linen voile",
    "fibre": "linen",
    "colour": "chalk white",
    "family": "white",
    "price": Decimal("24.50"),
    "width": 140 * CM,
    "grams": Decimal("92"),
    "thickness": 160_000,
    "light": Decimal("0.780"),
    "shrink_along": Decimal("0.04"),
    "shrink_across": Decimal("0.03"),
    "sheer": True,
    "iron": "three dots, 200 °C, damp",
    "place": "Shelf 2",
    "notes": "Shrinkage from a swatch of 25 cm washed at 40 °C and pressed.",
}
CHALLIS: dict[str, Any] = {
    "name": "Wool challis",
    "fibre": "wool",
    "colour": "bottle green",
    "family": "green",
    "price": Decimal("31"),
    "width": 150 * CM,
    "grams": Decimal("130"),
    "thickness": 320_000,
    "light": Decimal("0.240"),
    "shrink_along": Decimal("0.035"),
    "shrink_across": Decimal("0.03"),
    "iron": "two dots, 150 °C, under a cloth",
    "place": "Shelf 4, in its bag",
}
LAWN: dict[str, Any] = {
    "name": "Cotton lawn",
    "fibre": "cotton",
    "colour": "chalk white",
    "family": "white",
    "price": Decimal("12.80"),
    "width": 112 * CM,
    "grams": Decimal("72"),
    "thickness": 140_000,
    "iron": "three dots, 200 °C",
    "place": "Shelf 2",
    "notes": "For facings and the parts that lie against the skin.",
}

VELVET: dict[str, Any] = {
    "name": "Cotton velvet",
    "fibre": "cotton",
    "colour": "plum",
    "family": "purple",
    "price": Decimal("38"),
    "width": 110 * CM,
    "grams": Decimal("310"),
    "thickness": 1_200_000,
    "light": Decimal("0"),
    "one_way": True,
    "raised": True,
    "iron": "two dots, 150 °C, steam from the back only",
    "place": "Rail by the window, hung, not folded",
}


@dataclass(frozen=True, slots=True)
class Cloth:
    voile: Fabric
    challis: Fabric
    lawn: Fabric
    velvet: Fabric
    lengths: dict[str, ClothLength]


def add_cloth(people: People, days: Days) -> Cloth:
    voile, challis, lawn, velvet = (add_fabric(values=values) for values in (VOILE, CHALLIS, LAWN, VELVET))
    lengths = {
        "V1": _length(voile, "V1", "2231", people, days, received=4 * M + 20 * CM, washed=True),
        "V2": _length(voile, "V2", "2231", people, days, received=3 * M),
        "V3": _length(voile, "V3", "2198", people, days, received=1 * M + 80 * CM),
        "W1": _length(challis, "W1", "G 7", people, days, received=1 * M + 80 * CM),
        "L1": _length(lawn, "L1", "C 3", people, days, received=2 * M),
        "P1": _length(velvet, "P1", "71", people, days, received=1 * M + 50 * CM),
    }
    _use_some(lengths, people, days)
    return Cloth(voile, challis, lawn, velvet, lengths)


def _length(
    fabric: Fabric, label: str, lot: str, people: People, days: Days, *, received: int, washed: bool = False
) -> ClothLength:
    values = {"label": label, "dye_lot": lot, "washed": washed, "place": fabric.place}
    length = add_length(fabric=fabric, values=values, received=None, person=people.owner)
    stock.receive(
        row=length, amount=received, person=people.owner, at=days.at(18, 10), note="from the parcel"
    )
    return length


def _use_some(lengths: dict[str, ClothLength], people: People, days: Days) -> None:
    """The samples were cut from the odd lengths, and two lengths were measured again on the shelf."""
    stock.cut(row=lengths["V3"], amount=90 * CM, person=people.cutter, at=days.at(14, 10), note="two samples")
    stock.cut(
        row=lengths["W1"], amount=40 * CM, person=people.cutter, at=days.at(6, 15), note="sample, pleats"
    )
    stock.cut(
        row=lengths["P1"], amount=30 * CM, person=people.sewer, at=days.at(4, 10), note="sample, squares"
    )
    stock.count(
        row=lengths["V2"],
        total=2 * M + 96 * CM,
        person=people.owner,
        at=days.at(9, 17),
        note="measured again",
    )
    stock.waste(
        row=lengths["L1"], amount=15 * CM, person=people.owner, at=days.at(9, 17), note="a fault in the weave"
    )
