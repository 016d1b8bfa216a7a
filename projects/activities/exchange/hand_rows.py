"""How far tucks stray in each hand, in a project's file: by person (a name), technique and cloth.

A project's margins rest on what check measures showed of all people when its first run was begun. The file
says it of the techniques that its pieces use, summed, each person on each cloth; cloth that it does not hold
stays unnamed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from projects.calc.hand import Strayed, pooled_spread
from projects.calc.recipe_names import technique_name
from projects.models import Person
from projects.planning.hands import HandSpread, Spreads

from . import values
from .errors import refuse
from .rows import File, Row

KEYS = ("worker", "technique", "fabric", "elsewhere", "counts", "tucks", "squares_nm2")
MOST_COUNTS, MOST_TUCKS, MOST_SQUARES = 100_000, 10_000_000, 1e30


def techniques_of(contents: Iterable[Mapping[str, Any]]) -> list[str]:
    """The techniques by direction of recipes, each once."""
    sides = (content.get(name) for content in contents for name in ("across", "along"))
    return list(dict.fromkeys(side["technique"] for side in sides if side))


def written_hands(
    known: Spreads, techniques: Iterable[str], fabrics: Mapping[int, str]
) -> Iterator[dict[str, Any]]:
    """Rows in the order in which they are reckoned with. Two queries at most."""
    hands = [hand for technique in techniques for hand in known.hands.get(technique, ())]
    people = Person.objects.in_bulk({hand.person for hand in hands if isinstance(hand.person, int)})
    for hand in hands:
        fabric = None if hand.fabric is None else fabrics.get(hand.fabric)
        yield {
            "worker": str(people.get(hand.person, hand.person))[:120],
            "technique": hand.technique,
            "fabric": fabric,
            "elsewhere": hand.elsewhere or (hand.fabric is not None and fabric is None),
            "counts": hand.strayed.counts,
            "tucks": hand.strayed.tucks,
            "squares_nm2": repr(hand.strayed.squares),
        }


def read_hand(place: str, given: Any, fabrics: values.Ids) -> Row:
    """Raises Unreadable."""
    values.an_object(place, given, KEYS)
    row = Row(place)
    row.links["fabric"] = fabrics.find_or_none(f"{place}.fabric", given["fabric"])
    row.values = {
        "worker": values.text(f"{place}.worker", given["worker"], 120, needed=True),
        "technique": values.text(f"{place}.technique", given["technique"], 20, needed=True),
        "elsewhere": values.flag(f"{place}.elsewhere", given["elsewhere"]),
        "counts": values.whole(f"{place}.counts", given["counts"], 1, MOST_COUNTS),
        "tucks": values.whole(f"{place}.tucks", given["tucks"], 1, MOST_TUCKS),
        "squares": values.number(f"{place}.squares_nm2", given["squares_nm2"], MOST_SQUARES),
    }
    if row.values["elsewhere"] and row.links["fabric"]:
        refuse(f"{place}.elsewhere", "Cloth of this file", "false beside the id of a fabric", "Take one out.")
    return row


def hands_kept(rows: Iterable[Row]) -> list[dict[str, Any]]:
    """What a project keeps of them, once fabrics are saved."""
    return [{**row.values, "fabric": _key(row.link("fabric"))} for row in rows]


def _key(fabric: Any) -> int | None:
    return fabric.pk if fabric else None


def spreads_in(file: File) -> Spreads:
    """What a file says, before its fabrics are saved: they go by their place in it."""
    fabrics = {id(row): number for number, row in enumerate(file.rows["fabrics"])}
    return Spreads(came=tuple(_hand(row, fabrics) for row in file.rows["hands"]))


def _hand(row: Row, fabrics: Mapping[int, int]) -> HandSpread:
    fabric = row.links["fabric"]
    strayed = Strayed(row.values["counts"], row.values["tucks"], row.values["squares"])
    there = fabrics[id(fabric)] if fabric else None
    return HandSpread(row.values["technique"], there, row.values["worker"], strayed, row.values["elsewhere"])


class HandShown(NamedTuple):
    """One hand of a file, for a page: ``spread`` in nm, ``cloth`` empty where it is not said."""

    person: str
    technique: str
    cloth: str
    tucks: int
    spread: int


def hands_shown(file: File) -> list[HandShown]:
    """In the order of names; on cloth that is not in the file, each person's together."""
    start, groups = file.settings["depth_spread"], dict[tuple[str, str, str], list[Strayed]]()
    for row, hand in zip(file.rows["hands"], spreads_in(file).came, strict=True):
        cloth = row.links["fabric"].values["name"] if row.links["fabric"] else ""
        cloth = "other cloth" if hand.elsewhere else cloth
        groups.setdefault((str(hand.person), technique_name(hand.technique), cloth), []).append(hand.strayed)
    return sorted(
        HandShown(*key, sum(hand.tucks for hand in known), pooled_spread(known, start))
        for key, known in groups.items()
    )
