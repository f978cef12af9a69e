"""What holds for heat exchangers and streams: bounds, order of arrangements, limits, balances."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from headrace.physics import effectiveness as e
from headrace.physics import heat

quick = settings(max_examples=50, deadline=None)
ntus = st.floats(0.0, 20.0)
ratios = st.floats(0.0, 1.0)
streams = st.floats(0.0, 1e4)
NAMES = sorted(e.ARRANGEMENTS)
ALL = [*NAMES, *sorted(e.SIDED)]
SLACK = 1e-12


@pytest.mark.parametrize("name", NAMES)
@quick
@given(ntu=ntus, cr=ratios)
def test_effectiveness_lies_between_zero_and_the_plain_exponential(name, ntu, cr):
    assert -SLACK <= e.ARRANGEMENTS[name](ntu, cr) <= 1.0 - np.exp(-ntu) + SLACK


@pytest.mark.parametrize("name", NAMES)
@quick
@given(ntu=st.floats(0.0, 400.0), more=st.floats(0.01, 5.0), cr=ratios)
def test_more_surface_never_hurts(name, ntu, more, cr):
    if name == "min mixed" and cr * ntu > 30.0:
        return  # level to the last digit
    assert e.ARRANGEMENTS[name](ntu + more, cr) >= e.ARRANGEMENTS[name](ntu, cr) - SLACK


@pytest.mark.parametrize("name", NAMES)
@quick
@given(ntu=st.floats(0.05, 6.0), more=st.floats(0.05, 1.0), cr=ratios)
def test_more_surface_helps(name, ntu, more, cr):
    assert e.ARRANGEMENTS[name](ntu + more, cr) > e.ARRANGEMENTS[name](ntu, cr)


@quick
@given(ntus, ratios)
def test_counterflow_beats_cross_flow_beats_parallel(ntu, cr):
    assert e.counterflow(ntu, cr) >= e.counter_cross(ntu, cr) - SLACK
    assert e.counter_cross(ntu, cr) >= e.crossflow(ntu, cr) - SLACK
    assert e.crossflow(ntu, cr) >= max(e.max_mixed(ntu, cr), e.min_mixed(ntu, cr)) - SLACK
    assert e.min_mixed(ntu, cr) >= e.parallel(ntu, cr) - SLACK


@pytest.mark.parametrize("name", NAMES)
@quick
@given(ntu=ntus)
def test_a_boiling_stream_makes_all_arrangements_one(name, ntu):
    assert e.ARRANGEMENTS[name](ntu, 0.0) == pytest.approx(1.0 - np.exp(-ntu), abs=1e-12)
    assert e.ARRANGEMENTS[name](ntu, 1e-13) == pytest.approx(e.ARRANGEMENTS[name](ntu, 0.0), abs=1e-10)


@pytest.mark.parametrize("name", NAMES)
@quick
@given(ntu=ntus)
def test_equal_streams_are_the_limit_of_nearly_equal_ones(name, ntu):
    assert e.ARRANGEMENTS[name](ntu, 1.0) == pytest.approx(e.ARRANGEMENTS[name](ntu, 1.0 - 1e-10), abs=1e-8)


@quick
@given(ntus)
def test_counterflow_of_equal_streams(ntu):
    assert e.counterflow(ntu, 1.0) == pytest.approx(ntu / (1.0 + ntu), rel=1e-13, abs=1e-15)


@quick
@given(ntus, ratios)
def test_one_pass_of_counter_cross_is_the_pass_itself_and_many_tend_to_counterflow(ntu, cr):
    assert e.counter_cross(ntu, cr, passes=1) == pytest.approx(e.crossflow(ntu, cr), abs=1e-11)
    assert e.counter_cross(ntu, cr, passes=64) == pytest.approx(e.counterflow(ntu, cr), abs=0.01)


@pytest.mark.parametrize("name", ALL)
@quick
@given(ua=st.floats(0.0, 1e4), air=streams, coolant=streams)
def test_strength_is_bounded_finite_and_zero_for_a_stream_at_rest(name, ua, air, coolant):
    strength = e.strength_w_k(ua, air, coolant, name)
    assert np.isfinite(strength)
    assert -1e-9 <= strength <= min(ua, air, coolant) * (1.0 + 1e-9) + 1e-12
    assert e.strength_w_k(ua, 0.0, coolant, name) == 0.0
    assert e.strength_w_k(ua, air, 0.0, name) == 0.0
    assert e.strength_w_k(ua, 0.0, 0.0, name) == 0.0


@pytest.mark.parametrize("name", NAMES[:4])
@quick
@given(ua=st.floats(0.1, 300.0), air=st.floats(1.0, 400.0), coolant=st.floats(1.0, 400.0))
def test_either_side_may_be_the_smaller(name, ua, air, coolant):
    assert e.strength_w_k(ua, air, coolant, name) == e.strength_w_k(ua, coolant, air, name)


@quick
@given(st.floats(0.1, 300.0), st.floats(1.0, 400.0), st.floats(1.0, 400.0))
def test_the_mixed_side_stays_mixed_when_it_becomes_the_smaller(ua, air, coolant):
    air_mixed = e.strength_w_k(ua, air, coolant, "crossflow, a mixed")
    assert air_mixed == pytest.approx(e.strength_w_k(ua, coolant, air, "crossflow, b mixed"), rel=1e-12)
    # the mixed stream's own balance, whichever is smaller: a mixed gives G = Ca (1 - exp(-(Cb/Ca)(1 - exp(-UA/Cb))))
    closed = air * -np.expm1(-(coolant / air) * -np.expm1(-ua / coolant))
    assert air_mixed == pytest.approx(closed, rel=1e-9)


@quick
@given(st.floats(0.0, 500.0), streams, streams)
def test_passes_side_by_side_lie_near_one_pass_and_below_the_bound(ua, air, coolant):
    two = e.side_by_side_strength_w_k(ua, air, coolant)
    assert np.isfinite(two)
    assert two <= min(air, coolant) * (1.0 + 1e-9) + 1e-12
    one_pass = e.side_by_side_strength_w_k(ua, air, coolant, passes=1)
    assert one_pass == pytest.approx(e.strength_w_k(ua, air, coolant), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
@quick
@given(pairs=st.lists(st.tuples(st.floats(0.0, 150.0), ratios), min_size=1, max_size=5))
def test_an_array_gives_what_its_elements_give(name, pairs):
    ntu, cr = np.array(pairs).T
    single = [e.ARRANGEMENTS[name](n, c) for n, c in pairs]
    assert e.ARRANGEMENTS[name](ntu, cr) == pytest.approx(single, rel=1e-12, abs=1e-13)


@quick
@given(st.floats(1.0, 2000.0), st.floats(1e-6, 1e-3))
def test_a_rise_carries_its_heat_away(heat_w, flow):
    capacity = heat.capacity_w_k(flow, 995.0, 4180.0)
    assert heat.rise_k(heat_w, capacity) * capacity == pytest.approx(heat_w, rel=1e-12)
    assert heat.capacity_w_k(-flow, 995.0, 4180.0) == heat.capacity_w_k(flow, 995.0, 4180.0)


def test_a_stream_at_rest_warms_absurdly_but_finitely():
    assert np.isfinite(heat.rise_k(1000.0, 0.0))
    assert heat.rise_k(0.0, 0.0) == 0.0


@quick
@given(st.lists(st.tuples(st.floats(0.0, 1e3), st.floats(250.0, 400.0)), min_size=1, max_size=5))
def test_mixing_lies_between_its_streams_and_keeps_the_heat(pairs):
    weights, temps = np.array(pairs).T
    mixed = heat.mixed(weights, temps)
    assert temps.min() - 1e-9 <= mixed <= temps.max() + 1e-9
    assert mixed * weights.sum() == pytest.approx((weights * temps).sum(), rel=1e-9)
    assert heat.mixed(np.zeros(2), np.array([300.0, 310.0])) == pytest.approx(305.0)
