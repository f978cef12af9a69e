"""What holds for every pressure loss: odd or turned round, strictly rising, finite, the same for floats and arrays."""

from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from headrace.physics import curve, friction, minor, valve

quick = settings(max_examples=50, deadline=None)
bores = st.floats(2e-3, 3e-2)
densities = st.floats(700.0, 1200.0)
viscosities = st.floats(1e-4, 5e-2)
fluid = st.tuples(densities, viscosities)
reynolds = st.floats(1e-3, 1e6)
bigger = st.floats(1.0005, 3.0)
wild = st.floats(-1e6, 1e6)
some_k = st.floats(0.0, 1000.0)

ODD = {
    "friction": lambda q, d, f: friction.friction_dp_pa(q, 0.7, d, 1.5e-6, *f),
    "inlet": lambda q, d, f: friction.inlet_dp_pa(q, d, *f),
    "friction and inlet": lambda q, d, f: tube(q, 1e-3, d, f),
    "bend": lambda q, d, f: friction.bend_dp_pa(q, d, pi / 2, 3.0 * d, 1.5e-6, *f),
    "fitting": lambda q, d, f: minor.minor_dp_pa(q, d, *minor.fitting_k("90 elbow threaded", d), *f),
    "valve": lambda q, d, f: valve.kv_dp_pa(q, 0.8, f[0]),
    "curve": lambda q, d, f: curve.curve_dp_pa(q, 2e12, 3e7, f[0] / 1000.0, f[1] / 1e-3),
}
STEPS = ((1.0, 0.75), (0.75, 1.0), (1.0, 0.2), (0.2, 1.0), (1.0, 0.99))


def tube(flow, length_m, bore_m, f):
    return friction.friction_dp_pa(flow, length_m, bore_m, 1.5e-6, *f) + friction.inlet_dp_pa(flow, bore_m, *f)


def flow_of(re, bore, f):
    return re * pi * bore * f[1] / (4.0 * f[0])


@pytest.mark.parametrize("name", ODD)
@quick
@given(re=reynolds, bore=bores, f=fluid)
def test_a_loss_is_odd_and_zero_at_rest(name, re, bore, f):
    flow = flow_of(re, bore, f)
    assert ODD[name](-flow, bore, f) == -ODD[name](flow, bore, f)
    assert ODD[name](0.0, bore, f) == 0.0
    assert ODD[name](flow, bore, f) > 0.0


@pytest.mark.parametrize("name", [name for name in ODD if name != "inlet"])
@quick
@given(re=reynolds, ratio=bigger, bore=bores, f=fluid)
def test_a_loss_rises_strictly(name, re, ratio, bore, f):
    flow = flow_of(re, bore, f)
    assert ODD[name](flow * ratio, bore, f) > ODD[name](flow, bore, f)


@quick
@given(st.floats(1e-6, 10.0), st.floats(500.0, 8000.0), st.floats(1.0005, 1.2), bores, st.floats(0.0, 0.05), fluid)
def test_a_tube_with_its_inlet_rises_strictly_through_the_transition(length_m, re, ratio, bore, rough_rel, f):
    def loss(flow):
        straight = friction.friction_dp_pa(flow, length_m, bore, rough_rel * bore, *f)
        return straight + friction.inlet_dp_pa(flow, bore, *f)

    flow = flow_of(re, bore, f)
    assert loss(flow * ratio) > loss(flow)


def test_friction_rises_strictly_on_a_fine_grid():
    re = np.geomspace(1e-3, 1e8, 20001)
    for rough_rel in (0.0, 1e-6, 1e-4, 1e-3, 1e-2, 5e-2):
        assert np.all(np.diff(friction.friction_factor(re, rough_rel) * re * re) > 0.0)


@quick
@given(reynolds, bores, fluid)
def test_the_inlet_never_falls_and_is_continuous(re, bore, f):
    flow = flow_of(re, bore, f)
    here, there = (friction.inlet_dp_pa(q, bore, *f) for q in (flow, flow * 1.001))
    assert here <= there * (1.0 + 1e-12)
    assert there <= here * 1.0021


@pytest.mark.parametrize(("first", "second"), STEPS)
@quick
@given(re=reynolds, ratio=bigger, bore=bores, f=fluid)
def test_a_step_rises_strictly_and_turns_round(first, second, re, ratio, bore, f):
    flow = flow_of(re, bore, f)
    ends = bore * first, bore * second
    assert minor.step_dp_pa(flow * ratio, *ends, *f) > minor.step_dp_pa(flow, *ends, *f) > 0.0
    assert minor.step_dp_pa(-flow, *ends, *f) == -minor.step_dp_pa(flow, *ends[::-1], *f)
    assert minor.step_dp_pa(0.0, *ends, *f) == 0.0


@quick
@given(st.floats(-2e-4, 2e-4), bores, fluid)
def test_a_step_between_equal_bores_takes_nothing(flow, bore, f):
    assert minor.step_dp_pa(flow, bore, bore, *f) == 0.0


@quick
@given(st.floats(0.2, 0.98), reynolds, st.booleans())
def test_the_two_ways_to_a_step_agree(beta, re, widening):
    bore, f = 0.01, (1000.0, 1e-3)
    flow = flow_of(re, bore, f)
    ends = (bore, bore / beta) if widening else (bore / beta, bore)
    speed = friction.velocity_m_s(flow, bore)
    expected = minor.step_k(beta, re, widening) * 0.5 * f[0] * speed**2
    assert minor.step_dp_pa(flow, *ends, *f) == pytest.approx(expected, rel=1e-9)


@quick
@given(wild, st.floats(1e-4, 1.0), st.floats(1e-2, 1e5), st.floats(1e-7, 1e3))
def test_no_loss_is_nan_or_infinite(flow, bore, density, viscosity):
    for loss in ODD.values():
        assert np.isfinite(loss(flow, bore, (density, viscosity)))
    for first, second in STEPS:
        assert np.isfinite(minor.step_dp_pa(flow, first * bore, second * bore, density, viscosity))
    assert np.isfinite(friction.friction_factor(friction.reynolds(flow, bore, density, viscosity), 0.01))


@quick
@given(st.lists(st.floats(-3e-4, 3e-4), min_size=1, max_size=5), bores, fluid)
def test_an_array_gives_what_its_elements_give(flows, bore, f):
    together = np.array(flows)
    for loss in ODD.values():
        assert loss(together, bore, f) == pytest.approx([loss(q, bore, f) for q in flows], rel=1e-12)
    for first, second in STEPS:
        ends = first * bore, second * bore
        single = [minor.step_dp_pa(q, *ends, *f) for q in flows]
        assert minor.step_dp_pa(together, *ends, *f) == pytest.approx(single, rel=1e-12)


@quick
@given(st.floats(0.2, 6.0), st.floats(1.0, 15.0), st.floats(0.01, 0.1))
def test_a_bend_takes_more_the_tighter_and_the_further_it_turns(angle, ratio, factor):
    assert friction.bend_k(angle, ratio, factor) > friction.bend_k(angle, ratio * 1.1, factor)
    if angle < 1.5:
        assert friction.bend_k(angle * 1.01, 1.0, factor) > friction.bend_k(angle, 1.0, factor)
    assert friction.bend_k(0.0, ratio, factor) == 0.0


def test_bores_of_fittings_are_inches_inside():
    # 2-K at one inch: Kinf (1 + 1); a millimetre or metre inside would give 1.04 or 40
    assert minor.two_k(0.0, 0.5, 0.0254)[1] == pytest.approx(1.0)
    assert minor.three_k(0.0, 0.5, 3.0, 0.0254)[1] == pytest.approx(2.0)


def test_a_fitting_without_coefficients_says_which():
    with pytest.raises(KeyError, match="90 bend r/D 2: no 2-K"):
        minor.fitting_k("90 bend r/D 2", 0.01, "2-K")
