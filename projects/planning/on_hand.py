"""What of the work the cloth on hand can serve: whole stretches of the lay, on lengths of one dye lot."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from projects.models import ClothLength, Fabric

from .cloth import Washing
from .load import Stock


class Band(NamedTuple):
    """A stretch of cloth to cut (nm): of worked cloth, or of cloth as bought (a sample, a swatch to wash).
    ``unwashed``: only cloth that is not washed yet will do, as for a swatch to learn what the wash takes."""

    length: int
    width: int
    bought: bool = False
    unwashed: bool = False


@dataclass(frozen=True, slots=True)
class Served:
    """What is cut from lengths on hand. ``bands`` are indices; ``uses`` are (label, nm of worked cloth);
    ``washed`` those of the bands that lie on lengths washed already."""

    lot: str
    bands: tuple[int, ...]
    uses: tuple[tuple[str, int], ...]
    worked: int
    washed: frozenset[int] = frozenset()


NOTHING = Served("", (), (), 0)


def serve(bands: Sequence[Band], stock: Iterable[Stock], fabric: Fabric, washing: Washing) -> Served:
    """The dye lot that serves most of ``bands``; none if none fits.

    A stretch needs one continuous length, wide enough. Of equal lots the first by name is taken.
    """
    lots: dict[str, list[Stock]] = {}
    for piece in stock:
        if washing.serves(piece.length):
            lots.setdefault(piece.length.dye_lot, []).append(piece)
    found = [_serve_lot(lot, bands, lots[lot], fabric, washing) for lot in sorted(lots)]
    return max(found, key=lambda served: served.worked, default=NOTHING)


def _serve_lot(
    lot: str, bands: Sequence[Band], stock: list[Stock], fabric: Fabric, washing: Washing
) -> Served:
    """The smallest lengths first, on each the longest stretches that still fit."""
    left = sorted(range(len(bands)), key=lambda i: (-bands[i].length, i))
    taken: list[int] = []
    uses: list[tuple[str, int]] = []
    washed: set[int] = set()
    for piece in sorted(stock, key=lambda s: washing.length_of(s.length, s.free)):
        here = _fill(piece, [i for i in left if i not in taken], bands, fabric, washing)
        if here:
            taken += here
            worked = sum(_on(piece.length, bands[i], fabric, washing)[0] for i in here)
            uses.append((piece.length.label, worked))
            washed |= set(here if piece.length.washed else ())
    worked = sum(bands[i].length for i in taken)
    return Served(lot, tuple(sorted(taken)), tuple(uses), worked, frozenset(washed))


def _fill(
    piece: Stock, left: list[int], bands: Sequence[Band], fabric: Fabric, washing: Washing
) -> list[int]:
    room = washing.length_of(piece.length, piece.free)
    here: list[int] = []
    for i in left:
        length, fits = _on(piece.length, bands[i], fabric, washing)
        if fits and length <= room:
            here.append(i)
            room -= length
    return here


def _on(row: ClothLength, band: Band, fabric: Fabric, washing: Washing) -> tuple[int, bool]:
    """What a band takes of a length's worked cloth (nm), and whether the length serves: is wide enough, and
    not washed where that is asked.

    Like is compared with like: what is cut as bought with the width as bought, where that is still there.
    """
    if not band.bought:
        return band.length, band.width <= washing.width_of(row, fabric)
    if row.washed:
        wide = min(band.width, washing.worked_width(fabric.width))
        return band.length, not band.unwashed and wide <= washing.width_of(row, fabric)
    return washing.length_of(row, band.length), band.width <= (row.width or fabric.width)
