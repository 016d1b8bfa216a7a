"""Lays against a general packing library, and how long a first lay takes.

    python -m tests.bench.lay_bench [seconds per lay]

For each seeded case the library's packers try, with every sorting, to put all panels on a shorter length than
the planner's: they must not. Printed: ratios to the length the strip was cut from, and times.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Iterator

import rectpack

from projects.calc.lay import Lay, LayRequest, plan_lay
from projects.calc.lay.budget import Budget
from projects.calc.lay.improve import improve
from tests import lay_cases
from tests.lay_checker import faults

FIRST_LAY_S = 0.2
PACKERS = [
    getattr(rectpack, name)
    for name in sorted(dir(rectpack))
    if name.startswith(("MaxRects", "Skyline", "Guillotine"))
    and name not in ("MaxRects", "Skyline", "Guillotine")
]
SORTS = [getattr(rectpack, name) for name in sorted(dir(rectpack)) if name.startswith("SORT_")]
SHORTER = (1.0, 0.995, 0.99, 0.98, 0.97, 0.95)  # a packer may do on one length what it misses on another


def cases() -> Iterator[tuple[str, LayRequest, int | None]]:
    """Name, request, and the length of the strip it was cut from."""
    for seed, count in enumerate((8, 14, 20, 28, 40)):
        yield f"cut up, {count}", *lay_cases.cut_up(seed, count)
        yield f"shaved, {count}", *lay_cases.shaved(seed, count)
    for seed, sets in enumerate((1, 2, 3)):
        yield f"garment, {sets}", lay_cases.garment(seed, sets), None


def shorter_by_library(request: LayRequest, lay: Lay) -> str | None:
    """Which packer lays all on a shorter length, or None."""
    for share in SHORTER:
        length = int(lay.length * share) - 1
        if length < lay.lower_bound:
            return None
        for packer in PACKERS:
            for sort in SORTS:
                if _packs(request, length, packer, sort):
                    return f"{packer.__name__} {sort.__name__} on {length / lay.length:.4f} of it"
    return None


def _packs(request: LayRequest, length: int, packer: object, sort: object) -> bool:
    # Turned cases are packed as they stand: the library turns all or none.
    packing = rectpack.newPacker(
        rectpack.PackingMode.Offline, pack_algo=packer, sort_algo=sort, rotation=False
    )
    packing.add_bin(request.width + request.gap, length + request.gap)
    total = 0
    for panel in request.panels:
        for _ in range(panel.count):
            packing.add_rect(panel.width + request.gap, panel.length + request.gap)
            total += 1
    packing.pack()
    return sum(len(found) for found in packing) == total


def _budget(seconds: float) -> Budget:
    start = time.perf_counter()
    return Budget(lambda: time.perf_counter() - start, seconds)


def main() -> int:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 5.0
    ratios, good = [], True
    for name, request, strip in cases():
        start = time.perf_counter()
        first = plan_lay(request)
        quick = time.perf_counter() - start
        best = improve(request, first, _budget(seconds), lambda _: None)
        wrong = faults(request, best)
        beaten = shorter_by_library(request, best)
        ratio = best.length / strip if strip else None
        if ratio:
            ratios.append(ratio)
        good = good and not wrong and beaten is None and quick <= FIRST_LAY_S
        said = f"{ratio:.4f} of its strip, " if ratio else ""
        most = f"at most {best.length / best.lower_bound:.4f} of the shortest"
        print(f"{name:12} first {quick * 1000:4.0f} ms, {said}{most}", *wrong, beaten or "", flush=True)
    print(f"mean {statistics.mean(ratios):.4f} worst {max(ratios):.4f}")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
