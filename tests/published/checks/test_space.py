"""What the planted faults of the demo builds come to in millimetres, worked from their boxes by hand.

Boxes: docs/examples.md and the trade notes of the invented demos. Dimensions of fans from memory of what is sold.
"""

from pathlib import Path

import pytest

from headrace.checks.build import solve_build
from headrace.checks.finding import Finding, Severity
from headrace.checks.rules import fans_fit, parts_meet
from headrace.loop.loader import load_build
from headrace.parts.air import Fan

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"
FAN_MM = 25  # thickness of usual fans, from memory
HOLES_MM = {120: 105.0, 140: 124.5}  # pitch of the holes, from memory


def findings(rule, name):
    build = solve_build(load_build(EXAMPLES / name))
    return [result for result in rule.run(build) if isinstance(result, Finding)]


def test_memory_and_fans_of_the_compact_build_share_12_mm():
    gpu, memory = findings(parts_meet, "compact-single-radiator")
    assert memory.found == pytest.approx(0.012)
    assert memory.subject == 'obstacle "fans" and obstacle "memory"'
    assert "40 mm in x and 17 mm in y and 12 mm in z" in memory.fix
    assert gpu.found == pytest.approx(0.035)
    assert "35 mm in x and 60 mm in y and 35 mm in z" in gpu.fix


def test_both_stacks_of_the_workstation_meet_in_the_corner():
    radiators, fans = findings(parts_meet, "dual-gpu-workstation")
    assert "10 mm in x and 120 mm in y and 10 mm in z" in radiators.fix
    assert "20 mm in x and 120 mm in y and 13 mm in z" in fans.fix
    assert {radiators.check.severity, fans.check.severity} == {Severity.STOP}


@pytest.mark.parametrize("name", ["quiet-studio", "games-and-rendering"])
def test_nothing_meets_in_the_other_two(name):
    assert findings(parts_meet, name) == []


def test_a_fan_that_states_no_thickness_is_25_mm_thick():
    assert float(Fan(id="fan", kind="fan", size="120 mm").thickness_m) == pytest.approx(FAN_MM / 1000)


def test_the_page_of_fans_names_the_pitch_of_their_holes():
    page = (EXAMPLES.parent / "docs" / "checks" / f"{fans_fit.CHECK.id}.md").read_text(encoding="utf-8")
    for size_mm, pitch_mm in HOLES_MM.items():
        assert f"{size_mm} mm fans" in page
        assert f"{pitch_mm:g} mm" in page
