"""What of the work the cloth on hand can serve: whole stretches of the lay, on lengths of one dye lot."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from projects.models import Fabric

from .cloth import Washing
from .load import Stock


@dataclass(frozen=True, slots=True)
class Served:
    """What is cut from lengths on hand. ``bands`` are indices; ``uses`` are (label, nm of worked cloth)."""

    lot: str
    bands: tuple[int, ...]
    uses: tuple[tuple[str, int], ...]
    worked: int


NOTHING = Served("", (), (), 0)


def serve(
    bands: Sequence[tuple[int, int]], stock: Iterable[Stock], fabric: Fabric, washing: Washing
) -> Served:
    """The dye lot that serves most of ``bands`` ((length, width) of worked cloth, nm); none if none fits.

    A stretch needs one continuous length, wide enough. Of equal lots the first by name is taken.
    """
    lots: dict[str, list[Stock]] = {}
    for piece in stock:
        if washing.serves(piece.length):
            lots.setdefault(piece.length.dye_lot, []).append(piece)
    found = [_serve_lot(lot, bands, lots[lot], fabric, washing) for lot in sorted(lots)]
    return max(found, key=lambda served: served.worked, default=NOTHING)


def _serve_lot(
    lot: str, bands: Sequence[tuple[int, int]], stock: list[Stock], fabric: Fabric, washing: Washing
) -> Served:
    """The smallest lengths first, on each the longest stretches that still fit."""
    left = sorted(range(len(bands)), key=lambda i: (-bands[i][0], i))
    taken: list[int] = []
    uses: list[tuple[str, int]] = []
    for piece in sorted(stock, key=lambda s: washing.length_of(s.length, s.free)):
        here = _fill(piece, [i for i in left if i not in taken], bands, fabric, washing)
        if here:
            taken += here
            uses.append((piece.length.label, sum(bands[i][0] for i in here)))
    return Served(lot, tuple(sorted(taken)), tuple(uses), sum(bands[i][0] for i in taken))


def _fill(
    piece: Stock, left: list[int], bands: Sequence[tuple[int, int]], fabric: Fabric, washing: Washing
) -> list[int]:
    room = washing.length_of(piece.length, piece.free)
    width = washing.width_of(piece.length, fabric)
    here: list[int] = []
    for i in left:
        length, wide = bands[i]
        if wide <= width and length <= room:
            here.append(i)
            room -= length
    return here
