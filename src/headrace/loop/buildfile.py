"""
The tables of build.toml, as a person writes them.

Answers   which keys a build file may hold and what each must look like
Assumes   names of cards, parts and ports are only text here; `loader` finds what they mean
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from headrace.fluids.air import VALID_ALTITUDE_M
from headrace.loop.airfile import StackEntry, VentEntry
from headrace.loop.words import FanCount, Id, Names, PortName
from headrace.parts.coolant import Mixture
from headrace.parts.fields import (
    Flow,
    Heat,
    Length,
    Percent,
    PointM,
    PumpSpeed,
    Record,
    Size,
    Sound,
    Temperature,
    fault_error,
)
from headrace.parts.sound import Mounting
from headrace.units import Figure, Kind, Range, read_figure, show

Additive = Literal["inhibitor", "biocide", "dye", "opaque particles"]
PortPurpose = Literal["plug", "drain", "fill", "bleed", "sensor"]


def _room(value: Figure) -> Figure:
    if not ROOM_K.covers(float(value)):
        found = f'"{value.text}" is {show(float(value), "room_k")}'
        limit = f"a room lies between {show(ROOM_K.low, 'room_k')} and {show(ROOM_K.high, 'room_k')}"
        raise fault_error(found, limit, 'Write for example "24 °C".')
    return value


ROOM_K = Range(233.15, 333.15)  # -40 to 60 °C: outside it the unit was meant otherwise
Room = Annotated[Temperature, AfterValidator(_room)]


def _altitude(value: Figure) -> Figure:
    if not VALID_ALTITUDE_M.covers(float(value)):
        limit = f"limit {show(VALID_ALTITUDE_M.high, 'altitude_m')}"
        raise fault_error(f'"{value.text}" is above the air the formulas know', limit, 'Write for example "1500 m".')
    return value


Altitude = Annotated[Length, AfterValidator(_altitude)]


class CaseEntry(Record):
    """`[case]`: the card of the case."""

    card: str


class CoolantEntry(Mixture):
    """`[coolant]`: what is filled in. Without `additives` it is unknown whether there are any."""

    additives: tuple[Additive, ...] | None = None


class DefaultsEntry(Record):
    """`[defaults]`: tube and fittings of runs that name none."""

    tube: str | None = None
    fitting: Names = ()
    length_m: Length | None = None


class PartEntry(Record):
    """`[[part]]`: one part, where its card's origin stands in the case, and the limit of what it cools."""

    id: Id
    card: str
    at_m: PointM | None = None
    limit_k: Temperature | None = None
    mounting: Mounting | None = None
    note: str = ""


class RunEntry(Record):
    """`[[run]]`: one length of tube between two ports, with the fittings at each end from the port outwards."""

    id: Id | None = None
    from_: PortName
    to: PortName
    tube: str | None = None
    length_m: Length | None = None
    bends: int | None = Field(default=None, strict=True, ge=0, le=40)
    bend_radius_m: Size | None = None
    path_m: tuple[PointM, ...] | None = None
    from_with: Names | None = None
    to_with: Names | None = None
    note: str = ""


class JointEntry(Record):
    """`[[joint]]`: two ports screwed together without tube, with what stands between them."""

    from_: PortName
    to: PortName
    with_: Names = ()
    note: str = ""


class PortEntry(Record):
    """`[[port]]`: what a port that no run uses is for, and what is screwed into it."""

    at: PortName
    use: PortPurpose
    with_: Names = ()
    note: str = ""


class OrderEntry(Record):
    """`[[order]]`: parts in the order of the water; it expands to runs from each outlet to the next inlet."""

    through: tuple[str, ...] = Field(min_length=2)
    closed: bool = True
    tube: str | None = None
    fitting: Names | None = None
    length_m: Length | None = None
    bends: int | None = Field(default=None, strict=True, ge=0, le=40)


class LeadEntry(Record):
    """`[[lead]]`: what feeds a pump or the fans of a stack or vent: a header or plug, as "board.header"."""

    part: str
    to: PortName


class StateEntry(Record):
    """`[[state]]`: one condition to solve: room, heat, speeds, fans that stand still, closed valves."""

    name: Id
    room_k: Room
    altitude_m: Altitude = read_figure("0 m", Kind.LENGTH)
    humidity_frac: Percent = read_figure("45 %", Kind.FRACTION)
    heat: dict[str, Heat] = Field(default_factory=dict)
    speed: dict[str, PumpSpeed] = Field(default_factory=dict)
    case_heat_w: Heat | None = None
    fans_out: dict[str, FanCount] = Field(default_factory=dict)
    closed: tuple[str, ...] = ()
    note: str = ""


class LimitsEntry(Record):
    """`[limits]`: what was agreed, as numbers."""

    coolant_k: Temperature | None = None
    noise_db: Sound | None = None
    noise_at_m: Length | None = None
    background_db: Sound | None = None
    flow_m3_s: Flow | None = None


class BuildFile(Record):
    """build.toml as a whole; for the published JSON Schema."""

    format: Literal[1]
    name: str = ""
    note: str = ""
    invented: bool = False
    case: CaseEntry | None = None
    coolant: CoolantEntry = CoolantEntry()
    defaults: DefaultsEntry = DefaultsEntry()
    part: tuple[PartEntry, ...] = ()
    run: tuple[RunEntry, ...] = ()
    joint: tuple[JointEntry, ...] = ()
    port: tuple[PortEntry, ...] = ()
    order: tuple[OrderEntry, ...] = ()
    stack: tuple[StackEntry, ...] = ()
    vent: tuple[VentEntry, ...] = ()
    lead: tuple[LeadEntry, ...] = ()
    state: tuple[StateEntry, ...] = ()
    limits: LimitsEntry = LimitsEntry()
    thresholds: dict[str, str] = Field(default_factory=dict)
