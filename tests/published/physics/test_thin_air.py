"""Thin air through a radiator of points, against the geometry of a generic core at two altitudes."""

import pytest

from headrace.fluids.air import Air
from headrace.fluids.coolant import water
from headrace.physics.core import Core
from headrace.physics.heat import capacity_w_k
from headrace.physics.radiator import thin_air_w_k

CORE = Core(0.355, 12, 1, 2, 0.002, 0.018, 0.00025, 0.0072, 0.0015875, 6e-5, 360.0, 0.0011, 0.4712389, 0.0058)
AIR_K, WATER_K, FLOW = 298.15, 308.15, 4 / 60e3


def strength(air, air_flow):
    """Of the core by its own laws: W/K and the capacity rate of its air."""
    density, cp = air.density_kg_m3(AIR_K), air.heat_capacity_j_kg_k(AIR_K)
    fluid = water()
    rho, mu = fluid.density_kg_m3(WATER_K), fluid.viscosity_pa_s(WATER_K)
    cool = fluid.heat_capacity_j_kg_k(WATER_K), fluid.conductivity_w_m_k(WATER_K)
    outside = CORE.air_w_k(air_flow, density, air.viscosity_pa_s(AIR_K), cp, air.conductivity_w_m_k(AIR_K))
    ua = CORE.ua_w_k(outside, CORE.coolant_w_k(FLOW, rho, mu, *cool))
    capacity = capacity_w_k(air_flow, density, cp)
    return float(CORE.strength_w_k(ua, capacity, capacity_w_k(FLOW, rho, cool[0]))), float(capacity)


@pytest.mark.parametrize("altitude_m", [500.0, 1500.0, 3000.0])
@pytest.mark.parametrize("m3_h", [60.0, 120.0, 180.0, 300.0])
def test_points_thin_out_as_the_core_they_were_taken_on(altitude_m, m3_h):
    low, high = Air.at(0.0, 0.0, AIR_K), Air.at(altitude_m, 0.0, AIR_K)
    at_sea, _ = strength(low, m3_h / 3600)
    there, capacity = strength(high, m3_h / 3600)
    ratio = high.pressure_pa / low.pressure_pa
    found = float(thin_air_w_k(at_sea, capacity, ratio))
    assert found == pytest.approx(there, rel=0.05)
    assert found < at_sea


def test_the_worked_figure():
    # 37.8 W/K at 180 m3/h become 33.7 at 1500 m: own independent script with CoolProp 8.0.0 and ht 1.2.0
    assert thin_air_w_k(37.83, 49.75, 0.83454) == pytest.approx(33.70, rel=0.02)


def test_what_its_air_cannot_carry_stays_more_than_it_can_carry():
    assert thin_air_w_k(60.0, 40.0, 0.8) == pytest.approx(48.0)
    assert thin_air_w_k(20.0, 0.0, 0.8) == pytest.approx(20.0 * 0.8**0.75)
