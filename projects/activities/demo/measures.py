"""Lengths and amounts as the demo writes them, in whole nanometres and thousandths."""

MM = 1_000_000
CM = 10 * MM
M = 1_000 * MM
IN = 25_400_000


def each(count: float) -> int:
    """So many of a notion, in thousandths of its unit."""
    return round(count * 1000)
