"""The most memory that a search for a lay holds, its process started as the studio starts it.

    python -m tests.bench.lay_memory_bench [seconds per search]

Plain, turning, with straight cuts and from lengths, with as many panels as fill the searches' tables most.
Told besides: whether the solver was loaded, for it takes most of the memory.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

# First of all, for it sets Django up.
from tests.bench.lay_page_bench import on_lengths, turning  # isort: skip

from projects.activities.lay_process import MEMORY_MB, NICE
from projects.calc.lay import LayRequest
from projects.calc.lay.sent import asked_text
from tests import lay_cases, straight_cases
from tests.bench.memory import memory_mb

LIMIT_MB = 400.0


def asked() -> Iterator[tuple[str, LayRequest]]:
    for panels in (40, 70, 100, 150):
        request, _ = lay_cases.shaved(panels, panels)
        yield f"{panels} panels", request
        yield f"{panels} panels, turning", turning(request)
    hundred, _ = lay_cases.shaved(7, 100)
    yield "100 panels, straight cuts", replace(hundred, straight_cuts=True)
    yield "100 panels, turning, straight cuts", replace(turning(hundred), straight_cuts=True)
    yield "40 panels of a strip, straight cuts", straight_cases.shaved_strip(3)[0]
    yield "100 panels, from lengths", on_lengths(hundred)
    yield "100 panels, turning, from lengths", on_lengths(turning(hundred))
    yield "100 panels, from lengths, straight cuts", replace(on_lengths(hundred), straight_cuts=True)
    yield "72 panels of garments, turning", turning(lay_cases.garment(2, 8))


def held(request: LayRequest, seconds: float) -> tuple[float, bool]:
    """The most memory the search's process held (MB), and whether the solver was loaded in it."""
    options = ["--nice", f"{NICE}", "--memory-mb", f"{MEMORY_MB}"]
    with tempfile.TemporaryFile() as given:
        given.write(asked_text(request, seconds).encode())
        given.seek(0)
        line = [sys.executable, "-m", "projects.calc.lay", *options]
        process = subprocess.Popen(line, stdin=given, stdout=subprocess.DEVNULL)
        most, solver = 0.0, False
        while process.poll() is None:
            solver = solver or b"cp_model" in maps(process.pid)
            # Not what the system says at its end: that counts what this process held when it started it.
            most = max(most, memory_mb(process.pid, "VmHWM"))
            time.sleep(0.05)
    assert process.returncode == 0
    return most, solver


def maps(pid: int) -> bytes:
    try:
        return Path(f"/proc/{pid}/maps").read_bytes()
    except OSError:
        return b""


def main() -> int:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 20.0
    good = True
    for name, request in asked():
        most, solver = held(request, seconds)
        kept = most < LIMIT_MB
        good = good and kept
        said = "with the solver" if solver else "without the solver"
        print(f"{name:42} {most:5.0f} MB, {said}: {'kept' if kept else 'BROKEN'}", flush=True)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
