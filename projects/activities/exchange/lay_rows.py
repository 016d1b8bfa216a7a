"""Accepted lays and flaws of lengths in a file: written, read, brought in.

A lay travels with the lengths it takes from and the cuts made. One of several projects travels with the
panels of its own project alone; its cuts, numbered for all of them, stay behind.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from projects.calc.lay.sent import waste_of
from projects.models import (
    ClothFlaw,
    ClothLength,
    KeptLay,
    LayCut,
    LayLength,
    Person,
    Project,
    StockEntry,
)
from projects.planning.lay_json import Kept, inputs_json, lay_to_json, read_kept
from projects.planning.lay_request import joint_name, own_panels
from projects.planning.lay_units import said_in_inches

from . import nouns, values
from .errors import refuse, wrong
from .kept_values import check_lay
from .nouns import read_row
from .rows import Row

MOST_CUTS, MOST_PLACES, MOST_REMNANTS = 5_000, 200, 500
LENGTH_KEYS = ("place", "length", "used_nm")
CUT_KEYS = ("number", "cut_at", "length", "took_nm", "remnants")


Names = Mapping[int | None, str]


def written_lay(lay: KeptLay, fabrics: Names, lengths: Names) -> dict[str, Any]:
    """A lay by the ids of fabrics and lengths in the file."""
    kept = read_kept(lay.inputs, lay.result)
    joint = bool(kept.projects)
    own = own_part(kept, lay.project.number) if joint else kept
    return {
        "fabric": fabrics[lay.fabric_id],
        "length": lengths.get(lay.cloth_id),
        "width_nm": lay.width,
        "length_nm": lay.length,
        "inputs": inputs_json(own.request, (), own.own_width),
        "result": lay_to_json(own.lay),
        "kept_at": values.say_moment(lay.kept_at),
        "in_inches": lay.in_inches,
        "lengths": [
            {"place": row.place, "length": lengths[row.cloth_id], "used_nm": row.used}
            for row in lay.lengths.all()
        ],
        "cuts": [] if joint else [_written_cut(cut, lengths) for cut in lay.cuts.all()],
    }


def _written_cut(cut: LayCut, lengths: Names) -> dict[str, Any]:
    entry = cut.entry
    remnants = (lengths.get(row.pk) for row in cut.remnants.all())
    return {
        "number": cut.number,
        "cut_at": values.say_moment(cut.cut_at),
        "length": lengths.get(entry.cloth_id) if entry else None,
        "took_nm": -entry.amount if entry else None,
        "remnants": [ident for ident in remnants if ident],
    }


def own_part(kept: Kept, number: int) -> Kept:
    """A lay of several projects with the panels of one alone, where they lie; nothing is proven of it."""
    start = joint_name(number, "")
    panels = tuple(own_panels(kept.request.panels, number, True).values())
    pins = tuple(replace(p, name=p.name[len(start) :]) for p in kept.request.pins if p.name.startswith(start))
    request = replace(kept.request, panels=panels, pins=pins)
    placed = (p for p in kept.lay.placements if p.name.startswith(start))
    placements = tuple(replace(p, name=p.name[len(start) :]) for p in placed)
    waste = waste_of(request, kept.lay.length, kept.lay.used, placements)
    lay = replace(kept.lay, placements=placements, lower_bound=0, shortest=False, waste_share=waste)
    return Kept(request, lay, (), kept.own_width)


def written_flaws(length: ClothLength) -> list[dict[str, Any]]:
    return [nouns.FLAW.write(flaw) for flaw in length.flaws.all()]


def read_flaw(place: str, given: Any) -> Row:
    return Row(place, read_row(nouns.FLAW, place, given))


def read_lay(place: str, given: Any, fabrics: values.Ids, lengths: values.Ids) -> Row:
    """Raises Unreadable."""
    names = ("fabric", "length", "width_nm", "length_nm", "inputs", "result", "kept_at", "lengths", "cuts")
    values.an_object(place, given, (*names, "in_inches"), may=("in_inches",))
    row = Row(place)
    row.links["fabric"] = fabrics.find(f"{place}.fabric", given["fabric"])
    row.links["cloth"] = lengths.find_or_none(f"{place}.length", given["length"])
    row.values["width"] = values.whole(f"{place}.width_nm", given["width_nm"], 0, nouns.MOST_LENGTH)
    row.values["length"] = values.whole(f"{place}.length_nm", given["length_nm"], 0, nouns.MOST_LENGTH)
    for name in ("inputs", "result"):
        if not isinstance(given[name], dict):
            wrong(f"{place}.{name}", given[name], "an object")
    check_lay(place, given["inputs"], given["result"])
    row.values |= {"inputs": given["inputs"], "result": given["result"]}
    row.content = values.moment(f"{place}.kept_at", given["kept_at"])
    ruled = given["in_inches"] if "in_inches" in given else said_in_inches(given["inputs"])
    row.values["in_inches"] = values.or_none(values.flag)(f"{place}.in_inches", ruled)
    _read_parts(row, given, lengths)
    return row


def _read_parts(row: Row, given: dict[str, Any], lengths: values.Ids) -> None:
    for name, most, read in (("lengths", MOST_PLACES, _read_place), ("cuts", MOST_CUTS, _read_cut)):
        place = f"{row.place}.{name}"
        found = values.a_list(place, given[name], most)
        row.parts[name] = [read(f"{place}[{n}]", one, lengths) for n, one in enumerate(found)]
    _once(f"{row.place}.lengths", [part.values["place"] for part in row.parts["lengths"]])
    _once(f"{row.place}.lengths", [id(part.links["cloth"]) for part in row.parts["lengths"]])
    _once(f"{row.place}.cuts", [part.values["number"] for part in row.parts["cuts"]])


def _once(place: str, found: list[Any]) -> None:
    if len(set(found)) < len(found):
        refuse(place, "The same twice", "each once", "Take one of them out.")


def _read_place(place: str, given: Any, lengths: values.Ids) -> Row:
    values.an_object(place, given, LENGTH_KEYS)
    row = Row(place)
    row.values["place"] = values.whole(f"{place}.place", given["place"], 1, MOST_PLACES)
    row.values["used"] = values.whole(f"{place}.used_nm", given["used_nm"], 0, nouns.MOST_LENGTH)
    row.links["cloth"] = lengths.find(f"{place}.length", given["length"])
    return row


def _read_cut(place: str, given: Any, lengths: values.Ids) -> Row:
    values.an_object(place, given, CUT_KEYS)
    row = Row(place)
    row.values["number"] = values.whole(f"{place}.number", given["number"], 1, MOST_CUTS)
    row.values["cut_at"] = values.moment(f"{place}.cut_at", given["cut_at"])
    row.links["cloth"] = lengths.find_or_none(f"{place}.length", given["length"])
    took = given["took_nm"]
    row.content = None if took is None else values.whole(f"{place}.took_nm", took, 0, nouns.MOST_LENGTH)
    remnants = values.a_list(f"{place}.remnants", given["remnants"], MOST_REMNANTS)
    found = [lengths.find(f"{place}.remnants[{n}]", one) for n, one in enumerate(remnants)]
    row.links |= {f"remnant {n}": one for n, one in enumerate(found)}
    return row


def bring_lay(row: Row, project: Project, person: Person | None) -> None:
    """Save a lay of the file; its fabric, lengths and their ledgers are in the studio already."""
    links = {name: row.link(name) for name in ("fabric", "cloth")}
    lay = KeptLay.objects.create(project=project, kept_by=person, **links, **row.values)
    KeptLay.objects.filter(pk=lay.pk).update(kept_at=row.content)
    LayLength.objects.bulk_create(
        LayLength(lay=lay, cloth=part.link("cloth"), **part.values) for part in row.parts["lengths"]
    )
    taken: set[int] = set()
    for part in row.parts["cuts"]:
        entry = _line_of(part, project, taken)
        cut = LayCut.objects.create(lay=lay, cut_by=person, entry=entry, **part.values)
        cut.remnants.set(part.link(name) for name in part.links if name.startswith("remnant "))
        taken |= {entry.pk} if entry else set()


def _line_of(part: Row, project: Project, taken: set[int]) -> StockEntry | None:
    """The line of the ledger that a cut wrote: it came with its length."""
    cloth = part.link("cloth")
    if cloth is None or part.content is None:
        return None
    lines = StockEntry.objects.filter(cloth=cloth, project=project, kind="cut", amount=-part.content)
    lines = lines.exclude(pk__in=taken).order_by("pk")
    return next((x for x in lines if x.at == part.values["cut_at"]), None)


def bring_flaws(row: Row, length: ClothLength) -> None:
    ClothFlaw.objects.bulk_create(ClothFlaw(cloth=length, **flaw.values) for flaw in row.parts["flaws"])


def same_flaws(here: ClothLength, row: Row) -> bool:
    """Whether a length here has the flaws that the file says."""
    theirs = [nouns.FLAW.write(ClothFlaw(**flaw.values)) for flaw in row.parts["flaws"]]
    return sorted(map(str, written_flaws(here))) == sorted(map(str, theirs))
