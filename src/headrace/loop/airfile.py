"""
The tables of build.toml that are about air: stacks and vents.

Answers   which radiators and screens stand in one stream of air, what drives it, where it comes from and goes to
Assumes   names are only text here, as in `buildfile`
"""

from __future__ import annotations

import math
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, BeforeValidator, Field, ValidationInfo, field_validator, model_validator

from headrace.geometry.turn import Axis
from headrace.loop.words import Id, Names
from headrace.parts.fields import (
    AirFlow,
    Area,
    Difference,
    Length,
    Percent,
    Record,
    StatedSpeed,
    as_list,
    fault_error,
    refuse,
    within,
)
from headrace.units import Figure, Kind, Range, read_figure, show

_AIR_M3_S = Range(0.0, 50_000.0 / 3600.0)  # of one stack or vent: ten times what the largest computer moves
StackAir = Annotated[AirFlow, within(_AIR_M3_S, Kind.AIR_FLOW, "150 m3/h")]
_SHARE_SLACK = 1e-9  # rounding of shares that are typed to add up to 100 %
MOST_RECIRCULATED_FRAC = 0.9  # air that is nearly all its own exhaust would warm without end


def _recirculated(value: Figure) -> Figure:
    if value > MOST_RECIRCULATED_FRAC:
        limit = f"limit {show(MOST_RECIRCULATED_FRAC, 'recirculated_frac')}"
        raise fault_error(f'"{value.text}"', limit, "A radiator cannot breathe only its own exhaust.")
    return value


Recirculated = Annotated[Percent, AfterValidator(_recirculated)]


class InletEntry(Record):
    """Air going into a stack: room air, or a share of case air or of another stack's exhaust, plus a stated rise."""

    from_: str = "room"
    share_frac: Percent = read_figure("100 %", Kind.FRACTION)
    plus_k: Difference = read_figure("0 K", Kind.TEMP_DIFFERENCE)


def _adds_up(inlets: tuple[InletEntry, ...]) -> tuple[InletEntry, ...]:
    faults = []
    total = math.fsum(inlet.share_frac for inlet in inlets)
    if total > 1.0 + _SHARE_SLACK:
        fix = "Lower a share; what is left to 100 % is room air."
        faults.append(fault_error(f"shares of {show(total, 'share_frac')}", "limit 100 %", fix))
    sources = [inlet.from_ for inlet in inlets]
    double = next((source for source in sources if sources.count(source) > 1), None)
    if double is not None:
        faults.append(fault_error(f'"{double}" is there twice', "", "Write one table for each source of air."))
    refuse(*faults)
    return inlets


Inlets = Annotated[
    tuple[InletEntry, ...],
    BeforeValidator(as_list, json_schema_input_type=InletEntry | tuple[InletEntry, ...]),
    AfterValidator(_adds_up),
]


class StackEntry(Record):
    """`[[stack]]`: radiators in one stream of air, with their fans. `air` is all of its airflow, `air_per_fan` one
    fan's at `air_at`.
    """

    id: Id
    radiator: str
    behind: Names = ()
    fan: str | None = None
    mount: Literal["push", "pull", "push-pull"] = "push"
    fans: int | None = Field(default=None, strict=True, ge=0, le=72)
    screens: Names = ()
    air_m3_s: StackAir | None = None
    air_per_fan_m3_s: StackAir | None = None
    air_at_hz: StatedSpeed | None = None
    inlet: Inlets = Field(default=(InletEntry(),), min_length=1)
    recirculated_frac: Recirculated = read_figure("0 %", Kind.FRACTION)
    out: Literal["room", "case"] = "room"
    screw_m: Length | None = None
    fans_at: tuple[Axis, ...] = Field(default=(), max_length=2)

    @field_validator("fans")
    @classmethod
    def _pairs(cls, value: int | None, info: ValidationInfo) -> int | None:
        if value is not None and value % 2 and info.data.get("mount") == "push-pull":
            fix = "Push-pull has a fan before and one behind each place: count all of them."
            raise fault_error(f"{value} fans in push-pull", "an even number is wanted", fix)
        return value

    @model_validator(mode="after")
    def _one_airflow(self) -> Self:
        if self.air_m3_s is not None and self.air_per_fan_m3_s is not None:
            fix = "State one of the two: all of its air, or that of one fan."
            raise fault_error("air and air_per_fan of one stack", "limit one of them", fix, at="air_per_fan")
        return self


class VentEntry(Record):
    """`[[vent]]`: a way for air between room and case: fans, or an opening."""

    id: Id
    fan: str | None = None
    fans: int = Field(default=1, strict=True, ge=1, le=72)
    blows: Literal["in", "out"] | None = None
    air_m3_s: StackAir | None = None
    screens: Names = ()
    area_m2: Area | None = None
    note: str = ""

    @property
    def driven(self) -> bool:
        """True when fans move its air, false for an opening."""
        return self.fan is not None or self.air_m3_s is not None

    @model_validator(mode="after")
    def _fans_or_opening(self) -> Self:
        faults = []
        if self.driven and self.blows is None:
            fix = 'Write blows = "in" or blows = "out".'
            faults.append(fault_error("it is not said which way its fans blow", "", fix))
        if self.driven and self.area_m2 is not None:
            fix = "The size of its fans says it; give an opening beside them a vent of its own."
            faults.append(fault_error("an area beside fans", "", fix, at="area"))
        if not self.driven and self.area_m2 is None:
            fix = 'Write fan = "fan-120" and blows = "in", or area = "60 cm2" for an opening.'
            faults.append(fault_error("neither fans nor an opening", "", fix))
        for key in ("blows", "fans") if not self.driven and self.area_m2 is not None else ():
            if key in self.model_fields_set:
                fix = f"Leave {key} out, or name the fan; the pressures say which way air takes through an opening."
                faults.append(fault_error(f"{key} of an opening", "", fix, at=key))
        refuse(*faults)
        return self
