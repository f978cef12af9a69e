"""Physical kinds: what a number can be, and which name suffix says so.

Answers   which kind a field, column or JSON key holds, from the closed list of suffixes
Assumes   every name that crosses a module boundary ends in one of SUFFIXES
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from headrace.units.number import Array


class Kind(StrEnum):
    """One physical kind; its value is the word a person would use for it."""

    LENGTH = "length"
    POSITION = "position"
    AREA = "area"
    VOLUME = "volume"
    MASS = "mass"
    TIME = "time"
    FLOW = "flow"
    AIR_FLOW = "air flow"
    MASS_FLOW = "mass flow"
    VELOCITY = "velocity"
    PRESSURE = "pressure"
    ABS_PRESSURE = "absolute pressure"
    TEMPERATURE = "temperature"
    TEMP_DIFFERENCE = "temperature difference"
    HEAT = "heat or power"
    RESISTANCE = "thermal resistance"
    CONDUCTANCE = "thermal conductance"
    CURRENT = "current"
    VOLTAGE = "voltage"
    SPEED = "rotation speed"
    ANGLE = "angle"
    FRACTION = "fraction"
    VOLUME_FRACTION = "volume fraction"
    MASS_FRACTION = "mass fraction"
    SOUND = "sound level"
    DENSITY = "density"
    VISCOSITY = "viscosity"
    HEAT_CAPACITY = "heat capacity"
    SPECIFIC_HEAT = "specific heat"
    CONDUCTIVITY = "thermal conductivity"
    MONEY = "price"

    @property
    def noun(self) -> str:
        """The word with its article, as sentences use it: "a length", "an angle"."""
        return f"an {self.value}" if self.value[0] in "aeiou" else f"a {self.value}"

    @property
    def positive(self) -> bool:
        """True when a value below zero makes no sense."""
        return self not in _SIGNED

    @property
    def is_share(self) -> bool:
        """True for the kinds that run 0 to 1 and are typed in percent."""
        return self in _SHARES


_SIGNED = frozenset(
    {Kind.POSITION, Kind.PRESSURE, Kind.TEMPERATURE, Kind.TEMP_DIFFERENCE, Kind.ANGLE, Kind.SOUND},
)
_SHARES = frozenset({Kind.FRACTION, Kind.VOLUME_FRACTION, Kind.MASS_FRACTION})


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit of one kind: SI = number * up / down + offset.

    Two factors instead of one keep whole numbers correctly rounded: 57 mm is 57 / 1000, not 57 * 0.001.
    `text` is the spelling shown to people.
    """

    kind: Kind
    text: str
    up: float = 1.0
    down: float = 1.0
    offset: float = 0.0

    def to_si(self, number: float) -> float:
        """A number in this unit, in SI."""
        return number * self.up / self.down + self.offset

    def from_si(self, value_si: float) -> float:
        """An SI value as a number in this unit."""
        return (value_si - self.offset) * self.down / self.up

    def width_to_si(self, number: float) -> float:
        """A width (an uncertainty, a difference) in this unit, in SI; the offset plays no part."""
        return number * self.up / self.down


def convert_in(values: ArrayLike, unit: Unit) -> Array:
    """A column of numbers in `unit` as an SI array; the kind is that of the unit."""
    return np.asarray(values, dtype=np.float64) * unit.up / unit.down + unit.offset


def convert_out(values_si: ArrayLike, unit: Unit) -> Array:
    """An SI column as numbers in `unit`."""
    return (np.asarray(values_si, dtype=np.float64) - unit.offset) * unit.down / unit.up


SUFFIXES: dict[str, Kind] = {
    "_m": Kind.LENGTH,
    "_m2": Kind.AREA,
    "_m3": Kind.VOLUME,
    "_kg": Kind.MASS,
    "_s": Kind.TIME,
    "_m3_s": Kind.FLOW,
    "air_flow_m3_s": Kind.AIR_FLOW,
    "_kg_s": Kind.MASS_FLOW,
    "_m_s": Kind.VELOCITY,
    "_pa": Kind.PRESSURE,
    "abs_pa": Kind.ABS_PRESSURE,
    "_k": Kind.TEMPERATURE,
    "rise_k": Kind.TEMP_DIFFERENCE,
    "margin_k": Kind.TEMP_DIFFERENCE,
    "drop_k": Kind.TEMP_DIFFERENCE,
    "diff_k": Kind.TEMP_DIFFERENCE,
    "approach_k": Kind.TEMP_DIFFERENCE,
    "sigma_k": Kind.TEMP_DIFFERENCE,
    "_w": Kind.HEAT,
    "_k_w": Kind.RESISTANCE,
    "_w_k": Kind.CONDUCTANCE,
    "_a": Kind.CURRENT,
    "_v": Kind.VOLTAGE,
    "_hz": Kind.SPEED,
    "_rad": Kind.ANGLE,
    "_frac": Kind.FRACTION,
    "volume_frac": Kind.VOLUME_FRACTION,
    "mass_frac": Kind.MASS_FRACTION,
    "_db": Kind.SOUND,
    "_kg_m3": Kind.DENSITY,
    "_pa_s": Kind.VISCOSITY,
    "_j_k": Kind.HEAT_CAPACITY,
    "_j_kg_k": Kind.SPECIFIC_HEAT,
    "_w_m_k": Kind.CONDUCTIVITY,
    "_money": Kind.MONEY,
}
"""The closed list. The longest ending that fits decides: `dp_pa` is a difference, `abs_pa` a state."""


def kind_of(name: str) -> Kind:
    """The kind a suffix-bearing name holds, by its longest known ending.

    Raises KeyError, with the name, when no suffix of the closed list fits.
    """
    ending = max((end for end in SUFFIXES if name.endswith(end)), key=len, default="")
    if not ending:
        raise KeyError(f"{name!r} ends in no suffix of the closed list")
    return SUFFIXES[ending]
