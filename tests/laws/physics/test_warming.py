"""Temperatures on their way: monotone towards their end, in balance with the heat that came in, the same for arrays."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from headrace.physics import warming
from headrace.physics.warming import TwoMasses

temps = st.floats(280.0, 360.0)
constants = st.floats(1.0, 3000.0)
times = st.floats(0.0, 5000.0)
watts = st.floats(0.0, 1000.0)
models = st.builds(TwoMasses, st.floats(20.0, 5e3), st.floats(200.0, 2e4), st.floats(0.005, 0.5), st.floats(1.0, 100.0))


@given(temps, temps, constants, st.floats(0.0, 5.0), st.floats(0.01, 5.0))
def test_an_approach_never_turns_back_nor_passes_its_end(start, end, constant, soon, more):
    assume(abs(end - start) > 1e-3)
    first, later = (warming.approach_temp_k(start, end, t * constant, constant) for t in (soon, soon + more))
    assert abs(end - later) < abs(end - first) <= abs(end - start) * (1.0 + 1e-12)
    assert (end - later) * (end - start) > 0.0


@given(temps, temps, constants, times, times)
def test_a_way_in_two_parts_is_one_way(start, end, constant, one, other):
    part = warming.approach_temp_k(start, end, one, constant)
    whole = warming.approach_temp_k(start, end, one + other, constant)
    assert warming.approach_temp_k(part, end, other, constant) == pytest.approx(whole, abs=1e-9)


@given(temps, st.floats(0.1, 60.0), st.floats(0.001, 0.999), constants)
def test_at_the_time_to_a_limit_the_limit_is_met(start, rise, share, constant):
    limit = start + share * rise
    time = warming.time_to_limit_s(start, start + rise, limit, constant)
    assert warming.approach_temp_k(start, start + rise, time, constant) == pytest.approx(limit, abs=1e-9)
    assert warming.time_to_limit_s(start, start + rise, limit - 1e-4 * rise, constant) < time
    assert warming.time_to_limit_s(limit, start + rise, start, constant) == 0.0
    assert warming.time_to_limit_s(start, limit, start + rise, constant) == np.inf


@given(st.floats(1.0, 1e5), st.floats(0.1, 500.0), st.floats(1.001, 10.0))
def test_more_mass_is_slower_and_more_air_faster(capacity, conductance, ratio):
    constant = warming.time_constant_s(capacity, conductance)
    assert warming.time_constant_s(capacity * ratio, conductance) > constant
    assert warming.time_constant_s(capacity, conductance * ratio) < constant
    assert warming.soak_s(constant) >= max(1800.0, 4.999 * constant)


@given(temps, temps, constants, st.floats(0.0, 3.0))
def test_the_slope_says_what_is_still_to_come(start, end, constant, passed):
    now, soon = (warming.approach_temp_k(start, end, t * constant, constant) for t in (passed, passed + 1e-3))
    left = warming.remaining_rise_k(soon - now, 1e-3 * constant, constant)
    assert left == pytest.approx(end - now, rel=1e-3, abs=1e-6)


@given(models)
def test_the_fast_time_constant_is_the_blocks(model):
    fast, slow = model.time_constants_s()
    assert 0.0 < fast < slow
    assert fast < model.block_j_k * model.resistance_k_w
    assert slow > model.coolant_j_k / model.conductance_w_k
    product = model.block_j_k * model.resistance_k_w * model.coolant_j_k / model.conductance_w_k
    assert fast * slow == pytest.approx(product)


@given(models, temps, watts, watts, st.floats(0.0, 5.0), st.floats(0.01, 3.0))
def test_from_rest_both_masses_only_warm(model, air, heat, straight, soon, more):
    assume(heat + straight > 1.0)
    slow = model.time_constants_s()[1]
    first, later = (model.temps_k(t * slow, air, air, heat, air, straight) for t in (soon, soon + more))
    assert later[1] > first[1] >= air
    assert later[0] > first[0] >= air
    heated_alone = model.temps_k(more * slow, air, air, heat + 1.0, air)
    assert heated_alone[0] > heated_alone[1]


@given(models, temps, temps, temps, watts, watts)
def test_two_masses_end_in_the_steady_balance(model, block, coolant, air, heat, straight):
    after = 60.0 * model.time_constants_s()[1]
    end_coolant = air + (heat + straight) / model.conductance_w_k
    end = model.temps_k(after, block, coolant, heat, air, straight)
    assert end == pytest.approx((end_coolant + heat * model.resistance_k_w, end_coolant), abs=1e-6)


@given(models, temps, temps, temps, watts, times, times)
def test_two_masses_in_two_parts_go_one_way(model, block, coolant, air, heat, one, other):
    part = model.temps_k(one, block, coolant, heat, air, 50.0)
    whole = model.temps_k(one + other, block, coolant, heat, air, 50.0)
    assert model.temps_k(other, *part, heat, air, 50.0) == pytest.approx(whole, abs=1e-7)


@given(models, temps, temps, temps, watts, watts, st.floats(0.01, 3.0))
def test_heat_stored_is_heat_in_less_heat_out(model, block, coolant, air, heat, straight, share):
    # Gauss points on short pieces for what left to the air
    nodes, weights = np.polynomial.legendre.leggauss(8)
    fast, slow = model.time_constants_s()
    span = min(share * slow, 30.0 * fast)
    edges = np.linspace(0.0, span, 33)
    at = (edges[:-1, None] + edges[1:, None] + np.diff(edges)[:, None] * nodes) / 2.0
    lost = model.conductance_w_k * (model.temps_k(at, block, coolant, heat, air, straight)[1] - air)
    out = np.sum(lost * weights * np.diff(edges)[:, None] / 2.0)
    end = model.temps_k(span, block, coolant, heat, air, straight)
    stored = model.block_j_k * (end[0] - block) + model.coolant_j_k * (end[1] - coolant)
    scale = (model.block_j_k + model.coolant_j_k) * 100.0
    assert stored == pytest.approx((heat + straight) * span - out, abs=1e-9 * scale)


@given(temps, temps, st.floats(200.0, 2e4), st.floats(1.0, 100.0), st.floats(0.0, 1000.0), times)
def test_a_block_that_weighs_nothing_leaves_one_mass(coolant, air, capacity, conductance, heat, time):
    model = TwoMasses(1e-6, capacity, 0.05, conductance)
    constant = warming.time_constant_s(capacity, conductance)
    alone = warming.approach_temp_k(coolant, air + heat / conductance, time, constant)
    assert model.temps_k(time, coolant, coolant, heat, air)[1] == pytest.approx(alone, abs=1e-5)


@given(st.lists(st.floats(0.0, 5.0), min_size=1, max_size=6))
def test_masses_add_up(masses):
    heat_capacities = np.linspace(385.0, 4180.0, len(masses))
    whole = warming.heat_capacity_j_k(np.array(masses), heat_capacities)
    assert whole == pytest.approx(sum(m * c for m, c in zip(masses, heat_capacities, strict=True)))
    twice = np.tile(masses, (2, 1)).T
    assert warming.heat_capacity_j_k(twice, heat_capacities[:, None]) == pytest.approx([whole, whole])


@given(models, st.lists(st.tuples(times, temps, temps, temps, watts), min_size=1, max_size=4))
def test_an_array_gives_what_its_elements_give(model, rows):
    time, block, coolant, air, heat = np.array(rows).T
    together = np.array(model.temps_k(time, block, coolant, heat, air)).T
    apart = [model.temps_k(t, b, c, w, a) for t, b, c, a, w in rows]
    assert together == pytest.approx(np.array(apart), rel=1e-13)
    limits = warming.time_to_limit_s(block, coolant, air, 100.0)
    assert limits == pytest.approx([warming.time_to_limit_s(b, c, a, 100.0) for _, b, c, a, _ in rows], rel=1e-12)
    approach = warming.approach_temp_k(block, coolant, time, 100.0)
    assert approach == pytest.approx([warming.approach_temp_k(b, c, t, 100.0) for t, b, c, _, _ in rows], rel=1e-13)
    many = TwoMasses(np.full(len(rows), model.block_j_k), model.coolant_j_k, model.resistance_k_w, 30.0)
    one = TwoMasses(model.block_j_k, model.coolant_j_k, model.resistance_k_w, 30.0)
    assert many.time_constants_s()[1] == pytest.approx([one.time_constants_s()[1]] * len(rows), rel=1e-13)
