"""How near lays of straight cuts come to the strips their panels were cut from.

Panels are cut from a strip by straight cuts and shaved, so a lay no longer than the strip exists and is
seldom known to be the shortest: ratios below 1 are possible. Seconds are the processor's.

    python -m tests.bench.straight_bench [CASES] [SECONDS]
"""

import statistics
import sys
import time

from projects.calc.lay import LayRequest
from projects.calc.lay.budget import Budget
from projects.calc.lay.cuts import cuts_of, remnants_of
from projects.calc.lay.straight import improve_straight, plan_straight
from tests.lay_checker import faults
from tests.straight_cases import shaved_strip
from tests.straight_checker import can_be_cut, wrong_steps

MEAN = 1.01
FIRST_MS = 200


def one(request: LayRequest, strip: int, seconds: float) -> tuple[float, float, bool, float]:
    """Ratio at first and in the end, whether it is proven, milliseconds of the first lay with its cuts."""
    start = time.process_time()
    quick = plan_straight(request)
    cuts_of(quick, request), remnants_of(quick, request)
    first = (time.process_time() - start) * 1000
    begun = time.process_time()
    lay = improve_straight(
        request, quick, Budget(lambda: time.process_time() - begun, seconds), lambda _: None
    )
    assert not faults(request, lay) and can_be_cut(list(lay.placements)), "the lay can't be cut"
    assert not wrong_steps(lay, request, cuts_of(lay, request)), "the steps don't cut it"
    assert lay.lower_bound <= strip, "the bound is above the strip"
    return quick.length / strip, lay.length / strip, lay.shortest, first


def main(cases: int = 40, seconds: float = 5) -> int:
    """Print each set beside its limit; 1 where one is broken."""
    good = True
    for turn in (False, True):
        found = [one(*shaved_strip(seed, turn=turn), seconds) for seed in range(1_000, 1_000 + cases)]
        ratios = [row[1] for row in found]
        mean, first = statistics.mean(ratios), max(row[3] for row in found)
        kept = mean <= MEAN and first < FIRST_MS
        good = good and kept
        begun, proven = statistics.mean(row[0] for row in found), sum(row[2] for row in found) / cases
        print(
            f"{'turning' if turn else 'fixed':8} n={cases} at first {begun:.4f}, in {seconds:g} s "
            f"mean {mean:.4f} (limit {MEAN}) worst {max(ratios):.4f}, proven {proven:.0%}, "
            f"first lay {first:.0f} ms (limit {FIRST_MS}): {'kept' if kept else 'BROKEN'}"
        )
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main(*[kind(text) for kind, text in zip((int, float), sys.argv[1:], strict=False)]))
