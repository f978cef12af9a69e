"""What holds for any coolant: warmer is thinner and lighter, enthalpy turns round, nothing is ever infinite."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from headrace.fluids import coolant as module
from headrace.fluids.coolant import VALID_K, Coolant, glycol_mass, glycol_volume, water
from headrace.fluids.fits import find_law, worst_frac

quick = settings(max_examples=50, deadline=None)
BASES = ("propylene glycol", "ethylene glycol")
coolants = st.one_of(st.just(water()), st.builds(glycol_mass, st.sampled_from(BASES), st.floats(0.0, 0.6)))
inside_k = st.floats(VALID_K.low, VALID_K.high)
any_k = st.floats(-1e6, 1e6)
steps_k = st.floats(0.01, 30.0)
METHODS = (
    Coolant.density_kg_m3,
    Coolant.heat_capacity_j_kg_k,
    Coolant.viscosity_pa_s,
    Coolant.conductivity_w_m_k,
)


@quick
@given(coolants, st.floats(100.0, 800.0), steps_k)
def test_warmer_is_thinner(coolant, temp_k, rise_k):
    assert coolant.viscosity_pa_s(temp_k + rise_k) < coolant.viscosity_pa_s(temp_k)


@quick
@given(coolants, st.floats(VALID_K.low, 800.0), steps_k)
def test_warmer_is_lighter(coolant, temp_k, rise_k):
    assert coolant.density_kg_m3(temp_k + rise_k) < coolant.density_kg_m3(temp_k)
    assert coolant.expansion_frac(temp_k, temp_k + rise_k) > 0.0


@quick
@given(coolants, st.floats(150.0, 700.0))
def test_temperature_of_an_enthalpy_is_the_temperature(coolant, temp_k):
    assert coolant.temp_k(coolant.enthalpy_j_kg(temp_k)) == pytest.approx(temp_k, rel=1e-12)


@quick
@given(coolants, st.floats(-1e5, 1e6))
def test_enthalpy_of_a_temperature_is_the_enthalpy(coolant, enthalpy_j_kg):
    assert coolant.enthalpy_j_kg(coolant.temp_k(enthalpy_j_kg)) == pytest.approx(enthalpy_j_kg, rel=1e-11, abs=1e-6)


@quick
@given(coolants, inside_k)
def test_heat_capacity_is_the_slope_of_enthalpy(coolant, temp_k):
    slope = (coolant.enthalpy_j_kg(temp_k + 0.05) - coolant.enthalpy_j_kg(temp_k - 0.05)) / 0.1
    assert coolant.heat_capacity_j_kg_k(temp_k) == pytest.approx(slope, rel=1e-6)


@quick
@given(coolants)
def test_enthalpy_starts_at_the_melting_point_of_ice(coolant):
    assert coolant.enthalpy_j_kg(273.15) == 0.0


@quick
@given(coolants, any_k)
def test_no_temperature_gives_nan_infinity_or_a_negative(coolant, temp_k):
    for method in METHODS:
        value = method(coolant, temp_k)
        assert np.isfinite(value)
        assert value > 0.0
    assert np.isfinite(coolant.enthalpy_j_kg(temp_k))


@quick
@given(coolants, st.sampled_from((VALID_K.low, VALID_K.high)))
def test_the_ends_of_the_range_join_without_a_kink(coolant, edge_k):
    for method in METHODS:
        before, at, after = (method(coolant, edge_k + d) for d in (-0.01, 0.0, 0.01))
        assert after - at == pytest.approx(at - before, rel=2e-3, abs=1e-9 * at)


@quick
@given(coolants, st.lists(st.floats(200.0, 420.0), min_size=1, max_size=5))
def test_an_array_gives_what_its_elements_give(coolant, temps_k):
    together = np.array(temps_k)
    for method in (*METHODS, Coolant.enthalpy_j_kg, Coolant.prandtl):
        assert method(coolant, together) == pytest.approx([method(coolant, t) for t in temps_k], rel=1e-13, abs=1e-8)
    back = coolant.temp_k(coolant.enthalpy_j_kg(together))
    assert back == pytest.approx(together, rel=1e-12)


@quick
@given(st.sampled_from(BASES), st.floats(0.0, 0.59), st.floats(0.001, 0.01), inside_k)
def test_more_glycol_is_thicker_and_freezes_later(base, mass_frac, more, temp_k):
    thin, thick = glycol_mass(base, mass_frac), glycol_mass(base, mass_frac + more)
    assert thick.viscosity_pa_s(temp_k) > thin.viscosity_pa_s(temp_k)
    assert thick.freezing_temp_k < thin.freezing_temp_k


@quick
@given(st.sampled_from(BASES), st.floats(0.0, 1.0))
def test_volume_and_mass_fraction_turn_round(base, volume_frac):
    mass_frac = glycol_volume(base, volume_frac).mass_frac
    assert mass_frac >= volume_frac  # both glycols are heavier than water
    assert module.volume_frac(base, mass_frac) == pytest.approx(volume_frac, abs=1e-14)


@quick
@given(st.sampled_from(BASES), st.floats(0.6, 1.0), inside_k)
def test_beyond_the_fitted_fractions_all_stays_positive(base, mass_frac, temp_k):
    for method in METHODS:
        assert 0.0 < method(glycol_mass(base, mass_frac), temp_k) < 1e5


def test_water_takes_no_glycol_and_an_unknown_base_is_refused():
    assert glycol_mass("water", 0.3) == water()
    assert water().freezing_temp_k == 273.15
    with pytest.raises(ValueError, match="one of water, propylene glycol, ethylene glycol"):
        glycol_mass("brine", 0.3)


def test_a_law_is_summed_once_per_mixture():
    assert find_law("water", "density_kg_m3", 0.0) is find_law("water", "density_kg_m3", 0.0)
    assert worst_frac("propylene glycol", "ln_viscosity_pa_s") == pytest.approx(1.09e-2)
