"""Air against psychrolib (moist air), fluids (standard atmosphere) and CoolProp (transport), all computed live."""

import fluids
import numpy as np
import psychrolib
import pytest
from CoolProp.CoolProp import HAPropsSI, PropsSI

from headrace.fluids import air
from headrace.fluids.air import Air

psychrolib.SetUnitSystem(psychrolib.SI)
TEMPS_C = (5.0, 15.0, 25.0, 35.0, 45.0)


@pytest.mark.parametrize("altitude_m", [-300.0, 0.0, 250.0, 1000.0, 2500.0, 5000.0, 10500.0])
def test_pressure_against_the_standard_atmosphere(altitude_m):
    assert air.pressure_pa(altitude_m) == pytest.approx(fluids.ATMOSPHERE_1976(altitude_m).P, rel=2e-6)


@pytest.mark.parametrize("celsius", TEMPS_C)
@pytest.mark.parametrize("humidity", [0.0, 0.3, 0.6, 0.9])
@pytest.mark.parametrize("altitude_m", [0.0, 1500.0])
def test_density_against_psychrolib(celsius, humidity, altitude_m):
    pressure = float(air.pressure_pa(altitude_m))
    ratio = psychrolib.GetHumRatioFromRelHum(celsius, humidity, pressure)
    theirs = psychrolib.GetMoistAirDensity(celsius, ratio, pressure)
    ours = Air.at(altitude_m, humidity, celsius + 273.15).density_kg_m3(celsius + 273.15)
    assert ours == pytest.approx(theirs, rel=2e-4)


@pytest.mark.parametrize("celsius", TEMPS_C)
@pytest.mark.parametrize("humidity", [0.0, 0.5, 0.9])
def test_heat_capacity_against_coolprop(celsius, humidity):
    temp_k = celsius + 273.15
    theirs = HAPropsSI("cp_ha", "T", temp_k, "P", 101325.0, "R", humidity)
    assert Air.at(0.0, humidity, temp_k).heat_capacity_j_kg_k(temp_k) == pytest.approx(theirs, rel=4e-3)


@pytest.mark.parametrize("celsius", TEMPS_C)
def test_saturation_pressure_against_psychrolib(celsius):
    assert air.saturation_pa(celsius + 273.15) == pytest.approx(psychrolib.GetSatVapPres(celsius), rel=3e-3)


@pytest.mark.parametrize("celsius", TEMPS_C)
@pytest.mark.parametrize("humidity", [0.4, 0.6, 0.95])
def test_dew_point_against_psychrolib(celsius, humidity):
    theirs = psychrolib.GetTDewPointFromRelHum(celsius, humidity)
    if theirs < 0.5:
        pytest.skip("below freezing psychrolib gives the frost point")
    assert air.dew_point_k(celsius + 273.15, humidity) - 273.15 == pytest.approx(theirs, abs=0.05)


def test_transport_against_coolprop():
    temps = np.linspace(253.15, 353.15, 21)
    viscosity = [PropsSI("V", "T", t, "P", 101325.0, "Air") for t in temps]
    conductivity = [PropsSI("L", "T", t, "P", 101325.0, "Air") for t in temps]
    dry = Air(101325.0, 0.0)
    assert np.max(np.abs(dry.viscosity_pa_s(temps) / viscosity - 1.0)) < 6.5e-3
    assert np.max(np.abs(dry.conductivity_w_m_k(temps) / conductivity - 1.0)) < 1.4e-3
