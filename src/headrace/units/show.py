"""Showing numbers: the only place where a number and a unit become text for people.

Answers   how a value in SI reads on a screen or a sheet, metric or US, with digits that mean something
Assumes   text shown here can be read back by `parse` to within its last digit
"""

from __future__ import annotations

from math import floor, isinf, isnan, log10
from typing import Literal, NamedTuple, TypeAlias

from headrace.units.figure import Figure
from headrace.units.kinds import Kind, Unit, kind_of
from headrace.units.refuse import UnitFault, wanted
from headrace.units.table import find_unit, usual_text

System: TypeAlias = Literal["metric", "us"]
_UNKNOWN = "unknown"
_LARGE = 1e7  # above this a number in a fixed format is harder to read than its power of ten


class _Step(NamedTuple):
    """One unit of a display ladder: used from `from_si` up."""

    unit: str
    decimals: int
    from_si: float = 0.0
    trim: bool = False  # drop zeros at the end: 9 mm, 9.5 mm
    significant: int = 0  # when set, so many figures instead of fixed decimals


def _few(unit: str, from_si: float = 0.0) -> _Step:
    return _Step(unit, 0, from_si, True, 3)


_LENGTH = (_Step("mm", 1, trim=True), _Step("m", 2, 10.0))
_PRESSURE = (_Step("Pa", 1, trim=True), _Step("Pa", 0, 10.0), _Step("kPa", 1, 999.5), _Step("MPa", 2, 1e6))
_SPAN = (_Step("%", 1, trim=True),)
_METRIC: dict[Kind, tuple[_Step, ...]] = {
    Kind.LENGTH: _LENGTH,
    Kind.POSITION: _LENGTH,
    Kind.AREA: (_few("mm²"), _few("cm²", 1e-4), _few("m²", 0.1)),
    Kind.VOLUME: (_Step("mL", 1, trim=True), _Step("mL", 0, 1e-5), _Step("L", 2, 1e-3)),
    Kind.MASS: (_Step("g", 1, trim=True), _Step("g", 0, 0.01), _Step("kg", 2, 1.0)),
    Kind.TIME: (_few("s"), _Step("min", 1, 120.0, True), _Step("h", 1, 7200.0, True), _Step("days", 1, 172800.0, True)),
    Kind.FLOW: (_Step("L/h", 1), _Step("L/h", 0, 9.95 / 3.6e6), _Step("m³/h", 1, 1 / 360)),
    Kind.AIR_FLOW: (_Step("m³/h", 1), _Step("m³/h", 0, 99.95 / 3600)),
    Kind.MASS_FLOW: (_few("g/s"), _few("kg/s", 1.0)),
    Kind.VELOCITY: (_Step("m/s", 2),),
    Kind.PRESSURE: _PRESSURE,
    Kind.ABS_PRESSURE: _PRESSURE,
    Kind.TEMPERATURE: (_Step("°C", 1),),
    Kind.TEMP_DIFFERENCE: (_Step("K", 1),),
    Kind.HEAT: (_Step("W", 1), _Step("W", 0, 9.95), _Step("kW", 2, 1e4)),
    Kind.RESISTANCE: (_few("K/W"),),
    Kind.CONDUCTANCE: (_few("W/K"),),
    Kind.CURRENT: (_Step("mA", 0), _Step("A", 2, 0.0995)),
    Kind.VOLTAGE: (_Step("V", 2, trim=True),),
    Kind.SPEED: (_Step("rpm", 0),),
    Kind.ANGLE: (_Step("°", 1, trim=True),),
    Kind.FRACTION: _SPAN,
    Kind.VOLUME_FRACTION: (_Step("vol%", 1, trim=True),),
    Kind.MASS_FRACTION: (_Step("mass%", 1, trim=True),),
    Kind.SOUND: (_Step("dBA", 1),),
    Kind.DENSITY: (_Step("kg/m³", 1), _Step("kg/m³", 0, 99.95)),
    Kind.VISCOSITY: (_few("mPa s"),),
    Kind.HEAT_CAPACITY: (_few("J/K"), _few("kJ/K", 1e4)),
    Kind.SPECIFIC_HEAT: (_Step("J/(kg K)", 0),),
    Kind.CONDUCTIVITY: (_few("W/(m K)"),),
    Kind.MONEY: (_Step("", 2),),
}
_US_LENGTH = (_Step("in", 3, trim=True), _Step("ft", 1, 3.048))
_US_PRESSURE = (_Step("psi", 2),)
_US: dict[Kind, tuple[_Step, ...]] = _METRIC | {
    Kind.LENGTH: _US_LENGTH,
    Kind.POSITION: _US_LENGTH,
    Kind.AREA: (_few("in²"),),
    Kind.VOLUME: (_Step("US fl oz", 1), _Step("US gal", 2, 0.00378541)),
    Kind.MASS: (_Step("oz", 1), _Step("lb", 2, 0.45359237)),
    Kind.FLOW: (_Step("US gpm", 2),),
    Kind.AIR_FLOW: (_Step("cfm", 1),),
    Kind.VELOCITY: (_Step("ft/s", 2),),
    Kind.PRESSURE: _US_PRESSURE,
    Kind.ABS_PRESSURE: _US_PRESSURE,
    Kind.TEMPERATURE: (_Step("°F", 1),),
}


def show(
    value_si: float | None,
    kind: Kind | str,
    system: System = "metric",
    digits: int | None = None,
    unit: str | None = None,
) -> str:
    """A value in SI as people read it: "204 L/h", "43.7 °C", "0.15 K/W"; None and nan read "unknown".

    `kind` is a Kind or a name with a suffix ("bore_m"). `digits` sets the decimals, `unit` the unit (any spelling
    of the kind, or the currency of a price). Raises KeyError for a name without a suffix, UnitFault for a unit of
    another kind.
    """
    kind = kind if isinstance(kind, Kind) else kind_of(kind)
    if value_si is None or isnan(value_si):
        return _UNKNOWN
    if isinstance(value_si, Figure) and kind is Kind.MONEY and unit is None:
        unit = value_si.unit
    step, shown_in = _choose(float(value_si), kind, system, unit)
    return _join(_digits(shown_in.from_si(float(value_si)), step, digits), shown_in.text)


def show_difference(diff_k: float | None, digits: int | None = None) -> str:
    """A temperature difference in K as text, in kelvin in both systems so that it is never taken for a state."""
    return show(diff_k, Kind.TEMP_DIFFERENCE, digits=digits)


def show_span(
    low_si: float | None,
    high_si: float | None,
    kind: Kind | str,
    system: System = "metric",
    digits: int | None = None,
    unit: str | None = None,
) -> str:
    """Two values in SI in one unit: "60 to 80 L/h". Either one unknown makes the whole unknown."""
    return _pair(low_si, high_si, " to ", kind, system, digits, unit)


def show_with_sigma(
    value_si: float | None,
    sigma_si: float | None,
    kind: Kind | str,
    system: System = "metric",
    digits: int | None = None,
    unit: str | None = None,
) -> str:
    """A value and its standard uncertainty, both in SI: "3 ± 2 mm"; without sigma the value alone."""
    if sigma_si is None:
        return show(value_si, kind, system, digits, unit)
    return _pair(value_si, sigma_si, " ± ", kind, system, digits, unit)


def unit_text(kind: Kind | str, system: System = "metric", value_si: float = 0.0) -> str:
    """The unit `show` would use, for the head of a column: "L/h"."""
    kind = kind if isinstance(kind, Kind) else kind_of(kind)
    return _choose(value_si, kind, system, None)[1].text


def _pair(
    first_si: float | None,
    second_si: float | None,
    between: str,
    kind: Kind | str,
    system: System,
    digits: int | None,
    unit: str | None,
) -> str:
    kind = kind if isinstance(kind, Kind) else kind_of(kind)
    if first_si is None or second_si is None or isnan(first_si) or isnan(second_si):
        return _UNKNOWN
    is_width = "±" in between
    largest = first_si if is_width else max(first_si, second_si, key=abs)
    step, shown_in = _choose(largest, kind, system, unit)
    second = second_si * shown_in.down / shown_in.up if is_width else shown_in.from_si(second_si)
    numbers = (_digits(number, step, digits) for number in (shown_in.from_si(first_si), second))
    return _join(between.join(numbers), shown_in.text)


def _choose(value_si: float, kind: Kind, system: System, unit: str | None) -> tuple[_Step, Unit]:
    ladder = (_US if system == "us" else _METRIC)[kind]
    if unit is not None:
        found = find_unit(unit, kind)
        if found is None:
            raise UnitFault(f'"{unit}" is no unit here', wanted((kind,)), f'Use a unit such as "{usual_text(kind)}".')
        known = [step for step in (*_METRIC[kind], *_US[kind]) if step.unit == found.text or kind is Kind.MONEY]
        near = [step for step in known if abs(value_si) >= step.from_si]
        return (near or [_few(found.text)])[-1], found
    step = [step for step in ladder if abs(value_si) >= step.from_si or step is ladder[0]][-1]
    return step, find_unit(step.unit, kind) or Unit(kind, step.unit)


def _digits(number: float, step: _Step, digits: int | None) -> str:
    if isinf(number):
        return "infinite" if number > 0 else "-infinite"
    if digits is None and step.significant and number != 0.0:
        return _significant(number, step.significant)
    if abs(number) >= _LARGE:
        return f"{number:.3e}"
    text = f"{number:.{step.decimals if digits is None else digits}f}"
    if digits is None and step.trim and "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.lstrip("-") if float(text) == 0.0 else text


def _significant(number: float, figures: int) -> str:
    decimals = figures - 1 - floor(log10(abs(number)))
    if not -4 <= decimals <= 9:
        return f"{number:.{figures - 1}e}"
    text = f"{number:.{max(decimals, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _join(number: str, unit: str) -> str:
    return f"{number}{unit}" if unit == "°" else f"{number} {unit}".rstrip()
