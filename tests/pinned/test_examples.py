"""Our own past results of the example builds. A number that moves goes into the change log with its reason.

`HEADRACE_PIN=1 pytest tests/pinned` writes the file anew.
"""

import json
import os
from pathlib import Path

import pytest

from headrace.loop.loader import load_build
from headrace.loop.route import stated_route
from headrace.solve.steady import solve

ROOT = Path(__file__).resolve().parents[2]
FILE = Path(__file__).with_name("examples.json")
EXAMPLES = sorted(path.name for path in (ROOT / "examples").iterdir())


def results(name):
    loop = load_build(ROOT / "examples" / name)
    found = {}
    for state in loop.states:
        s = solve(loop, stated_route(loop), state)
        found[state.name] = {
            "pump_flow_m3_s": s.pump_flow_m3_s,
            "pump_dp_pa": s.pump_dp_pa,
            "hottest_k": s.hottest[1],
            "coolant_rise_k": s.coolant_rise_k,
            "part_temp_k": s.part_temp_k,
            "heat_w": s.heat_w,
        }
    return found


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_give_what_they_gave(name):
    found = results(name)
    if os.environ.get("HEADRACE_PIN"):
        pinned = json.loads(FILE.read_text(encoding="utf-8")) if FILE.exists() else {}
        FILE.write_text(json.dumps({**pinned, name: found}, indent=1) + "\n", encoding="utf-8")
    pinned = json.loads(FILE.read_text(encoding="utf-8"))[name]
    assert set(found) == set(pinned)
    for state, values in pinned.items():
        for key, value in values.items():
            assert found[state][key] == pytest.approx(value, rel=1e-7), (state, key)
