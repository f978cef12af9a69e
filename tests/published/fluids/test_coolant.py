"""Coolant against the libraries its fits were made from, over grids finer than those of the fits.

Bounds are the fit errors, rounded up; all reference numbers are computed live with
CoolProp (its MPG and MEG mixtures) and iapws (IAPWS-95).
"""

import iapws
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from headrace.fluids.coolant import Coolant, glycol_mass, glycol_volume, water
from headrace.fluids.fits import VALID_K

TEMPS_K = np.linspace(VALID_K.low, VALID_K.high, 25)
FRACTIONS = (0.005, 0.02, 0.045, 0.05, 0.1, 0.17, 0.25, 0.33, 0.4, 0.5, 0.57, 0.6)
MIXES = {"propylene glycol": "MPG", "ethylene glycol": "MEG"}
# bound from a mass fraction of 0.1 on (the fit error stated in fits.csv), and below 0.1 (no fit points there)
BOUNDS = (
    ("propylene glycol", "D", Coolant.density_kg_m3, 3.9e-4, 4.5e-4),
    ("propylene glycol", "C", Coolant.heat_capacity_j_kg_k, 2.4e-3, 2.6e-3),
    ("propylene glycol", "V", Coolant.viscosity_pa_s, 1.1e-2, 1.9e-2),
    ("propylene glycol", "L", Coolant.conductivity_w_m_k, 2.4e-3, 4.2e-3),
    ("ethylene glycol", "D", Coolant.density_kg_m3, 5.2e-4, 9e-4),
    ("ethylene glycol", "C", Coolant.heat_capacity_j_kg_k, 1.7e-3, 2.1e-3),
    ("ethylene glycol", "V", Coolant.viscosity_pa_s, 6.7e-3, 1.5e-2),
    ("ethylene glycol", "L", Coolant.conductivity_w_m_k, 2.5e-3, 3.8e-3),
)
WATER = (
    ("rho", 1.0, Coolant.density_kg_m3, 5e-6),
    ("cp", 1e3, Coolant.heat_capacity_j_kg_k, 4e-5),
    ("mu", 1.0, Coolant.viscosity_pa_s, 2.4e-4),
    ("k", 1.0, Coolant.conductivity_w_m_k, 4.2e-5),
)


def worst(ours, theirs):
    return np.max(np.abs(np.asarray(ours) / np.asarray(theirs) - 1.0))


@pytest.mark.parametrize(("base", "key", "method", "bound", "thin_bound"), BOUNDS)
@pytest.mark.parametrize("mass_frac", FRACTIONS)
def test_mix_against_coolprop(base, key, method, bound, thin_bound, mass_frac):
    name = f"INCOMP::{MIXES[base]}[{mass_frac}]"
    theirs = [PropsSI(key, "T", temp_k, "P", 101325.0, name) for temp_k in TEMPS_K]
    allowed = bound if mass_frac >= 0.1 else thin_bound
    assert worst(method(glycol_mass(base, mass_frac), TEMPS_K), theirs) < allowed


@pytest.mark.parametrize("base", MIXES)
@pytest.mark.parametrize("mass_frac", FRACTIONS)
def test_freezing_point_against_coolprop(base, mass_frac):
    theirs_k = PropsSI("T_FREEZE", "T", 300.0, "P", 101325.0, f"INCOMP::{MIXES[base]}[{mass_frac}]")
    assert glycol_mass(base, mass_frac).freezing_temp_k == pytest.approx(theirs_k, abs=0.041)


@pytest.fixture(scope="module")
def states():
    return [iapws.IAPWS95(T=temp_k, P=0.101325) for temp_k in TEMPS_K[::2]]


@pytest.mark.parametrize(("name", "factor", "method", "bound"), WATER)
def test_water_against_iapws(states, name, factor, method, bound):
    theirs = [getattr(state, name) * factor for state in states]
    assert worst(method(water(), TEMPS_K[::2]), theirs) < bound


def test_water_enthalpy_against_iapws(states):
    # differences, because the zero of ours is 273.15 K and that of IAPWS-95 the triple point
    theirs = np.array([state.h for state in states]) * 1e3
    ours = water().enthalpy_j_kg(TEMPS_K[::2])
    assert np.max(np.abs((ours - ours[0]) - (theirs - theirs[0]))) < 2.0  # of 250 kJ/kg


@pytest.mark.parametrize(
    ("coolant", "percent"),
    [(water(), 0.81), (glycol_mass("propylene glycol", 0.3), 1.31)],  # computed with CoolProp 8.0.0
)
def test_expansion_from_20_to_45_celsius(coolant, percent):
    assert 100.0 * coolant.expansion_frac(293.15, 318.15) == pytest.approx(percent, abs=0.02)


def test_volume_percent_is_not_mass_percent():
    # 25 % by volume is 25.7 % by mass of propylene, 27.1 % of ethylene glycol: ideal mixing, own computation
    assert glycol_volume("propylene glycol", 0.25).mass_frac == pytest.approx(0.257, abs=5e-4)
    assert glycol_volume("ethylene glycol", 0.25).mass_frac == pytest.approx(0.271, abs=5e-4)
