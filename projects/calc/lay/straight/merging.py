"""Panels joined in pairs into blocks with little waste, so that larger blocks fill the rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from projects.calc.lay.request import Item, LayPanel
from projects.calc.lay.skyline import Spot


@dataclass(frozen=True, slots=True)
class Block:
    """Panels that lie together within `width` by `length` (gap in both), from its own corner."""

    width: int
    length: int
    area: int
    spots: tuple[Spot, ...]


Pairing = tuple[float, int, Block]  # waste over area, which partner, the two joined


def merged(items: Sequence[Item], room: int, most_waste: float) -> list[Block]:
    """Join the pair that wastes least of its own area, again and again, up to `most_waste` of it."""
    blocks = [_block(item) for item in items]
    partners = [_partner(at, blocks, room, at) for at in range(len(blocks))]
    while True:
        known = [(pair[0], at) for at, pair in enumerate(partners) if pair is not None]
        if not known or min(known)[0] > most_waste:
            return blocks
        at = min(known)[1]
        pair = partners[at]
        assert pair is not None
        gone = {at, pair[1]}
        kept = [i for i in range(len(blocks)) if i not in gone]
        new_at = {old: new for new, old in enumerate(kept)}
        blocks = [blocks[i] for i in kept] + [pair[2]]
        old = [partners[i] for i in kept]
        partners = [
            _partner(i, blocks, room, i) if p is None or p[1] in gone else (p[0], new_at[p[1]], p[2])
            for i, p in enumerate(old)
        ]
        partners.append(_partner(len(blocks) - 1, blocks, room, len(blocks) - 1))


def as_items(blocks: Sequence[Block]) -> list[Item]:
    """Blocks as items of one way; the number of a block is its copy."""
    return [
        Item(LayPanel("", block.width, block.length), at, ((block.width, block.length),))
        for at, block in enumerate(blocks)
    ]


def unpacked(spots: Sequence[Spot], blocks: Sequence[Block]) -> list[Spot]:
    """Where the panels lie once the blocks do."""
    return [
        Spot(inner.item, outer.x + inner.x, outer.y + inner.y, inner.width, inner.length)
        for outer in spots
        for inner in blocks[outer.item.copy].spots
    ]


def _block(item: Item) -> Block:
    """An item as a block, lying as it takes the least length."""
    wide, long = min(item.ways, key=lambda way: (way[1], way[0]))
    return Block(wide, long, wide * long, (Spot(item, 0, 0, wide, long),))


def _partner(at: int, blocks: Sequence[Block], room: int, before: int) -> Pairing | None:
    """The block before this one that joins it with the least waste."""
    best: tuple[float, int, bool] | None = None
    one = blocks[at]
    for other_at in range(before):
        other = blocks[other_at]
        area = one.area + other.area
        wide = one.width + other.width
        if wide <= room:
            share = wide * max(one.length, other.length) / area
            if best is None or share < best[0]:
                best = share, other_at, True
        share = max(one.width, other.width) * (one.length + other.length) / area
        if best is None or share < best[0]:
            best = share, other_at, False
    if best is None:
        return None
    return best[0] - 1, best[1], _joined(one, blocks[best[1]], best[2])


def _joined(one: Block, other: Block, beside: bool) -> Block:
    dx, dy = (one.width, 0) if beside else (0, one.length)
    moved = tuple(Spot(s.item, s.x + dx, s.y + dy, s.width, s.length) for s in other.spots)
    spots, area = one.spots + moved, one.area + other.area
    if beside:
        return Block(one.width + other.width, max(one.length, other.length), area, spots)
    return Block(max(one.width, other.width), one.length + other.length, area, spots)
