"""Which cloth the panels still to cut are taken from: on hand, or to be bought."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from .lay_request import Table
from .lays import LaidOut, LaidPart
from .load import Stock
from .on_hand import Band, serve


@dataclass(frozen=True, slots=True)
class Taken:
    """What is cut for the panels (nm of worked cloth): all of it, and what of it is to be bought. ``extras``
    are the indices of samples and swatches that cloth on hand serves; ``uses`` the lengths on hand to cut
    panels and extras from, as (label, nm of worked cloth); ``mixed``: some panels come from cloth on hand,
    others from cloth to buy. ``washed`` is what lengths give that are washed
    already, which shrinks no more."""

    worked: int
    left: int
    extras: frozenset[int]
    uses: tuple[tuple[str, int], ...] = ()
    lot: str = ""
    mixed: bool = False
    washed: int = 0


def take(laid: LaidOut, extras: Sequence[Band], table: Table) -> Taken:
    """A settled lay takes what it says; else whatever lies on the shelf serves as far as it goes."""
    return _as_laid(laid, extras, table) if laid.settled else _served(laid, extras, table)


def _served(laid: LaidOut, extras: Sequence[Band], table: Table) -> Taken:
    bands, count = laid.bands, len(laid.bands)
    served = serve([*(Band(*band) for band in bands), *extras], table.stock, table.fabric, table.washing)
    on_hand = [i for i in served.bands if i < count]
    return Taken(
        worked=sum(length for length, _ in bands),
        left=sum(length for i, (length, _) in enumerate(bands) if i not in on_hand),
        extras=frozenset(i - count for i in served.bands if i >= count),
        uses=served.uses,
        lot=served.lot,
        mixed=0 < len(on_hand) < count,
        washed=sum(bands[i][0] for i in on_hand if i in served.washed),
    )


def _as_laid(laid: LaidOut, extras: Sequence[Band], table: Table) -> Taken:
    """Where less of a length is there than the lay takes of it, what is missing is bought."""
    takes = [(part, sum(length for length, _ in part.bands)) for part in laid.parts]
    on_hand = [(part, min(worked, part.free)) for part, worked in takes if part.row is not None]
    worked = sum(amount for _, amount in takes)
    left = worked - sum(amount for _, amount in on_hand)
    beside = serve(extras, _rest(on_hand, table), table.fabric, table.washing)
    uses: dict[str, int] = {}
    for label, amount in (*((part.on.label, amount) for part, amount in on_hand), *beside.uses):
        uses[label] = uses.get(label, 0) + amount
    lots = list(dict.fromkeys(p.row.dye_lot for p, amount in on_hand if p.row is not None and amount))
    return Taken(
        worked=worked,
        left=left,
        extras=frozenset(beside.bands),
        uses=tuple((label, amount) for label, amount in uses.items() if amount),
        lot=(lots or [beside.lot])[0],
        mixed=0 < left < worked,
        washed=sum(amount for part, amount in on_hand if part.row is not None and part.row.washed),
    )


def _rest(on_hand: Sequence[tuple[LaidPart, int]], table: Table) -> list[Stock]:
    """The shelf without what the lay takes."""
    taken = {part.row.pk: amount for part, amount in on_hand if part.row is not None}
    rest = [(row, _as_bought(row, taken.get(row.length.pk, 0), table)) for row in table.stock]
    return [replace(row, free=row.free - amount) for row, amount in rest if row.free > amount]


def _as_bought(row: Stock, worked: int, table: Table) -> int:
    return worked if row.length.washed else min(row.free, table.washing.to_buy(worked))
