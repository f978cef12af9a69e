"""The closed list of suffixes, and columns there and back."""

import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from headrace.units import SUFFIXES, Kind, convert_in, convert_out, kind_of, read_unit
from headrace.units.table import STRICT

NAMES = (
    ("bore_m", Kind.LENGTH),
    ("flow_m3_s", Kind.FLOW),
    ("air_flow_m3_s", Kind.AIR_FLOW),
    ("mass_flow_kg_s", Kind.MASS_FLOW),
    ("dp_pa", Kind.PRESSURE),
    ("abs_pa", Kind.ABS_PRESSURE),
    ("ambient_k", Kind.TEMPERATURE),
    ("coolant_temp_k", Kind.TEMPERATURE),
    ("rise_k", Kind.TEMP_DIFFERENCE),
    ("margin_k", Kind.TEMP_DIFFERENCE),
    ("heat_w", Kind.HEAT),
    ("speed_hz", Kind.SPEED),
    ("bend_rad", Kind.ANGLE),
    ("duty_frac", Kind.FRACTION),
    ("noise_db", Kind.SOUND),
    ("resistance_k_w", Kind.RESISTANCE),
    ("ua_w_k", Kind.CONDUCTANCE),
    ("conductivity_w_m_k", Kind.CONDUCTIVITY),
    ("viscosity_pa_s", Kind.VISCOSITY),
    ("density_kg_m3", Kind.DENSITY),
    ("heat_capacity_j_k", Kind.HEAT_CAPACITY),
    ("specific_heat_j_kg_k", Kind.SPECIFIC_HEAT),
    ("velocity_m_s", Kind.VELOCITY),
    ("time_constant_s", Kind.TIME),
)


@pytest.mark.parametrize(("name", "kind"), NAMES)
def test_the_longest_suffix_decides(name, kind):
    assert kind_of(name) is kind


@pytest.mark.parametrize("name", ["re", "prandtl", "bore_mm", "flow", ""])
def test_a_name_without_a_suffix_is_refused(name):
    with pytest.raises(KeyError):
        kind_of(name)


def test_every_kind_but_a_signed_length_has_a_suffix():
    assert set(Kind) - set(SUFFIXES.values()) == {Kind.POSITION}


@given(st.data(), st.sampled_from([kind for kind in Kind if kind is not Kind.MONEY]))
def test_a_column_comes_back(data, kind):
    unit = read_unit(data.draw(st.sampled_from(sorted(STRICT[kind]))), kind)
    numbers = data.draw(st.lists(st.floats(-1e6, 1e6), max_size=5))
    back = convert_out(convert_in(numbers, unit), unit)
    np.testing.assert_allclose(back, numbers, rtol=1e-12, atol=1e-12 * (1 + abs(unit.offset)) * unit.down / unit.up)


@pytest.mark.parametrize("thousandths", range(1, 2000, 7))
def test_a_whole_number_of_millimetres_is_the_nearest_float(thousandths):
    assert read_unit("mm", Kind.LENGTH).to_si(thousandths) == float(f"{thousandths}e-3")


def test_reading_units_loads_no_unit_library():
    code = "import sys, headrace.units; sys.exit('pint' in sys.modules or 'scipy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
