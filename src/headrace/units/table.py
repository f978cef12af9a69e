"""The units each kind may be typed in, their factors, and the spellings taken for each.

Answers   which unit a spelling means, kind by kind
Assumes   gallon and fluid ounce are the US ones and are named so; water columns are the conventional
          1000 kg/m3 under 9.80665 m/s2; month and year are 30.4375 and 365.25 days
"""

from __future__ import annotations

from math import pi
from typing import NamedTuple

from headrace.units.kinds import Kind, Unit

_HOUR = 3600.0
_US_GALLON = 231 * 0.0254**3  # 231 cubic inches, exact by definition
_POUND = 0.45359237  # exact by definition
_GRAVITY = 9.80665  # conventional, exact by definition
_PSI = _POUND * _GRAVITY / 0.0254**2
_FOOT = 0.3048


class Row(NamedTuple):
    """One unit as written in the table; the first spelling is the one shown."""

    spellings: str  # parted by "|"
    up: float = 1.0
    down: float = 1.0
    offset: float = 0.0
    exact: bool = False  # True when another case would read as another prefix or unit (mPa and MPa)


_LENGTH = (
    Row("m|metre|meter", exact=True),
    Row("mm", 1, 1e3, exact=True),
    Row("cm", 1, 100),
    Row("µm|um", 1, 1e6, exact=True),
    Row('in|inch|inches|"', 254, 1e4),
    Row("ft|foot|feet", _FOOT),
)
_FLOW = (
    Row("L/h|L/hr|litre/h", 1, 1e3 * _HOUR),
    Row("L/min", 1, 6e4),
    Row("mL/min", 1, 6e7, exact=True),
    Row("L/s", 1, 1e3),
    Row("m³/h|m³/hr", 1, _HOUR),
    Row("m³/s"),
    Row("US gpm|gpm|gpm(US)|gal/min(US)|US gal/min", _US_GALLON, 60),
    Row("cfm|ft³/min", _FOOT**3, 60),
)
_PRESSURE = (
    Row("Pa", exact=True),
    Row("hPa", 100),
    Row("kPa", 1e3),
    Row("MPa", 1e6, exact=True),
    Row("mbar", 100, exact=True),
    Row("bar", 1e5),
    Row("psi", _PSI),
    Row("mH2O|mH₂O|mWC", 1e3 * _GRAVITY, exact=True),
    Row("mmH2O|mmH₂O|mmWC", _GRAVITY, exact=True),
    Row("inH2O|inH₂O", 25.4 * _GRAVITY),
    Row("ftH2O|ftH₂O", 304.8 * _GRAVITY),
)
_TEMPERATURE = (
    Row("°C|degC|deg C|° C", 1, 1, 273.15),
    Row("K|kelvin", exact=True),
    Row("°F|degF|deg F|° F", 5, 9, 459.67 * 5 / 9),
)

ROWS: dict[Kind, tuple[Row, ...]] = {
    Kind.LENGTH: _LENGTH,
    Kind.POSITION: _LENGTH,
    Kind.AREA: (Row("m²"), Row("cm²", 1, 1e4), Row("mm²", 1, 1e6, exact=True), Row("in²|sq in", 64516, 1e8)),
    Kind.VOLUME: (
        Row("m³"),
        Row("L|litre|liter|dm³", 1, 1e3),
        Row("mL|cm³", 1, 1e6, exact=True),
        Row("mm³", 1, 1e9, exact=True),
        Row("US fl oz|fl oz(US)", _US_GALLON, 128),
        Row("US gal|gal(US)", _US_GALLON),
    ),
    Kind.MASS: (
        Row("kg"),
        Row("g|gram", 1, 1e3, exact=True),
        Row("mg", 1, 1e6, exact=True),
        Row("lb|lbs", _POUND),
        Row("oz", _POUND, 16),
    ),
    Kind.TIME: (
        Row("s|sec|second|seconds", exact=True),
        Row("ms", 1, 1e3, exact=True),
        Row("min|minute|minutes", 60),
        Row("h|hr|hour|hours", _HOUR, exact=True),
        Row("days|day|d", 24 * _HOUR),
        Row("weeks|week", 168 * _HOUR),
        Row("months|month", 30.4375 * 24 * _HOUR),
        Row("years|year", 365.25 * 24 * _HOUR),
    ),
    Kind.FLOW: _FLOW,
    Kind.AIR_FLOW: _FLOW,
    Kind.MASS_FLOW: (Row("kg/s"), Row("kg/h", 1, _HOUR), Row("kg/min", 1, 60), Row("g/s", 1, 1e3, exact=True)),
    Kind.VELOCITY: (
        Row("m/s", exact=True),
        Row("mm/s", 1, 1e3, exact=True),
        Row("cm/s", 1, 100),
        Row("ft/s", _FOOT),
        Row("ft/min|fpm", _FOOT, 60),
    ),
    Kind.PRESSURE: _PRESSURE,
    Kind.ABS_PRESSURE: (*_PRESSURE, Row("atm", 101325)),
    Kind.TEMPERATURE: _TEMPERATURE,
    Kind.TEMP_DIFFERENCE: (Row("K|kelvin", exact=True), Row("mK", 1, 1e3, exact=True)),
    Kind.HEAT: (Row("W|watt|watts"), Row("mW", 1, 1e3, exact=True), Row("kW", 1e3), Row("MW", 1e6, exact=True)),
    Kind.RESISTANCE: (Row("K/W|°C/W|degC/W|C/W"), Row("mK/W", 1, 1e3, exact=True)),
    Kind.CONDUCTANCE: (Row("W/K|W/°C|W/degC"), Row("kW/K", 1e3)),
    Kind.CURRENT: (Row("A|amp|amps"), Row("mA", 1, 1e3, exact=True)),
    Kind.VOLTAGE: (Row("V|volt|volts"), Row("mV", 1, 1e3, exact=True)),
    Kind.SPEED: (Row("rpm|1/min|r/min|rev/min", 1, 60), Row("1/s|Hz|rev/s")),
    Kind.ANGLE: (Row("°|deg|degree|degrees", pi, 180), Row("rad", exact=True), Row("mrad", 1, 1e3, exact=True)),
    Kind.FRACTION: (Row("%|percent", 1, 100),),
    Kind.VOLUME_FRACTION: (Row("vol%|vol.%|%vol|%v/v|%(v/v)|% by volume", 1, 100),),
    Kind.MASS_FRACTION: (Row("mass%|wt%|%mass|%wt|%w/w|%(w/w)|% by mass", 1, 100),),
    Kind.SOUND: (Row("dBA|dB(A)"),),
    Kind.DENSITY: (Row("kg/m³"), Row("g/cm³|g/mL", 1e3, exact=True), Row("kg/L", 1e3)),
    Kind.VISCOSITY: (Row("Pa s", exact=True), Row("mPa s|cP", 1, 1e3, exact=True)),
    Kind.HEAT_CAPACITY: (Row("J/K|J/°C"), Row("kJ/K|kJ/°C", 1e3)),
    Kind.SPECIFIC_HEAT: (
        Row("J/(kg K)|J/kg/K|J/kg K|J/kgK|J/(kgK)"),
        Row("kJ/(kg K)|kJ/kg/K|kJ/kg K|kJ/kgK", 1e3),
    ),
    Kind.CONDUCTIVITY: (Row("W/(m K)|W/m/K|W/m K|W/mK|W/(mK)"),),
    Kind.MONEY: (),  # any three capital letters; the currency stays as typed
}


def plain(spelling: str) -> str:
    """A spelling without typographic marks: raised digits, dots, carets and spaces round a stroke."""
    text = spelling.translate(_PLAIN)
    for mark in "/()%":
        if mark in text:
            text = mark.join(part.strip() for part in text.split(mark))
    return " ".join(text.split())


_PLAIN = str.maketrans({"²": "2", "³": "3", "₂": "2", "μ": "u", "µ": "u", "^": "", "·": " ", "*": " ", ".": " "})


def _table(kind: Kind) -> tuple[dict[str, Unit], dict[str, Unit]]:
    strict: dict[str, Unit] = {}
    loose: dict[str, Unit] = {}
    for row in ROWS[kind]:
        spellings = row.spellings.split("|")
        unit = Unit(kind, spellings[0], row.up, row.down, row.offset)
        for spelling in spellings:
            strict[spelling] = strict[plain(spelling)] = unit
            if row.exact:
                strict.setdefault(plain(spelling).replace("L", "l"), unit)
            else:
                loose[plain(spelling).casefold()] = unit
    return strict, loose


STRICT: dict[Kind, dict[str, Unit]] = {}
LOOSE: dict[Kind, dict[str, Unit]] = {}
for _kind in Kind:
    STRICT[_kind], LOOSE[_kind] = _table(_kind)


def find_unit(text: str, kind: Kind) -> Unit | None:
    """The unit that `text` spells for `kind`, or None. Case is forgiven only where no prefix could be mistaken."""
    unit = STRICT[kind].get(text)
    if unit is not None:
        return unit
    if kind is Kind.MONEY:
        is_code = len(text) == 3 and text.isascii() and text.isalpha() and text.isupper()
        return Unit(kind, text) if is_code else None
    simple = plain(text)
    return STRICT[kind].get(simple) or LOOSE[kind].get(simple.casefold())


DEFAULT_TEXT: dict[Kind, str] = {
    Kind.LENGTH: "mm",
    Kind.POSITION: "mm",
    Kind.AREA: "cm²",
    Kind.VOLUME: "mL",
    Kind.MASS: "g",
    Kind.TIME: "min",
    Kind.FLOW: "L/h",
    Kind.AIR_FLOW: "m³/h",
    Kind.PRESSURE: "kPa",
    Kind.ABS_PRESSURE: "kPa",
    Kind.VISCOSITY: "mPa s",
    Kind.MONEY: "EUR",
}


def usual_text(kind: Kind) -> str:
    """The unit a sentence suggests for `kind`: the default one, or the first of its table."""
    return DEFAULT_TEXT.get(kind) or ROWS[kind][0].spellings.split("|")[0]
