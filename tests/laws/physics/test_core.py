"""What holds for radiator cores: signs, monotony, bounds, rest, rows, and the same answer for floats and arrays."""

from dataclasses import replace
from math import radians

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from headrace.fluids.coolant import glycol_mass, water
from headrace.physics import duct, fins
from headrace.physics.core import Core

quick = settings(max_examples=50, deadline=None)
AIR = (1.184, 1.84e-5, 1006.5, 0.0262)
WATER = (994.0, 7.2e-4, 4180.0, 0.62)
THICK = (1019.0, 2.1e-3, 3880.0, 0.45)
air_flows = st.floats(1e-4, 0.3)
flows = st.floats(1e-6, 4e-4)
bigger = st.floats(1.001, 3.0)
laws = st.sampled_from(sorted(fins.LOUVRE_LAWS))
louvres = st.tuples(st.floats(8e-4, 2e-3), st.floats(radians(15.0), radians(35.0)), st.floats(3e-3, 9e-3))


@st.composite
def cores(draw, fin):
    def length(low_mm, high_mm):
        return draw(st.floats(low_mm * 1e-3, high_mm * 1e-3))

    passes, rows = draw(st.integers(1, 3)), draw(st.integers(1, 3))
    tubes, series = draw(st.integers(2, 10)) * passes, draw(st.booleans())
    tube = length(1.4, 3.0), length(10.0, 40.0), length(0.2, 0.5)
    channel = length(4.0, 12.0), length(0.8, 3.0), length(0.03, 0.12), draw(st.floats(150.0, 390.0))
    louvre = draw(fin) or (None, None, None)
    return Core(length(100.0, 500.0), tubes, rows, passes, *tube, *channel, *louvre, draw(laws), series)


louvred_cores = cores(louvres)
any_core = cores(st.none() | louvres)


def ua(core, air_flow, flow, coolant=WATER):
    return core.ua_w_k(core.air_w_k(air_flow, *AIR), core.coolant_w_k(flow, *coolant))


@quick
@given(any_core, air_flows, flows, bigger)
def test_conductance_rises_with_either_flow(core, air_flow, flow, ratio):
    assert core.air_w_k(air_flow * ratio, *AIR) > core.air_w_k(air_flow, *AIR)
    assert core.coolant_w_k(flow * ratio, *WATER) > core.coolant_w_k(flow, *WATER)
    here = ua(core, air_flow, flow)
    assert ua(core, air_flow * ratio, flow) > here
    assert ua(core, air_flow, flow * ratio) > here


@quick
@given(any_core, st.floats(1e-9, 1.0), flows, bigger)
def test_both_losses_are_odd_and_rise_strictly(core, air_flow, flow, ratio):
    for loss, fluid, here in ((core.air_dp_pa, AIR, air_flow), (core.coolant_dp_pa, WATER, flow)):
        assert loss(here * ratio, *fluid[:2]) > loss(here, *fluid[:2]) > 0.0
        assert loss(-here, *fluid[:2]) == -loss(here, *fluid[:2])


@quick
@given(any_core, air_flows, flows)
def test_the_sign_of_a_flow_does_not_matter_to_heat(core, air_flow, flow):
    assert ua(core, -air_flow, -flow) == ua(core, air_flow, flow)


@quick
@given(louvred_cores)
def test_louvre_friction_rises_strictly_through_all_its_joins(core):
    re = np.geomspace(1e-3, 3000.0, 4001)
    for law in fins.LOUVRE_LAWS:
        product = fins.louvred_fanning_re(re, core.louvred, law)
        assert np.all(np.diff(product * re) > 0.0)
        assert np.all(np.diff(fins.louvred_nusselt(re, 0.7, core.louvred, law)) > 0.0)
        below, above = fins.louvred_f(np.array([100.0 - 1e-7, 100.0 + 1e-7]), core.louvred, law)
        assert below == pytest.approx(above, rel=1e-8)


@quick
@given(louvred_cores, st.floats(1e-6, 3e-5), st.floats(1e-9, 1.0), bigger)
def test_a_foil_thinner_than_any_fin_measured_still_gives_a_rising_loss(core, thickness, air_flow, ratio):
    foil = replace(core, fin_thickness_m=thickness)
    assert 0.0 < foil.air_dp_pa(air_flow, *AIR[:2]) < foil.air_dp_pa(air_flow * ratio, *AIR[:2]) < np.inf


@quick
@given(louvred_cores, st.sampled_from([100.0, 130.0, 230.0]))
def test_the_published_blend_has_no_step(core, re):
    here, there = fins.chang_f(re * (1.0 - 1e-9), core.louvred), fins.chang_f(re * (1.0 + 1e-9), core.louvred)
    assert here == pytest.approx(there, rel=1e-7)


@pytest.mark.parametrize("aspect", [0.0, 0.08, 0.3, 1.0])
@pytest.mark.parametrize("length_ratio", [5.0, 130.0, 1000.0])
def test_a_flat_tube_rises_strictly_on_a_fine_grid(aspect, length_ratio):
    re = np.geomspace(1.0, 1e6, 20001)
    for prandtl in (0.7, 5.0, 60.0):
        nusselt = duct.flat_tube_nusselt(re, prandtl, aspect, length_ratio)
        assert np.all(np.diff(nusselt) > 0.0)
        assert np.max(np.diff(np.log(nusselt))) < 0.01  # a grid step is 0.0007 of ln Re: no jump
    friction = duct.flat_tube_friction_re(re, aspect) * re
    assert np.all(np.diff(friction) > 0.0)
    assert np.max(np.diff(np.log(friction))) < 0.003


@quick
@given(any_core)
def test_all_is_finite_at_rest(core):
    assert core.air_dp_pa(0.0, *AIR[:2]) == 0.0
    assert core.coolant_dp_pa(0.0, *WATER[:2]) == 0.0
    assert core.air_dp_pa(1e-12, *AIR[:2]) / 1e-12 == pytest.approx(core.air_dp_pa(1e-10, *AIR[:2]) / 1e-10, rel=1e-6)
    still = core.air_w_k(0.0, *AIR), core.coolant_w_k(0.0, *WATER)
    assert np.all(np.isfinite(still))
    assert (still[0] == 0.0) == (core.louvred is not None)
    assert still[1] > 0.0
    assert core.ua_w_k(*still) >= 0.0
    for streams in ((0.0, 0.0), (0.0, 50.0), (50.0, 0.0)):
        assert core.strength_w_k(core.ua_w_k(*still), *streams) == 0.0
    assert 0.0 <= core.air_sigma_frac(0.0, *AIR[:2]) <= 0.4


@quick
@given(any_core, st.floats(0.0, 500.0), st.floats(0.0, 300.0), st.floats(0.0, 500.0))
def test_strength_stays_below_the_smaller_stream_and_the_conductance(core, conductance, air, coolant):
    strength = core.strength_w_k(conductance, air, coolant)
    assert -1e-9 <= strength <= min(conductance, air, coolant) * (1.0 + 1e-9) + 1e-12


@quick
@given(any_core, st.floats(1.0, 200.0), st.floats(1.0, 200.0), st.floats(1.0, 400.0), bigger)
def test_strength_rises_with_conductance_and_either_stream(core, conductance, air, coolant, ratio):
    here = core.strength_w_k(conductance, air, coolant)
    for more in ((ratio, 1.0, 1.0), (1.0, ratio, 1.0), (1.0, 1.0, ratio)):
        there = core.strength_w_k(conductance * more[0], air * more[1], coolant * more[2])
        assert there >= here * (1.0 - 1e-9)


@quick
@given(any_core, st.floats(5.0, 200.0), st.floats(5.0, 200.0), st.floats(5.0, 400.0))
def test_two_rows_in_series_keep_the_heat_of_each_row(core, conductance, air, coolant):
    # the coolant meets the row that the air leaves last; both rows solved from their own balances
    one = replace(core, rows=1).strength_w_k(0.5 * conductance, air, coolant)
    # coolant in 1, air in 0; unknown: coolant between the rows, air between the rows
    between = np.linalg.solve([[coolant, -one], [one, -air]], [coolant - one, 0.0])
    heat_w = coolant * (1.0 - between[0]) + one * between[0]
    two = replace(core, rows=2, rows_in_series=True).strength_w_k(conductance, air, coolant)
    assert two == pytest.approx(heat_w, rel=1e-7)


@quick
@given(any_core, air_flows, st.floats(1e-5, 4e-4), st.floats(0.6, 0.99))
def test_closer_fins_never_lower_the_conductance(core, air_flow, flow, ratio):
    closer = replace(core, fin_pitch_m=core.fin_pitch_m * ratio)
    assert ua(closer, air_flow, flow) > ua(core, air_flow, flow)


@quick
@given(any_core, air_flows, flows, st.integers(1, 6))
def test_more_tubes_never_lower_the_conductance_while_the_coolant_is_laminar(core, air_flow, flow, more):
    # beyond, a tube that falls back from turbulence loses more than the new ones bring
    assume(core.coolant_re(flow, *THICK[:2]) < 2300.0)
    wider = replace(core, tubes=core.tubes + more * core.passes)
    assert ua(wider, air_flow, flow, THICK) > ua(core, air_flow, flow, THICK)
    assert wider.air_dp_pa(air_flow, *AIR[:2]) < core.air_dp_pa(air_flow, *AIR[:2])
    assert wider.coolant_dp_pa(flow, *THICK[:2]) < core.coolant_dp_pa(flow, *THICK[:2])


@quick
@given(any_core, air_flows, flows)
def test_rows_multiply_surface_and_air_loss(core, air_flow, flow):
    one, three = replace(core, rows=1), replace(core, rows=3)
    assert three.air_m2 == pytest.approx(3.0 * one.air_m2, rel=1e-12)
    assert three.face_m2 == one.face_m2
    assert three.hydraulic_m == pytest.approx(one.hydraulic_m, rel=1e-12)
    assert three.air_w_k(air_flow, *AIR) == pytest.approx(3.0 * one.air_w_k(air_flow, *AIR), rel=1e-9)
    assert three.air_dp_pa(air_flow, *AIR[:2]) == pytest.approx(3.0 * one.air_dp_pa(air_flow, *AIR[:2]), rel=1e-9)
    in_series, at_once = replace(three, rows_in_series=True), replace(three, rows_in_series=False)
    loss = one.coolant_dp_pa(flow, *WATER[:2])
    assert in_series.coolant_dp_pa(flow, *WATER[:2]) == pytest.approx(3.0 * loss, rel=1e-9)
    assert at_once.coolant_dp_pa(3.0 * flow, *WATER[:2]) == pytest.approx(loss, rel=1e-9)


@quick
@given(any_core, air_flows, flows, st.floats(283.15, 323.15), st.sampled_from(["propylene glycol", "ethylene glycol"]))
def test_glycol_lowers_the_conductance_and_raises_the_laminar_loss(core, air_flow, flow, temp_k, base):
    def of(liquid):
        return (
            liquid.density_kg_m3(temp_k),
            liquid.viscosity_pa_s(temp_k),
            liquid.heat_capacity_j_kg_k(temp_k),
            liquid.conductivity_w_m_k(temp_k),
        )

    pure, mixed = of(water()), of(glycol_mass(base, 0.3))
    assert ua(core, air_flow, flow, mixed) < ua(core, air_flow, flow, pure)
    assume(core.coolant_re(flow, *pure[:2]) < 1500.0)
    assert core.coolant_dp_pa(flow, *mixed[:2]) > core.coolant_dp_pa(flow, *pure[:2])


@quick
@given(st.floats(0.0, 1e6), st.floats(0.0, 1e6))
def test_the_band_never_narrows_as_the_air_slows(first, second):
    slow, fast = sorted((first, second))
    assert 0.4 >= fins.extrapolated_sigma_frac(slow) >= fins.extrapolated_sigma_frac(fast) >= 0.0


@quick
@given(any_core, st.lists(st.tuples(st.floats(-0.3, 0.3), st.floats(-4e-4, 4e-4)), min_size=1, max_size=5))
def test_an_array_of_flows_gives_what_its_elements_give(core, pairs):
    def all_of(air_flow, flow):
        air, coolant = core.air_w_k(air_flow, *AIR), core.coolant_w_k(flow, *WATER)
        strength = core.strength_w_k(core.ua_w_k(air, coolant), 1200.0 * np.abs(air_flow), 4.1e6 * np.abs(flow))
        losses = core.air_dp_pa(air_flow, *AIR[:2]), core.coolant_dp_pa(flow, *WATER[:2])
        return np.array([air, coolant, strength, *losses, core.air_sigma_frac(air_flow, *AIR[:2])])

    single = np.array([all_of(*pair) for pair in pairs]).T
    np.testing.assert_allclose(all_of(*np.array(pairs).T), single, rtol=1e-12, atol=1e-15)


@quick
@given(any_core, st.lists(st.floats(8e-4, 3e-3), min_size=1, max_size=4), air_flows)
def test_an_array_of_cores_gives_what_each_core_gives(core, pitches, air_flow):
    def all_of(pitch):
        one = replace(core, fin_pitch_m=pitch)
        return np.array([one.air_w_k(air_flow, *AIR), one.air_dp_pa(air_flow, *AIR[:2]), one.open_frac])

    single = np.array([all_of(pitch) for pitch in pitches]).T
    np.testing.assert_allclose(all_of(np.array(pitches)), single, rtol=1e-12)


@quick
@given(any_core, st.floats(-1e9, 1e9), st.floats(1e-4, 1e4), st.floats(1e-7, 1e3))
def test_no_answer_is_nan_or_infinite(core, flow, density, viscosity):
    fluid = (density, viscosity, 4000.0, 0.6)
    assert np.all(np.isfinite([core.air_dp_pa(flow, *fluid[:2]), core.coolant_dp_pa(flow, *fluid[:2])]))
    assert np.all(np.isfinite([core.air_w_k(flow, *fluid), core.coolant_w_k(flow, *fluid)]))
