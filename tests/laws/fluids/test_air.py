"""What holds for any air: higher and warmer is thinner, damp is lighter, nothing is ever infinite."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from headrace.fluids import air
from headrace.fluids.air import Air

quick = settings(max_examples=50, deadline=None)
airs = st.builds(Air.at, st.floats(-300.0, 5000.0), st.floats(0.0, 1.0), st.floats(275.0, 315.0))


@quick
@given(st.floats(-2000.0, 40000.0), st.floats(0.1, 3000.0))
def test_higher_is_thinner(altitude_m, more):
    assert air.pressure_pa(altitude_m + more) < air.pressure_pa(altitude_m)


@quick
@given(airs, st.floats(250.0, 400.0), st.floats(0.01, 30.0))
def test_warmer_air_is_lighter_and_more_viscous(room, temp_k, rise_k):
    assert room.density_kg_m3(temp_k + rise_k) < room.density_kg_m3(temp_k)
    assert room.viscosity_pa_s(temp_k + rise_k) > room.viscosity_pa_s(temp_k)
    assert room.conductivity_w_m_k(temp_k + rise_k) > room.conductivity_w_m_k(temp_k)


@quick
@given(st.floats(0.0, 0.9), st.floats(0.01, 0.1), st.floats(283.0, 313.0))
def test_damp_air_is_lighter_and_holds_more_heat(humidity, more, temp_k):
    dry, damp = Air.at(0.0, humidity, temp_k), Air.at(0.0, humidity + more, temp_k)
    assert damp.density_kg_m3(temp_k) < dry.density_kg_m3(temp_k)
    assert damp.heat_capacity_j_kg_k(temp_k) > dry.heat_capacity_j_kg_k(temp_k)


@quick
@given(st.floats(240.0, 330.0), st.floats(0.01, 1.0))
def test_at_its_dew_point_the_vapour_is_saturated(temp_k, humidity):
    dew_k = air.dew_point_k(temp_k, humidity)
    assert dew_k <= temp_k + 1e-9
    if dew_k >= air.VALID_DEW_K.low:
        assert air.saturation_pa(dew_k) == pytest.approx(humidity * air.saturation_pa(temp_k), rel=1e-10)


@quick
@given(st.floats(-1e7, 1e7), st.floats(-1e7, 1e7), st.floats(0.0, 1.0))
def test_no_input_gives_nan_or_infinity(altitude_m, temp_k, humidity):
    room = Air(float(air.pressure_pa(altitude_m)), 0.01)
    values = [air.saturation_pa(temp_k), air.dew_point_k(temp_k, humidity), room.pressure_pa]
    values += [room.density_kg_m3(temp_k), room.heat_capacity_j_kg_k(temp_k)]
    values += [room.viscosity_pa_s(temp_k), room.conductivity_w_m_k(temp_k)]
    assert np.all(np.isfinite(values))


@quick
@given(airs, st.lists(st.floats(200.0, 400.0), min_size=1, max_size=4))
def test_an_array_gives_what_its_elements_give(room, temps_k):
    together = np.array(temps_k)
    for law in (room.density_kg_m3, room.heat_capacity_j_kg_k, room.viscosity_pa_s, room.conductivity_w_m_k):
        assert law(together) == pytest.approx([law(t) for t in temps_k], rel=1e-13)
    assert air.saturation_pa(together) == pytest.approx([air.saturation_pa(t) for t in temps_k], rel=1e-13)
