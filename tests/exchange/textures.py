"""What is worked into the cloth of seeded studios, and how edges are finished: every technique."""

from decimal import Decimal
from random import Random
from typing import Any

from projects.calc.folds import Tuck
from projects.calc.ratio import NEEDED, STARTING_RATIOS, ByRatio
from projects.calc.recipe import Direction, assign_marks
from projects.calc.recipe import Recipe as Content
from projects.models import Edge, RecipeVersion

TUCKED = ("tucks", "knife", "box", "corded")
WAYS = ("", "", "by gauge")
FINISHES = tuple(key for key, _ in Edge.FINISHES)


def between(random: Random, least: int, most: int) -> int:
    """A length between so many millimetres, not in whole ones."""
    return random.randint(least * 1000, most * 1000) * 1000


def tucked(random: Random, technique: str) -> Content:
    """Tucks or pleats across, along or both ways."""
    across, along = _direction(random, technique), _direction(random, technique)
    kind = random.randint(0, 2)
    return assign_marks(Content(across if kind != 1 else None, along if kind != 0 else None))


def _direction(random: Random, technique: str) -> Direction:
    if technique in ("knife", "box"):
        width = between(random, 20, 40)
        return Direction(technique=technique, width=width, depth=width // 4, way=random.choice(WAYS))
    corded = technique == "corded"
    rows = tuple(
        Tuck(space=between(random, 14, 30), depth=0 if corded else between(random, 3, 6))
        for _ in range(random.randint(1, 3))
    )
    return Direction(
        technique=technique, tucks=rows, cord=between(random, 1, 2) if corded else 0, way=random.choice(WAYS)
    )


def by_ratio(random: Random, technique: str) -> Content:
    """A recipe of ``technique``, near its starting ratios; half of lattices set by a diagonal."""
    across, along = (max(Decimal(1), ratio + _off(random)) for ratio in STARTING_RATIOS[technique])
    values: dict[str, Any] = {"across": across, "along": along, "by_hand": random.random() < 0.3}
    for name in NEEDED[technique]:
        values[name] = random.randint(1, 3) if name == "rows" else between(random, 12, 30)
    if technique == "lattice" and random.random() < 0.5:
        values["diagonal"] = values["spacing"] * 7 // 5
    if technique == "quilting":
        values |= {"row": random.choice([0, between(random, 20, 40)]), "slant": random.random() < 0.5}
    return Content(ratio=ByRatio(technique, way=random.choice(WAYS), **values))


def _off(random: Random) -> Decimal:
    return Decimal(random.randint(-1500, 1500)) / 10_000


def measured(random: Random, version: RecipeVersion) -> dict[str, Any]:
    """The extents of a sample of ``version``, which came out a little tighter than planned."""
    content, values = Content.from_json(version.content), {}
    for name in ("across", "along"):
        if content.ratio is not None:
            if content.ratio.draws(name):
                flat = between(random, 200, 400)
                drawn = Decimal(flat) / Decimal(float(content.ratio.ratio_of(name)))
                values |= {f"{name}_flat": flat, f"{name}_finished": int(drawn) - between(random, 0, 3)}
                values[f"{name}_tucks"] = random.randint(0, 20)
            continue
        direction = getattr(content, name)
        if direction is not None and direction.tucks and not direction.cord:
            depths = sum(tuck.depth for tuck in direction.tucks) * 4
            flat = depths * 5
            values |= {
                f"{name}_flat": flat, f"{name}_finished": flat - 2 * depths - between(random, 0, 3),
                f"{name}_tucks": 4 * len(direction.tucks), f"{name}_depths": 2 * depths,
            }  # fmt: skip
    return values


def edge(random: Random, finish: str) -> dict[str, Any]:
    """An edge finished so, with every choice it leaves."""
    return {
        "name": random.choice(["Neck", "Hem", "Front edge"]), "finish": finish,
        "length": between(random, 200, 700), "width": between(random, 6, 20),
        "allowance": between(random, 5, 15), "both_sides": random.random() < 0.5,
        "closed": random.random() < 0.4, "on_the_bias": random.random() < 0.7,
        "by_hand": random.random() < 0.3, "reduction": Decimal(random.choice(["0", "0.1", "0.055"])),
    }  # fmt: skip
