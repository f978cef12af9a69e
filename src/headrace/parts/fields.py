"""
Field types of card and build files: text with a unit in, SI figures inside.

Answers   how one value of a file is read, and what it looks like in the JSON Schema
Assumes   a field's file name is its own name without the unit suffix: `bore_m` is written `bore = "10 mm"`
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import log
from typing import Annotated, Any, TypeAlias

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, GetJsonSchemaHandler, ValidationError
from pydantic_core import PydanticCustomError, core_schema

from headrace.units import (
    SUFFIXES,
    Figure,
    Kind,
    Range,
    Unit,
    UnitFault,
    read_either,
    read_figure,
    read_unit,
    show_span,
)
from headrace.units.table import find_unit, usual_text

_IN_MM = {"at_m": "at_mm", "path_m": "path_mm", "outline_m": "outline_mm", "inside_m": "inside_mm"}


def file_key(field_name: str) -> str:
    """The key a field has in a file: its name without the unit suffix; points keep `_mm`, their table unit."""
    if field_name in _IN_MM:
        return _IN_MM[field_name]
    suffixes = [suffix for suffix in SUFFIXES if suffix.startswith("_") and field_name.endswith(suffix)]
    return field_name.removesuffix(max(suffixes, key=len, default="")).rstrip("_")


class Record(BaseModel):
    """A frozen piece of a file: unknown keys are faults, field names lose their suffix in the file."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", alias_generator=file_key, populate_by_name=True, hide_input_in_errors=True
    )


def fault_error(found: str, limit: str = "", fix: str = "", at: str = "") -> PydanticCustomError:
    """A fault as pydantic carries it; found, limit and fix stay apart until they are shown. `at` is the key meant."""
    return PydanticCustomError("headrace", "{found}", {"found": found, "limit": limit, "fix": fix, "at": at})


def refuse(*faults: PydanticCustomError) -> None:
    """Raise all `faults` of one table at once; without any, do nothing."""
    if faults:
        raise ValidationError.from_exception_data(
            "table", [{"type": fault, "loc": (), "input": None} for fault in faults]
        )


def as_list(value: Any) -> Any:  # noqa: ANN401 - a raw file value
    """One table or text where a list of them may stand, as a list of one."""
    return [value] if isinstance(value, dict | str) else value


def read_level_change(text: str) -> Figure:
    """A difference of two sound levels: in dB, not in dBA. Raises UnitFault."""
    match = re.fullmatch(r"\s*([0-9]{1,3}(?:\.[0-9]+)?)\s*dB\s*", text)
    if match is None:
        raise UnitFault(
            f'"{text}" is no difference of sound levels', "a number in dB is wanted", 'Write for example "5 dB".'
        )
    return Figure(float(match[1]), Kind.SOUND, text=text, unit="dB")


@dataclass(frozen=True)
class Reads:
    """Marks a field that is read from text with a unit of one of `kinds`, such as `example`."""

    kinds: tuple[Kind, ...]
    example: str

    def __get_pydantic_core_schema__(self, _source: object, _handler: object) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self._read)

    def __get_pydantic_json_schema__(
        self, _schema: core_schema.CoreSchema, _handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        text = " or ".join(kind.value for kind in self.kinds)
        return {"type": "string", "description": f"{text} with its unit", "examples": [self.example]}

    def _read(self, value: object) -> Figure:
        if isinstance(value, Figure):
            return value
        try:
            return read_either(value, *self.kinds)
        except UnitFault as fault:
            fix = self._with_unit(value) or fault.fix or f'Write for example "{self.example}".'
            raise fault_error(fault.found, fault.limit, fix) from fault

    def _with_unit(self, value: object) -> str:
        """For a bare number that fits two units of the field: the sentence with the one that makes it usual."""
        try:
            number = float(value) if isinstance(value, int | float | str) and not isinstance(value, bool) else 0.0
        except (ValueError, OverflowError):
            return ""
        if not 0.0 < number < 1e15 or len(self.kinds) > 1:
            return ""
        usual = read_figure(self.example, self.kinds[0])
        kind = self.kinds[0]
        units = [unit for unit in (find_unit(usual_text(kind), kind), find_unit(usual.unit, kind)) if unit]
        best = min(units, key=lambda unit: abs(log(max(unit.to_si(number), 1e-12) / max(usual, 1e-12))))
        return f'Write "{value} {best.text}".' if len(set(units)) > 1 else ""


@dataclass(frozen=True)
class Heads:
    """Marks a field that names the unit of one column of a table."""

    kind: Kind
    example: str

    def __get_pydantic_core_schema__(self, _source: object, _handler: object) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self._read)

    def __get_pydantic_json_schema__(
        self, _schema: core_schema.CoreSchema, _handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"type": "string", "description": f"the unit of a {self.kind.value} column", "examples": [self.example]}

    def _read(self, value: object) -> Unit:
        if isinstance(value, Unit):
            return value
        try:
            return read_unit(value, self.kind)
        except UnitFault as fault:
            raise fault_error(fault.found, fault.limit, fault.fix or f'Write for example "{self.example}".') from fault


def _number(value: object) -> float:
    fix = "Points and tables hold bare numbers; their unit stands once."
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise fault_error(f"{value!r} is not a number", "", fix)
    if not -1e15 < value < 1e15:
        raise fault_error(f"{value!r} is out of all reason", "limit 1e15", fix)
    return float(value)


def _metres(value: object) -> float:
    return _number(value) / 1000.0


def _above_zero(value: Figure) -> Figure:
    if value <= 0.0:
        found = f'"{value.text}" is {"below zero" if value < 0.0 else "zero"}'
        raise fault_error(found, "", "It must be above zero; leave it out when it is not known.")
    return value


def within(span: Range, kind: Kind, example: str) -> AfterValidator:
    """A field that lies within `span`; beyond it another unit was meant."""
    slack = 1e-9 * max(abs(span.low), abs(span.high))  # rounding of an end typed in another unit

    def check(value: Figure) -> Figure:
        if not span.low - slack <= float(value) <= span.high + slack:
            limit = f"limit {show_span(span.low, span.high, kind)}"
            fix = f'Was another unit meant? Write for example "{example}".'
            raise fault_error(f'"{value.text}" is out of reason', limit, fix)
        return value

    return AfterValidator(check)


Number = Annotated[float, BeforeValidator(_number)]
Millimetres = Annotated[float, BeforeValidator(_metres)]  # a number in mm in the file, metres inside
PointM: TypeAlias = tuple[Millimetres, Millimetres, Millimetres]
BoxM: TypeAlias = tuple[Millimetres, Millimetres, Millimetres, Millimetres, Millimetres, Millimetres]

Length = Annotated[Figure, Reads((Kind.LENGTH,), "10 mm")]
Size = Annotated[Length, AfterValidator(_above_zero)]  # a length that zero would make meaningless: a bore, a radius
RunLength = Annotated[Figure, Reads((Kind.LENGTH,), "0.35 m")]
Volume = Annotated[Figure, Reads((Kind.VOLUME,), "220 mL")]
Mass = Annotated[Figure, Reads((Kind.MASS,), "1.2 kg")]
Flow = Annotated[Figure, Reads((Kind.FLOW,), "200 L/h")]
AirFlow = Annotated[Figure, Reads((Kind.AIR_FLOW,), "150 m3/h")]
Pressure = Annotated[Figure, Reads((Kind.PRESSURE,), "50 kPa")]
Temperature = Annotated[Figure, Reads((Kind.TEMPERATURE,), "24 °C")]
Difference = Annotated[Figure, Reads((Kind.TEMP_DIFFERENCE,), "2 K")]
Heat = Annotated[Figure, Reads((Kind.HEAT,), "280 W")]
Resistance = Annotated[Figure, Reads((Kind.RESISTANCE,), "0.15 K/W ± 8 %")]
Strength = Annotated[Figure, Reads((Kind.CONDUCTANCE,), "27 W/K")]
Sound = Annotated[Figure, Reads((Kind.SOUND,), "20 dBA")]
Current = Annotated[Figure, Reads((Kind.CURRENT,), "1.8 A")]
Percent = Annotated[Figure, Reads((Kind.FRACTION,), "60 %")]
Glycol = Annotated[Figure, Reads((Kind.VOLUME_FRACTION, Kind.MASS_FRACTION), "25 vol%")]
Speed = Annotated[Figure, Reads((Kind.SPEED,), "1300 rpm")]
StatedSpeed = Annotated[Speed, AfterValidator(_above_zero)]  # a speed other figures are stated at
StatedFlow = Annotated[Flow, AfterValidator(_above_zero)]  # a flow other figures are stated at, or a Kv
PumpSpeed = Annotated[Figure, Reads((Kind.FRACTION, Kind.SPEED), "60 %")]
StatedShare = Annotated[Percent, AfterValidator(_above_zero)]  # a speed in % other figures are stated at
StatedPressure = Annotated[Pressure, AfterValidator(_above_zero)]  # a loss that zero would make meaningless
Angle = Annotated[Figure, Reads((Kind.ANGLE,), "90 deg")]
Slope = Annotated[Angle, AfterValidator(_above_zero)]  # an angle that zero would make meaningless
Area = Annotated[Figure, Reads((Kind.AREA,), "60 cm2"), AfterValidator(_above_zero)]
Velocity = Annotated[Figure, Reads((Kind.VELOCITY,), "1 m/s"), AfterValidator(_above_zero)]
Conductivity = Annotated[Figure, Reads((Kind.CONDUCTIVITY,), "360 W/(m K)"), AfterValidator(_above_zero)]
HeatCapacity = Annotated[Figure, Reads((Kind.HEAT_CAPACITY,), "150 J/K"), AfterValidator(_above_zero)]
Money = Annotated[Figure, Reads((Kind.MONEY,), "49.90 EUR")]

FlowUnit = Annotated[Unit, Heads(Kind.FLOW, "L/h")]
AirUnit = Annotated[Unit, Heads(Kind.AIR_FLOW, "m3/h")]
PressureUnit = Annotated[Unit, Heads(Kind.PRESSURE, "kPa")]
SpeedUnit = Annotated[Unit, Heads(Kind.SPEED, "rpm")]
PercentUnit = Annotated[Unit, Heads(Kind.FRACTION, "%")]
ResistanceUnit = Annotated[Unit, Heads(Kind.RESISTANCE, "K/W")]
StrengthUnit = Annotated[Unit, Heads(Kind.CONDUCTANCE, "W/K")]
PowerUnit = Annotated[Unit, Heads(Kind.HEAT, "W")]
