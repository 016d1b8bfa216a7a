"""Lay panels from the command line: JSON on standard input, JSON on standard output.

    python -m projects.calc.lay [--save FILE] [--nice N] [--memory-mb N] < asked.json > answer.json

Asked, with all lengths as numbers of mm (rounded half up to the nm):

    {"width_mm": 1400, "time_limit_s": 5, "straight_cuts": false, "gap_mm": 0, "seed": 0,
     "panels": [{"name": "front", "width_mm": 600, "length_mm": 900, "count": 2, "may_turn": false}]}

`width_mm` (usable width of the roll; may be left out or 0 with `lengths`: then nothing can be bought) and
`panels` are needed. Besides: `end_loss_mm` (lost at each end that is cut), `one_way` (nothing turns),
`one_dye_lot` (true unless said), `smallest_remnant_mm`, `pins` [{"name", "copy", "x_mm", "y_mm", "turned",
"on"}] for panels that stay where they are, and `lengths` [{"name", "width_mm", "length_mm", "dye_lot",
"flaws": [{"x_mm", "y_mm", "width_mm", "length_mm"}]}], what the stash has.

Answered: {"length_mm", "lower_bound_mm", "proven", "seconds", "placements": [{"name", "x_mm", "y_mm",
"width_mm", "length_mm", "turned", "on"}]}, x across the cloth, y along it, `on` only for a length of the
stash; `used` [{"name", "length_mm"}] where lengths were given. `length_mm` is what the roll gives.

`time_limit_s` (5 unless given) runs from the input read to the output written. Bad input is one line on
standard error and exit code 2. With `--save` the best lay so far is in FILE (the answer, with "running")
from the first on, written at each better one and each second. A terminate signal, or a file FILE.stop, ends
the search with the best lay written and exit code 0. This is the one module of the calculation service that
reads a clock and files.
"""

from __future__ import annotations

import argparse
import json
import os
import signal
import sys
import threading
import time
from pathlib import Path
from typing import Final

from projects.calc.lay.budget import Budget
from projects.calc.lay.improve import improve
from projects.calc.lay.planner import plan_lay
from projects.calc.lay.request import Lay, LayError
from projects.calc.lay.wire import AskedLay, answered, read_asked

RESERVE_S: Final = 0.15  # to write the answer and to end
TICK_S: Final = 0.05
SAVE_EACH_S: Final = 1.0
DEFAULT_MEMORY_MB: Final = 380


class Run:
    """One lay being improved in a thread of its own, while this one keeps the time and the file."""

    def __init__(self, asked: AskedLay, save: Path | None, memory_mb: int) -> None:
        self.asked = asked
        self.save = save
        self.memory_mb = memory_mb
        self.start = time.monotonic()
        self.stop = threading.Event()
        self.ended = threading.Event()
        self.failed: BaseException | None = None
        self.best: Lay | None = None
        self.saved: Lay | None = None
        self.saved_at = 0.0

    def spent(self) -> float:
        return time.monotonic() - self.start

    def to_its_end(self) -> Lay:
        """The best lay when the search ended, its time was up, or a stop was asked for."""
        signal.signal(signal.SIGTERM, lambda *_: self.stop.set())
        threading.Thread(target=self._search, daemon=True).start()
        limit = max(0.0, self.asked.time_limit_s - RESERVE_S)
        while not self.ended.wait(TICK_S):
            over = self.spent() >= limit or self.stop.is_set() or self._asked_to_stop() or self._too_large()
            if over and self.best is not None:
                break
            self._save_if_due()
        if self.failed is not None:
            raise self.failed
        assert self.best is not None
        self._write(self.best, running=False)
        return self.best

    def _search(self) -> None:
        try:
            self.best = best = plan_lay(self.asked.request)
            budget = Budget(self.spent, max(0.0, self.asked.time_limit_s - RESERVE_S), None, self.stop.is_set)
            self.best = improve(self.asked.request, best, budget, self._told)
        except LayError as error:
            self.failed = error
        except Exception as error:
            if self.best is None:
                self.failed = error
            else:  # the lay so far is good: the search for a better one failed
                print(f"The search ended early: {error!r}", file=sys.stderr)
        self.ended.set()

    def _told(self, lay: Lay) -> None:
        self.best = lay

    def _asked_to_stop(self) -> bool:
        return self.save is not None and self.save.with_name(f"{self.save.name}.stop").exists()

    def _too_large(self) -> bool:
        return resident_mb() > self.memory_mb

    def _save_if_due(self) -> None:
        best = self.best
        if best is not None and (best is not self.saved or self.spent() - self.saved_at >= SAVE_EACH_S):
            self._write(best, running=True)

    def _write(self, lay: Lay, *, running: bool) -> None:
        if self.save is None:
            return
        answer = answered(lay, self.spent()) | {"running": running}
        new = self.save.with_name(f"{self.save.name}.new")
        new.write_text(json.dumps(answer), encoding="utf-8")
        new.replace(self.save)
        self.saved, self.saved_at = lay, self.spent()


def resident_mb() -> float:
    """Memory this process holds now; 0 where the system does not say."""
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    except (OSError, ValueError, IndexError):
        return 0.0
    return pages * os.sysconf("SC_PAGE_SIZE") / 2**20


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m projects.calc.lay", description="Lay panels on cloth.")
    parser.add_argument("--save", type=Path, metavar="FILE", help="keep the best lay so far in FILE")
    parser.add_argument("--nice", type=int, default=0, metavar="N", help="lower this process's priority")
    parser.add_argument("--memory-mb", type=int, default=DEFAULT_MEMORY_MB, metavar="N")
    options = parser.parse_args()
    if options.nice > 0 and hasattr(os, "nice"):
        os.nice(options.nice)
    try:
        asked = read_asked(sys.stdin.buffer.read().decode("utf-8-sig"))
        run = Run(asked, options.save, options.memory_mb)
        lay = run.to_its_end()
    except (LayError, UnicodeDecodeError) as error:
        print(" ".join(str(error).split()), file=sys.stderr)
        return 2
    sys.stdout.write(json.dumps(answered(lay, run.spent())) + "\n")
    return 0


if __name__ == "__main__":
    code = main()
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)  # a solver still at work in its thread is not waited for
