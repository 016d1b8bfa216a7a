"""How a texture by ratio is worked, step by step, in the words of its drawing: for page and print."""

from __future__ import annotations

from collections.abc import Callable

from projects.calc.lengths import System, about
from projects.calc.ratio import ByRatio


def how(content: ByRatio, system: System) -> list[str]:
    """What to do, in working order."""
    return _TOLD[content.technique](content, about(content.spacing, system), about(content.row, system))


def _gathers(content: ByRatio, apart: str, row: str) -> list[str]:
    rows = f"{content.rows} rows" if content.rows > 1 else "1 row"
    where = ", the seam line in their middle" if content.rows > 1 else " beside the seam line"
    return [
        f"Sew {rows} of long stitches{where}, and leave long ends.",
        "Draw up all threads together at the arrows until the edge has its finished length; fasten them.",
        "Spread the folds evenly before the seam is sewn.",
    ]


def _shirring(content: ByRatio, apart: str, row: str) -> list[str]:
    return [
        f"Sew rows of elastic from edge to edge, {row} apart, the cloth held flat behind the needle.",
        "Let them draw up, steam without touching the cloth, and measure.",
    ]


def _dots(apart: str, row: str, side: str = "wrong") -> str:
    return f"Mark the dots on the {side} side, {apart} apart in rows {row} apart."


def _english(content: ByRatio, apart: str, row: str) -> list[str]:
    return [
        _dots(apart, row),
        "From the right, on a thread of its own for each row, pick up a little cloth at every dot.",
        "Draw all rows up together to the finished width and fasten the threads in pairs.",
        "Stitch over the tubes from the right side; draw the threads out last.",
    ]


def _honeycomb(content: ByRatio, apart: str, row: str) -> list[str]:
    return [
        _dots(apart, row, "right"),
        "Take two rows at a time, from the left: draw two dots of the upper row together, two stitches.",
        "Carry the thread down (broken line) without pulling, draw the next two of the lower row together, "
        "and go up again, as numbered.",
    ]


def _lattice(content: ByRatio, apart: str, row: str) -> list[str]:
    return [
        f"Draw squares of {apart} on the wrong side.",
        "Draw corners 1 and 2 together tight, and knot.",
        "Go straight across to 3 with the thread left flat (broken line) and knot there, so that it can’t "
        "draw up. Draw 3 and 4 together, and so on down each two columns.",
        "Whole diagonals lean left, double ones lean right.",
    ]


def _quilting(content: ByRatio, apart: str, row: str) -> list[str]:
    lies = "at 45 degrees to the grain" if content.slant else "with the grain"
    told = [
        "Baste the layers together from the middle outwards.",
        f"Sew the first set (whole lines) {lies}, {apart} apart, the middle one first, all the same way.",
    ]
    return (
        [*told, f"Then the second set (broken lines), {row} apart, across the first."]
        if content.row
        else told
    )


def _trapunto(content: ByRatio, apart: str, row: str) -> list[str]:
    return [
        f"Sew the lines through cloth and backing, {apart} apart.",
        "Fill every other channel from behind, a little at a time, and close the backing.",
    ]


_TOLD: dict[str, Callable[[ByRatio, str, str], list[str]]] = {
    "gathers": _gathers,
    "shirring": _shirring,
    "english": _english,
    "honeycomb": _honeycomb,
    "lattice": _lattice,
    "quilting": _quilting,
    "trapunto": _trapunto,
}
