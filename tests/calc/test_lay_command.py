"""The command line of the planner: JSON in and out, what is refused, what is kept while it runs."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from projects.calc.lay import LayError, plan_lay
from projects.calc.lay.wire import answered, mm_of, read_asked
from tests import lay_cases
from tests.lay_checker import faults

ROOT = Path(__file__).resolve().parents[2]
COMMAND = [sys.executable, "-m", "projects.calc.lay"]
PANEL = {"name": "front", "width_mm": 600, "length_mm": 900, "count": 2, "may_turn": False}
ASKED: dict[str, Any] = {"width_mm": 1400, "time_limit_s": 1, "straight_cuts": False, "panels": [PANEL]}


def run(asked: object, *options: str) -> subprocess.CompletedProcess[str]:
    text = asked if isinstance(asked, str) else json.dumps(asked)
    return subprocess.run(
        [*COMMAND, *options], input=text, capture_output=True, text=True, cwd=ROOT, check=False
    )


def hard() -> dict[str, Any]:
    """More panels than can be laid out for certain in a moment."""
    request = lay_cases.garment(3, 4)
    panels = [
        {"name": p.name, "width_mm": mm_of(p.width), "length_mm": mm_of(p.length), "count": p.count}
        for p in request.panels
    ]
    return {"width_mm": 1400, "time_limit_s": 60, "panels": panels}


def test_a_lay_is_answered_in_mm() -> None:
    done = run(ASKED)
    answer = json.loads(done.stdout)
    assert (done.returncode, done.stderr) == (0, "")
    assert (answer["length_mm"], answer["lower_bound_mm"], answer["proven"]) == (900, 900, True)
    assert answer["placements"] == [
        {"name": "front", "x_mm": x, "y_mm": 0, "width_mm": 600, "length_mm": 900, "turned": False}
        for x in (0, 600)
    ]


def test_numbers_are_rounded_half_up_to_the_nm_and_answered_exactly() -> None:
    text = json.dumps(ASKED).replace("600", "600.0000005").replace("900", "900.0000004")
    request = read_asked(text).request
    assert (request.panels[0].width, request.panels[0].length) == (600_000_001, 900_000_000)
    assert mm_of(600_000_001) == 600.000001
    assert json.dumps(mm_of(12 * 10**15 // 10 + 1)) == "1200000000.000001"


def test_every_key_is_read() -> None:
    asked = ASKED | {
        "gap_mm": 2,
        "seed": 7,
        "end_loss_mm": 10,
        "one_way": True,
        "one_dye_lot": False,
        "smallest_remnant_mm": 200,
        "straight_cuts": True,
        "pins": [{"name": "front", "copy": 2, "x_mm": 5, "y_mm": 6, "turned": False}],
        "lengths": [
            {
                "name": "blue",
                "width_mm": 1300,
                "length_mm": 2000,
                "dye_lot": "B7",
                "flaws": [{"x_mm": 1, "y_mm": 2, "width_mm": 3, "length_mm": 4}],
            }
        ],
    }
    read = read_asked(json.dumps(asked))
    request, mm = read.request, 1_000_000
    assert (request.gap, request.seed, request.end_loss, request.smallest_remnant) == (
        2 * mm,
        7,
        10 * mm,
        200 * mm,
    )
    assert (request.one_way, request.one_dye_lot, request.straight_cuts) == (True, False, True)
    assert (request.pins[0].copy, request.pins[0].x, request.pins[0].y) == (2, 5 * mm, 6 * mm)
    assert (request.lengths[0].dye_lot, request.lengths[0].flaws[0].length) == ("B7", 4 * mm)
    assert read.time_limit_s == 1.0


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ("", "is no JSON"),
        ("[1, 2]", "an object with keys"),
        ("[" * 100_000, "is no JSON"),
        ("{}", "panels is missing"),
        (ASKED | {"panels": [PANEL | {"width_mm": "600"}]}, "front width_mm is '600'"),
        (ASKED | {"panels": [PANEL | {"width_mm": True}]}, "front width_mm is True"),
        (ASKED | {"panels": [PANEL | {"width_mm": -1}]}, "front width_mm is -1"),
        (ASKED | {"panels": [PANEL | {"width_mm": 0.0000001}]}, "front width_mm is 1E-7"),
        (ASKED | {"panels": [PANEL | {"length_mm": 10**9}]}, "front length_mm is 1000000000"),
        (ASKED | {"panels": [PANEL | {"count": 1.5}]}, "front count is 1.5"),
        (ASKED | {"panels": [PANEL | {"count": 0}]}, "front count is 0"),
        (ASKED | {"panels": [PANEL | {"may_turn": 1}]}, "front may_turn is 1"),
        (ASKED | {"panels": [PANEL | {"name": ""}]}, "panel 1 name is ''"),
        (ASKED | {"panels": [PANEL, PANEL]}, "More than one panel is called front"),
        (ASKED | {"panels": [PANEL | {"count": 1_001}]}, "More than 1000 panels"),
        (ASKED | {"width_mm": None}, "width_mm is missing"),
        (ASKED | {"time_limit_s": -1}, "time_limit_s is -1"),
        (json.dumps(ASKED).replace("600", "NaN"), "NaN is no number"),
        (json.dumps(ASKED).replace("600", "1e999999999"), "front width_mm is 1E+999999999"),
        (ASKED | {"panels": [PANEL | {"width_mm": 1500}]}, "front is 150.0 cm wide; the cloth is 140.0 cm"),
    ],
)
def test_bad_input_is_refused_in_words(asked: object, says: str) -> None:
    with pytest.raises(LayError) as raised:
        plan_lay(read_asked(asked if isinstance(asked, str) else json.dumps(asked)).request)
    assert says in str(raised.value)


def test_bad_input_is_one_line_and_exit_code_2() -> None:
    done = run(ASKED | {"panels": [PANEL | {"name": "front\nside", "width_mm": 1500}]})
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.splitlines() == [
        "front side is 150.0 cm wide; the cloth is 140.0 cm. A panel up to 140.0 cm wide would fit. "
        "Turned it would fit, if its grain may lie across."
    ]


def test_what_is_answered_is_the_lay_it_is() -> None:
    request = lay_cases.garment(2)
    lay = plan_lay(request)
    answer = answered(lay, 0.25)
    assert answer["length_mm"] * 1_000_000 == lay.length
    assert len(answer["placements"]) == len(lay.placements)
    assert faults(request, lay) == []


@pytest.mark.parametrize("by_signal", [True, False])
def test_a_stop_keeps_the_best_lay(tmp_path: Path, *, by_signal: bool) -> None:
    kept = tmp_path / "lay.json"
    options = [*COMMAND, "--save", str(kept), "--nice", "1", "--memory-mb", "380"]
    with subprocess.Popen(
        options, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT
    ) as child:
        assert child.stdin is not None
        child.stdin.write(json.dumps(hard()))
        child.stdin.close()
        child.stdin = None
        while not kept.exists():
            assert child.poll() is None
            time.sleep(0.02)
        assert json.loads(kept.read_text(encoding="utf-8"))["running"] is True
        if by_signal:
            child.send_signal(signal.SIGTERM)
        else:
            (tmp_path / "lay.json.stop").touch()
        out, _ = child.communicate(timeout=30)
    last = json.loads(kept.read_text(encoding="utf-8"))
    assert child.returncode == 0
    assert last.pop("running") is False
    answer = json.loads(out)
    assert (last["length_mm"], last["placements"]) == (answer["length_mm"], answer["placements"])
