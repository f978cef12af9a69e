"""Conversion factors against printed definitions.

Sources are named from memory, not copied from an open page: NIST SP 811 (appendix B), the international yard and
pound agreement of 1959, BIPM SI brochure, NIST Handbook 44 (US gallon). Values marked exact are definitions.
"""

import pytest

from headrace.units import Kind, read_figure

EXACT = (
    ("1 in", Kind.LENGTH, 0.0254),  # 1959 agreement, exact
    ("1 ft", Kind.LENGTH, 0.3048),  # 1959 agreement, exact
    ("1 in²", Kind.AREA, 6.4516e-4),  # from memory of NIST SP 811, exact
    ("1 US gal", Kind.VOLUME, 3.785411784e-3),  # 231 cubic inches, from memory of NIST Handbook 44, exact
    ("1 US fl oz", Kind.VOLUME, 2.95735295625e-5),  # 1/128 US gallon, exact
    ("1 lb", Kind.MASS, 0.45359237),  # 1959 agreement, exact
    ("16 oz", Kind.MASS, 0.45359237),  # avoirdupois, exact
    ("1 bar", Kind.PRESSURE, 1e5),  # from memory of the SI brochure, exact
    ("1 mbar", Kind.PRESSURE, 100.0),
    ("1 mH2O", Kind.PRESSURE, 9806.65),  # conventional water, from memory of NIST SP 811, exact
    ("1 mmH2O", Kind.PRESSURE, 9.80665),  # conventional water, from memory of NIST SP 811, exact
    ("1 atm", Kind.ABS_PRESSURE, 101325.0),  # from memory of the SI brochure, exact
    ("0 °C", Kind.TEMPERATURE, 273.15),  # from memory of the SI brochure, exact
    ("32 °F", Kind.TEMPERATURE, 273.15),  # from memory of NIST SP 811, exact
    ("212 °F", Kind.TEMPERATURE, 373.15),  # from memory of NIST SP 811, exact
    ("1 cP", Kind.VISCOSITY, 1e-3),  # from memory of NIST SP 811, exact
    ("1 L", Kind.VOLUME, 1e-3),  # from memory of the SI brochure, exact
    ("60 rpm", Kind.SPEED, 1.0),
    ("1 year", Kind.TIME, 31_557_600.0),  # Julian year, 365.25 days
    ("1 month", Kind.TIME, 2_629_800.0),  # one twelfth of it
)


@pytest.mark.parametrize(("text", "kind", "value_si"), EXACT)
def test_definitions_hold(text, kind, value_si):
    assert read_figure(text, kind) == pytest.approx(value_si, rel=4e-16)


PRINTED = (
    ("1 psi", Kind.PRESSURE, 6894.757, 5e-4),  # from memory of NIST SP 811, seven digits printed
    ("1 inH2O", Kind.PRESSURE, 249.0889, 5e-5),  # conventional, from memory of NIST SP 811
    ("1 ftH2O", Kind.PRESSURE, 2989.067, 5e-4),  # conventional, from memory of NIST SP 811
    ("1 US gpm", Kind.FLOW, 6.309020e-5, 5e-12),  # from memory of NIST SP 811
    ("1 cfm", Kind.AIR_FLOW, 4.719474e-4, 5e-11),  # from memory of NIST SP 811
    ("1 ft/min", Kind.VELOCITY, 5.08e-3, 5e-12),  # from memory of NIST SP 811, exact
    ("1 °", Kind.ANGLE, 0.01745329, 5e-9),  # pi / 180
)


@pytest.mark.parametrize(("text", "kind", "printed", "half_digit"), PRINTED)
def test_printed_factors_to_their_last_digit(text, kind, printed, half_digit):
    assert read_figure(text, kind) == pytest.approx(printed, abs=half_digit)


FRACTIONS = (
    ("3/8 in", 9.525e-3),
    ('3/8"', 9.525e-3),
    ("1 1/2 in", 38.1e-3),
    ('1-1/2"', 38.1e-3),
    ("1½ in", 38.1e-3),
    ("½\u00a0in", 12.7e-3),
    ("1\u00a01/2\u202fin", 38.1e-3),
    ("1/4 in", 6.35e-3),
)


@pytest.mark.parametrize(("text", "value_m"), FRACTIONS)
def test_inch_fractions(text, value_m):  # the inch is 25.4 mm, the rest is by hand
    assert read_figure(text, Kind.LENGTH) == pytest.approx(value_m, rel=4e-16)
