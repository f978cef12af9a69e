"""Every factor against an independent library, computed with pint 0.25.3; and where pint misreads what people type."""

import functools

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from headrace.units import Kind, UnitFault, convert_in, read_figure, read_unit

# our spelling, its kind, the same unit as pint spells it, the SI base as pint spells it
PAIRS = (
    *((ours, Kind.LENGTH, pints, "m") for ours, pints in (("mm", "mm"), ("cm", "cm"), ("µm", "um"), ("m", "m"))),
    *((ours, Kind.LENGTH, pints, "m") for ours, pints in (("in", "inch"), ("ft", "foot"))),
    *((ours, Kind.AREA, pints, "m^2") for ours, pints in (("mm²", "mm^2"), ("cm2", "cm^2"), ("in²", "inch^2"))),
    *((ours, Kind.VOLUME, pints, "m^3") for ours, pints in (("mL", "mL"), ("L", "L"), ("cm³", "cm^3"))),
    *((ours, Kind.VOLUME, pints, "m^3") for ours, pints in (("US gal", "US_liquid_gallon"), ("mm3", "mm^3"))),
    ("US fl oz", Kind.VOLUME, "US_fluid_ounce", "m^3"),
    *((unit, Kind.MASS, unit, "kg") for unit in ("kg", "g", "mg", "lb", "oz")),
    *((unit, Kind.TIME, unit, "s") for unit in ("s", "ms", "min", "hour", "day", "week", "month", "year")),
    *((ours, Kind.FLOW, pints, "m^3/s") for ours, pints in (("L/h", "L/hour"), ("L/min", "L/min"), ("L/s", "L/s"))),
    *((ours, Kind.FLOW, pints, "m^3/s") for ours, pints in (("mL/min", "mL/min"), ("m³/h", "m^3/hour"))),
    ("gpm", Kind.FLOW, "US_liquid_gallon/min", "m^3/s"),
    ("cfm", Kind.AIR_FLOW, "foot^3/min", "m^3/s"),
    *((unit, Kind.MASS_FLOW, unit.replace("/h", "/hour"), "kg/s") for unit in ("kg/s", "kg/h", "kg/min", "g/s")),
    *((unit, Kind.VELOCITY, unit, "m/s") for unit in ("m/s", "mm/s", "cm/s", "ft/s", "ft/min")),
    *((unit, Kind.PRESSURE, unit, "Pa") for unit in ("Pa", "hPa", "kPa", "MPa", "mbar", "bar", "psi")),
    *((ours, Kind.PRESSURE, pints, "Pa") for ours, pints in (("mH2O", "meter_H2O"), ("mmH2O", "mmH2O"))),
    *((ours, Kind.PRESSURE, pints, "Pa") for ours, pints in (("inH2O", "inch_H2O"), ("ftH2O", "feet_H2O"))),
    ("atm", Kind.ABS_PRESSURE, "atm", "Pa"),
    *((ours, Kind.TEMPERATURE, pints, "K") for ours, pints in (("°C", "degC"), ("°F", "degF"), ("K", "K"))),
    ("mK", Kind.TEMP_DIFFERENCE, "mK", "K"),
    *((unit, Kind.HEAT, unit, "W") for unit in ("W", "kW", "mW", "MW")),
    ("mK/W", Kind.RESISTANCE, "mK/W", "K/W"),
    ("°C/W", Kind.RESISTANCE, "delta_degC/W", "K/W"),
    ("kW/K", Kind.CONDUCTANCE, "kW/K", "W/K"),
    ("W/°C", Kind.CONDUCTANCE, "W/delta_degC", "W/K"),
    ("mA", Kind.CURRENT, "mA", "A"),
    ("mV", Kind.VOLTAGE, "mV", "V"),
    ("rpm", Kind.SPEED, "turn/min", "turn/s"),
    *((ours, Kind.ANGLE, pints, "rad") for ours, pints in (("°", "degree"), ("mrad", "mrad"))),
    ("%", Kind.FRACTION, "percent", ""),
    *((ours, Kind.DENSITY, ours.replace("³", "^3"), "kg/m^3") for ours in ("kg/m³", "g/cm³", "kg/L")),
    *((ours, Kind.VISCOSITY, pints, "Pa*s") for ours, pints in (("mPa s", "mPa*s"), ("cP", "centipoise"))),
    ("kJ/K", Kind.HEAT_CAPACITY, "kJ/K", "J/K"),
    ("kJ/(kg K)", Kind.SPECIFIC_HEAT, "kJ/kg/K", "J/kg/K"),
    ("W/(m K)", Kind.CONDUCTIVITY, "W/m/K", "W/m/K"),
)


@functools.cache
def registry():
    return pint.UnitRegistry()


def by_pint(number, unit, base):
    return registry().Quantity(number, unit).to(base).magnitude


@settings(deadline=None)  # the first call builds the pint registry
@given(st.sampled_from(PAIRS), st.floats(1e-6, 1.0) | st.floats(1.0, 1e6))
def test_any_number_in_any_unit_matches_pint(pair, number):
    ours, kind, pints, base = pair
    number = min(number, 100.0) if kind is Kind.FRACTION else number
    expected = by_pint(number, pints, base)
    assert read_figure(f"{number!r} {ours}", kind) == pytest.approx(expected, rel=1e-12)
    assert convert_in([number], read_unit(ours, kind))[0] == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("ours", "kind", "pints", "base"), PAIRS)
def test_each_unit_once_matches_pint(ours, kind, pints, base):
    assert read_figure(f"37.3 {ours}", kind) == pytest.approx(by_pint(37.3, pints, base), rel=1e-12)


MISREAD = (  # text, kind, right value in SI (by hand)
    ("1 1/2 in", Kind.LENGTH, 0.0381),
    ('3/8"', Kind.LENGTH, 0.009525),
    ("1-1/2 in", Kind.LENGTH, 0.0381),
    ("1 gpm", Kind.FLOW, 231 * 0.0254**3 / 60),
    ("1 cfm", Kind.AIR_FLOW, 0.3048**3 / 60),
    ("25 degC", Kind.TEMPERATURE, 298.15),
    ("3 dB(A)", Kind.SOUND, 3.0),
)
BASES = {Kind.LENGTH: "m", Kind.FLOW: "m^3/s", Kind.AIR_FLOW: "m^3/s", Kind.TEMPERATURE: "K", Kind.SOUND: "dB"}


@pytest.mark.parametrize(("text", "kind", "right_si"), MISREAD)
def test_read_right_here_and_wrong_or_not_at_all_by_pint(text, kind, right_si):
    assert read_figure(text, kind) == pytest.approx(right_si, rel=1e-12)
    try:
        pints = registry()(text).to(BASES[kind]).magnitude
    except Exception:  # any way of failing will do
        return
    assert pints != pytest.approx(right_si, rel=1e-3)


def test_decimal_comma_is_zero_to_pint_and_refused_here():
    assert registry()("0,5 l").magnitude == 0
    with pytest.raises(UnitFault) as caught:
        read_figure("0,5 l", Kind.VOLUME)
    assert caught.value.fix == 'Write "0.5 l".'


def test_lpm_is_unknown_to_pint_and_gets_a_sentence_here():
    with pytest.raises(pint.UndefinedUnitError):
        registry()("2 LPM")
    with pytest.raises(UnitFault) as caught:
        read_figure("2 LPM", Kind.FLOW)
    assert caught.value.fix == 'Write "2 L/min".'
