"""Fits give back what made them; tables and pumps fall or rise as their points do and never overshoot."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from headrace.physics import block, curve, pump, radiator, table

quick = settings(max_examples=50, deadline=None)
L_MIN = 1.0 / 60000.0
coefficient_a = st.floats(1e9, 1e13)
coefficient_b = st.floats(1e5, 1e9)
flow_sets = st.lists(st.floats(0.5, 12.0), min_size=2, max_size=6, unique_by=lambda v: round(v, 1))


@quick
@given(coefficient_a, coefficient_b, flow_sets)
def test_exact_points_give_back_a_and_b(a, b, flows):
    points = np.array(sorted(flows)) * L_MIN
    fit = curve.fit_loss(list(points), list(a * points**2 + b * points))
    scale = a * points[-1] ** 2 + b * points[-1]
    assert fit.a_pa_s2_m6 * points[-1] ** 2 == pytest.approx(a * points[-1] ** 2, abs=1e-7 * scale)
    assert fit.b_pa_s_m3 * points[-1] == pytest.approx(b * points[-1], abs=1e-7 * scale)
    assert fit.worst_frac < 1e-8
    assert fit.points == len(flows)


@quick
@given(coefficient_a, coefficient_b, st.floats(1e-6, 1e-3), st.floats(0.5, 2.0), st.floats(0.2, 5.0))
def test_another_coolant_scales_the_two_parts(a, b, flow, density_ratio, viscosity_ratio):
    scaled = curve.curve_dp_pa(flow, a, b, density_ratio, viscosity_ratio)
    assert scaled == pytest.approx(curve.curve_dp_pa(flow, a * density_ratio, b * viscosity_ratio), rel=1e-13)


def test_few_or_odd_points_are_said_to_be_so():
    assert curve.fit_loss([], []).notes == ("no usable point: taken as no loss",)
    assert curve.fit_loss([1e-4], [1e4]).notes == ("one point: taken as purely quadratic",)
    assert curve.fit_loss([1e-4], [1e4]).b_pa_s_m3 == 0.0
    concave = curve.fit_loss([1e-4, 2e-4, 4e-4], [3.0, 5.0, 8.0])
    assert "concave points: the loss rises more slowly than the flow" in concave.notes
    assert curve.fit_loss([0.0, 1e-4, 2e-4], [0.0, 1.0, 4.0]).notes == ()
    assert curve.fit_loss([-1e-4, 1e-4, 2e-4], [1.0, 1.0, 4.0]).notes[0].startswith("1 points")


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([], "no point besides zero"),
        ([(0, 0)], "no point besides zero"),
        ([(1, -2)], "above zero"),
        ([(1, 2), (1, 3)], "same flow twice"),
        ([(1, 2), (2, 2)], "does not rise"),
        ([(1, 3), (2, 5)], "flow^0.74"),
        ([(1, 1), (2, 8)], "flow^3.00"),
    ],
)
def test_faults_of_points_are_named(points, words):
    faults = curve.loss_faults([q for q, _ in points], [dp for _, dp in points])
    assert len(faults) == 1
    assert words in faults[0]


def test_good_points_have_no_fault():
    assert curve.loss_faults([0, 1, 2, 4], [0, 1, 3.5, 12]) == ()
    assert curve.loss_faults([1, 2], [1, 2]) == ()  # purely laminar


rising = st.lists(st.floats(0.1, 5.0), min_size=2, max_size=7)


@quick
@given(rising, rising, st.floats(-5.0, 60.0), st.floats(0.0, 3.0))
def test_a_table_rises_where_its_points_rise(gaps, lifts, x, more):
    size = min(len(gaps), len(lifts))
    xs, ys = np.cumsum(gaps[:size]), np.cumsum(lifts[:size])
    smooth, logs = table.fit_pchip(xs, ys), table.fit_log_table(xs, ys)
    assert smooth.value(xs) == pytest.approx(ys, rel=1e-12)
    assert logs.value(xs) == pytest.approx(ys, rel=1e-12)
    assert smooth.value(x + more) >= smooth.value(x) - 1e-9
    assert logs.value(x + more) >= logs.value(x) * (1.0 - 1e-12)
    assert np.all(np.isfinite(smooth.value(np.array([-1e9, 0.0, 1e9]))))
    assert np.all(np.isfinite(logs.value(np.array([-1.0, 0.0, 1e300]))))


falling = st.lists(st.floats(0.0, 5e3), min_size=2, max_size=7)
speeds = st.floats(0.0, 1.5)
pump_flows = st.floats(-1e-3, 1e-3)


def any_pump(drops):
    heads = 1e3 + np.cumsum([0.0, *drops])[::-1]
    flows = np.arange(heads.size) * 3.0 * L_MIN
    return pump.fit_pump(list(flows), list(heads - heads[-1] if drops[0] > 1e3 else heads)), flows


@quick
@given(falling, pump_flows, st.floats(1e-8, 1e-3), speeds)
def test_a_pump_gives_strictly_less_at_more_flow(drops, flow, more, speed):
    curve_of, _ = any_pump(drops)
    assert curve_of.head_pa(flow + more, speed) < curve_of.head_pa(flow, speed)


@quick
@given(falling, st.floats(0.05, 1.0), st.floats(-2.0, 3.0))
def test_a_pump_follows_affinity_everywhere(drops, speed, share):
    curve_of, _ = any_pump(drops)
    flow = share * curve_of.last_flow_m3_s
    assert curve_of.head_pa(flow * speed, speed) == pytest.approx(
        speed**2 * curve_of.head_pa(flow, 1.0), rel=1e-9, abs=1e-9 * curve_of.shutoff_pa
    )


@quick
@given(falling, pump_flows)
def test_a_stopped_pump_is_a_resistance_reached_without_a_jump(drops, flow):
    curve_of, _ = any_pump(drops)
    stopped = curve_of.head_pa(flow, 0.0)
    assert stopped == pytest.approx(-curve_of.resistance_pa_s2_m6 * flow * abs(flow), rel=1e-12)
    assert curve_of.head_pa(flow, 1e-9) == pytest.approx(stopped, rel=1e-3, abs=1e-3)
    assert np.isfinite(curve_of.head_pa(flow * 1e9, 0.0))


@quick
@given(st.floats(1e3, 1e5), st.floats(1e10, 1e12), pump_flows, speeds)
def test_a_pump_law_is_exact_at_every_flow_and_speed(shutoff, fall, flow, speed):
    law = pump.quadratic_pump(shutoff, fall)
    exact = shutoff * speed**2 - fall * flow * abs(flow)
    assert law.head_pa(flow, speed) == pytest.approx(exact, rel=1e-9, abs=1e-9 * (shutoff + fall * flow**2))


@quick
@given(st.lists(pump_flows, min_size=1, max_size=5), speeds)
def test_pump_arrays_give_what_their_elements_give(flows, speed):
    curve_of = any_pump([2e3, 1e3, 500.0])[0]
    single = [curve_of.head_pa(q, speed) for q in flows]
    assert curve_of.head_pa(np.array(flows), speed) == pytest.approx(single, rel=1e-12)
    assert curve_of.head_pa(np.array(flows), np.full(len(flows), speed)) == pytest.approx(single, rel=1e-12)


def test_a_pump_goes_through_its_points_and_says_what_it_changed():
    flows, heads = np.array([0.0, 4.0, 8.0, 12.0]) * L_MIN, [38e3, 37e3, 33e3, 20e3]
    plain = pump.fit_pump(list(flows), heads)
    assert plain.head_pa(flows) == pytest.approx(heads, rel=2e-6)  # the strict fall takes 1e-6
    assert plain.notes == ()
    humped = pump.fit_pump(list(flows), [36e3, 37e3, 33e3, 20e3])
    assert humped.notes == ("a pressure that rises with flow was levelled",)
    assert pump.fit_pump([0.0, 2e-4], [3e4, 0.0]).head_pa(1e-4) == pytest.approx(0.75 * 3e4)
    assert pump.fit_pump([1e-4, 2e-4], [3e4, 1e4]).shutoff_pa == pytest.approx(5e4, rel=1e-5)
    assert plain.head_pa(1e-4, 1.0, 1.03) == pytest.approx(1.03 * plain.head_pa(1e-4))


def test_faults_of_pump_points_are_named():
    assert pump.pump_faults([0, 1], [3, 1]) == ()
    assert pump.pump_faults([0], [3]) == ("a pump curve needs at least two flows",)
    assert pump.pump_faults([0, 0, 1], [3, 3, 1]) == ("the same flow twice",)
    assert pump.pump_faults([-1, 1], [3, 1]) == ("a flow below zero",)
    assert pump.pump_faults([0, 1], [0, 0]) == ("no pressure at the smallest flow",)
    assert pump.pump_faults([0, 1], [2, 3]) == ("point 2: the pressure rises",)


@quick
@given(st.floats(0.0, 5.0), st.floats(0.5, 30.0), st.lists(st.floats(0.2, 1.0), min_size=3, max_size=6, unique=True))
def test_exact_power_points_give_back_the_law(base, cubic, speeds):
    law = pump.PowerLaw(base, cubic)
    points = [law.power_w(s) for s in speeds]
    fit = pump.fit_power(speeds, points)
    assert [fit.power_w(s) for s in speeds] == pytest.approx(points, rel=1e-6)
    assert pump.fit_power([0.5], [2.0]).power_w(1.0) == pytest.approx(16.0)


@quick
@given(st.floats(0.01, 0.1), st.floats(0.005, 0.1), st.floats(0.25, 0.75))
def test_exact_block_points_give_back_the_law(base, falling, exponent):
    flows = np.array([0.7, 1.5, 3.0, 5.0, 8.0]) * L_MIN
    points = block.block_resistance_k_w(flows, base, falling, exponent)
    fit = block.fit_block(list(flows), list(points))
    assert fit.worst_frac < 1e-4
    assert fit.exponent == pytest.approx(exponent, abs=0.01)
    assert fit.notes == ()


@quick
@given(st.floats(0.0, 0.1), st.floats(1e-3, 0.1), st.floats(0.2, 0.8), st.floats(0.0, 20.0), st.floats(1e-3, 5.0))
def test_more_flow_never_heats_a_block(base, falling, exponent, flow, more):
    here, there = (block.block_resistance_k_w(q * L_MIN, base, falling, exponent) for q in (flow, flow + more))
    assert np.isfinite(here)
    assert there < here
    assert block.block_resistance_k_w(-flow * L_MIN, base, falling, exponent) == here


def test_few_block_points_are_said_to_be_so():
    assert block.fit_block([], []).points == 0
    assert block.fit_block([1e-5], [0.05]).notes == ("one flow: taken as constant",)
    assert block.fit_block([1e-5, 2e-5], [0.05, 0.04]).notes == ("too few flows for an exponent: taken as 0.5",)
    assert block.fit_block([1e-5, 2e-5], [0.05, 0.04]).exponent == 0.5
    narrow = block.fit_block(list(np.array([3.0, 4.0, 5.0, 6.0]) * L_MIN), [0.05, 0.045, 0.043, 0.042])
    assert narrow.exponent == 0.5
    rising_points = block.fit_block([1e-5, 2e-5], [0.04, 0.05])
    assert "taken as constant" in rising_points.notes[-1]


def test_a_block_refers_to_the_node_it_names():
    assert block.block_temp_k(300.0, 304.0, 100.0, 0.1, "inlet") == 310.0
    assert block.block_temp_k(300.0, 304.0, 100.0, 0.1, "mean") == 312.0
    assert block.block_temp_k(300.0, 304.0, 100.0, 0.1, "outlet") == 314.0


@quick
@given(st.lists(st.floats(0.1, 30.0), min_size=1, max_size=6), st.booleans(), st.floats(0.0, 0.2), st.floats(0.0, 0.1))
def test_a_strength_table_goes_through_its_points_and_never_falls(lifts, still, air, more):
    strengths = np.cumsum(lifts)
    flows = (np.arange(strengths.size) + (0.0 if still else 1.0)) * 0.02
    fit = radiator.fit_strength(list(flows), list(strengths))
    assert fit.strength_w_k(flows) == pytest.approx(strengths, rel=1e-9)
    assert fit.strength_w_k(air + more) >= fit.strength_w_k(air) * (1.0 - 1e-12)
    assert fit.strength_w_k(-air) == fit.strength_w_k(air)
    if still:
        assert fit.strength_w_k(0.0) == strengths[0]


@quick
@given(st.floats(0.0, 1.0), st.floats(0.0, 1e-3), st.floats(1e-4, 0.1))
def test_a_conductance_law_rises_with_both_flows_and_stays_under_each_side(air, flow, more):
    sides = (5.0, 0.5, 60.0, 0.25)
    here = radiator.ua_w_k(air, flow, *sides)
    assert np.isfinite(here)
    assert radiator.ua_w_k(air + more, flow, *sides) >= here * (1.0 - 1e-12)
    assert radiator.ua_w_k(air, flow + more, *sides) >= here * (1.0 - 1e-12)
    assert here <= 5.0 * (air * 3600.0) ** 0.5 * (1.0 + 1e-12)


def test_the_smaller_stream_bounds_a_strength():
    assert radiator.bound_w_k(40.0, 200.0) == 40.0
