"""
Water in a loop against what can be worked out by hand: heights, columns, air that is pressed together, even splits.

mark: "computed in the trade notes" are two rises of pressure worked out beforehand with the ideal gas, to two digits;
water densities are computed with iapws 1.5.5; heights are those of the invented demo builds, by subtraction.
"""

from functools import cache
from pathlib import Path

import iapws
import pytest

from headrace.checks.arms import parallel_arms
from headrace.checks.build import solve_build
from headrace.checks.every import RULES
from headrace.checks.finding import Finding, Severity
from headrace.checks.pressure import loop_column_pa, shut_off_pa
from headrace.checks.volumes import loop_volume_m3
from headrace.checks.wetted import water_loops
from headrace.loop.loader import load_build
from headrace.physics.expansion import column_pa, expanded_m3, sealed_rise_pa

EXAMPLES = Path(__file__).parents[3] / "examples"
A, B, C, D = "compact-single-radiator", "dual-gpu-workstation", "quiet-studio", "games-and-rendering"
BY_ID = {rule.CHECK.id: rule for rule in RULES}
LITRE = 1e-3
COLD_K, WARM_K = 293.15, 313.15


@cache
def build(name):
    return solve_build(load_build(EXAMPLES / name))


def findings(name, id_):
    return [result for result in BY_ID[id_].run(build(name)) if isinstance(result, Finding)]


def water(temp_k):
    return iapws.IAPWS95(T=temp_k, P=0.101325).rho


RISES = ((0.050, 22e3), (0.150, 11e3))  # litres of air over 1 L of water, 20 to 40 °C: computed in the trade notes


@pytest.mark.parametrize(("air_l", "rise_pa"), RISES)
def test_a_sealed_litre_that_warms_to_40_degrees_presses_as_the_trade_notes_say(air_l, rise_pa):
    taken = expanded_m3(LITRE, water(COLD_K), water(WARM_K))
    assert sealed_rise_pa(air_l * LITRE, taken, COLD_K, WARM_K) == pytest.approx(rise_pa, abs=0.5e3)


def test_water_takes_six_thousandths_more_from_20_to_40_degrees():
    assert expanded_m3(1.0, water(COLD_K), water(WARM_K)) == pytest.approx(0.006, abs=5e-4)  # trade notes: 0.6 %


def test_by_hand_50_ml_of_air_lose_6_ml():
    """Boyle and Charles by hand: 101325 (50 / 44 313.15 / 293.15 - 1)."""
    assert sealed_rise_pa(50e-6, 6e-6, COLD_K, WARM_K) == pytest.approx(101325 * (50 / 44 * 313.15 / 293.15 - 1))


def test_ten_metres_of_water_press_about_one_bar():
    assert column_pa(10.0, 1000.0) == pytest.approx(98066.5)  # 10 mH2O at 1000 kg/m3, conventional gravity


def test_the_external_radiator_hangs_465_mm_below_the_drain():
    """Fault C1: port at z -460 + 20, drain at z 15 + 10."""
    (finding,) = findings(C, "WATER-05")
    assert finding.found == pytest.approx(0.025 + 0.440)
    assert 'drain "pump.drain"' in finding.subject
    assert '"radiator"' in finding.fix
    assert "1.08 L" in finding.fix  # of the radiator alone; about 1.4 L with its hoses


@pytest.mark.parametrize("name", [A, B, D])
def test_the_drains_of_the_other_examples_are_low_enough(name):
    assert findings(name, "WATER-05") == []


def test_a_bottle_has_58_mm_under_the_radiator_of_the_compact_build():
    (finding,) = findings(A, "WATER-07")
    assert finding.found == pytest.approx(0.258 - 0.008 - 0.192)  # bottom of the radiator less the fill port
    assert '"radiator"' in finding.fix


def test_the_flow_sensor_stands_50_mm_over_the_fill_port_of_the_workstation():
    (finding,) = findings(B, "WATER-07")
    assert finding.found == pytest.approx(0.380 - 0.130 - 0.200)
    assert '"flow-sensor"' in finding.fix


def test_cards_of_1_and_1_4_times_the_loss_split_about_as_their_roots_and_are_near_enough():
    """Losses 1 : 1.4 as the square of the flow share it as 1 : 1 / sqrt(1.4), 54 to 46: 8 % from even, limit 20 %."""
    for _, solution in build(B).solutions:
        groups = [group for group in parallel_arms(solution) if all(arm.owners("heat") for arm in group)]
        assert [len(group) for group in groups] == [2]
        flows = [arm.flow_m3_s for arm in groups[0]]
        assert max(flows) / sum(flows) < 0.6
    assert findings(B, "WATER-10") == []


def test_a_pump_that_stands_in_a_row_is_not_driven_backwards():
    assert "one-pump-out" in {state.name for state, _ in build(B).solutions}
    assert findings(B, "WATER-11") == []


def test_two_pumps_at_no_flow_add_up_and_a_column_comes_on_top():
    (loop,) = water_loops(build(B).loop)
    pumps = [part.card for part in build(B).loop.parts if part.card.main == "pump"]
    heads = [max(head for _, head in table.points_si()) for card in pumps for table in card.curve]
    assert shut_off_pa(build(B), loop) == pytest.approx(sum(heads), rel=0.03)  # densities of coolants differ by 2 %
    assert loop_column_pa(build(B), loop) == pytest.approx(1020 * 9.81 * 0.56, rel=0.02)  # floor 15 mm, top 575 mm


def test_the_quiet_build_holds_about_one_and_a_half_to_two_litres():
    """Radiator 1.08 L, blocks 0.12 L, tank 0.22 L, small parts 0.03 L and some metres of 10 mm bore, 79 mL a metre."""
    (loop,) = water_loops(build(C).loop)
    volume, lacks = loop_volume_m3(build(C), loop)
    metres = sum(path.length_m for path in build(C).route.paths.values())
    assert lacks == ()
    assert volume == pytest.approx(1.45e-3 + metres * 78.54e-6, abs=0.03e-3)


@pytest.mark.parametrize("name", [A, B, C, D])
@pytest.mark.parametrize("id_", ["WATER-03", "WATER-04", "WATER-06", "WATER-08", "WATER-12", "WATER-13", "WATER-14"])
def test_what_is_right_in_the_examples_raises_no_alarm(name, id_):
    assert [str(finding) for finding in findings(name, id_)] == []


def test_what_can_dry_a_pump_or_burst_waits_for_no_liquid():
    for id_ in ("WATER-03", "WATER-04", "WATER-07", "WATER-08"):
        assert BY_ID[id_].CHECK.severity is Severity.BEFORE_POWER
        assert BY_ID[id_].CHECK.gate == "liquid"
