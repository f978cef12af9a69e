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
from headrace.loop.handling import HandlingEntry, TurnEntry, WaiverEntry
from headrace.loop.words import FanCount, Id, Names, PortName
from headrace.parts.coolant import Mixture
from headrace.parts.fields import (
    Flow,
    Heat,
    Length,
    Percent,
    PointM,
    PumpSpeed,
    Reads,
    Record,
    RunLength,
    Size,
    Sound,
    Speed,
    Temperature,
    fault_error,
    within,
)
from headrace.parts.sound import Mounting
from headrace.units import Figure, Kind, Range, UnitFault, read_figure, show

LeftOver = Literal["nothing", "the same coolant", "water", "propylene glycol", "ethylene glycol", "unknown coolant"]
Additive = Literal["inhibitor", "biocide", "dye", "opaque particles"]
PortPurpose = Literal["plug", "drain", "fill", "bleed", "sensor"]


ROOM_K = Range(233.149, 333.151)  # -40 to 60 °C, and the rounding of "-40 °F"; beyond, another unit was meant
_MOST_UNSURE_K = 10.0  # of a room: known less well it is not one state


def find_room_fault(value: Figure) -> UnitFault | None:
    """What is wrong with a room temperature, or how well it is known; None when nothing is."""
    fix = 'Write for example "24 °C ± 0.5 K".'
    if not ROOM_K.covers(float(value)):
        limit = f"a room lies between {show(ROOM_K.low, 'room_k')} and {show(ROOM_K.high, 'room_k')}"
        return UnitFault(f'"{value.text}" is {show(float(value), "room_k")}', limit, fix)
    if (value.half_width or value.sigma or 0.0) > _MOST_UNSURE_K:
        return UnitFault(f'"{value.text}" is hardly known', f"limit ± {_MOST_UNSURE_K:g} K", fix)
    return None


def _room(value: Figure) -> Figure:
    fault = find_room_fault(value)
    if fault is not None:
        raise fault_error(fault.found, fault.limit, fault.fix)
    return value


Room = Annotated[Temperature, AfterValidator(_room)]


def _altitude(value: Figure) -> Figure:
    if not VALID_ALTITUDE_M.covers(float(value)):
        limit = f"limit {show(VALID_ALTITUDE_M.high, 'altitude_m')}"
        raise fault_error(f'"{value.text}" is above the air the formulas know', limit, 'Write for example "1500 m".')
    return value


Altitude = Annotated[Figure, Reads((Kind.LENGTH,), "1500 m"), AfterValidator(_altitude)]


class CaseEntry(Record):
    """`[case]`: the card of the case."""

    card: str


class CoolantEntry(Mixture):
    """`[coolant]`: what is filled in, and what was in the loop before. Without `additives` these are unknown."""

    additives: tuple[Additive, ...] | None = None
    left_over: LeftOver | None = None


class DefaultsEntry(Record):
    """`[defaults]`: tube and fittings of runs that name none."""

    tube: str | None = None
    fitting: Names = ()
    length_m: RunLength | None = None


class PartEntry(Record):
    """`[[part]]`: one part, where its card's origin stands in the case, and the limit of what it cools."""

    id: Id
    card: str
    at_m: PointM | None = None
    turned: TurnEntry | None = None
    at_spread_m: Length | None = None
    limit_k: Temperature | None = None
    mounting: Mounting | None = None
    note: str = ""


class RunEntry(Record):
    """`[[run]]`: one length of tube between two ports, with the fittings at each end from the port outwards."""

    id: Id | None = None
    from_: PortName
    to: PortName
    tube: str | None = None
    length_m: RunLength | None = None
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
    length_m: RunLength | None = None
    bends: int | None = Field(default=None, strict=True, ge=0, le=40)


class LeadEntry(Record):
    """`[[lead]]`: what feeds a pump or the fans of a stack or vent: a header or plug, as "board.header"."""

    part: str
    to: PortName
    cable_m: RunLength | None = None
    splitter: bool = False
    tach: bool | None = None


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


_HEARD_M = Range(0.05, 20.0)  # how far from the machine somebody listens
_COOLANT_K = Range(273.15, 423.15)  # 0 to 150 °C, of water under pressure


def _rises(band: tuple[Figure, Figure]) -> tuple[Figure, Figure]:
    if band[0] >= band[1]:
        found = f'"{band[0].text}" to "{band[1].text}" does not rise'
        raise fault_error(found, "", 'Write the lower end first: ["700 rpm", "820 rpm"].')
    return band


SpeedBand = Annotated[tuple[Speed, Speed], AfterValidator(_rises)]


class LimitsEntry(Record):
    """`[limits]`: what was agreed, as numbers."""

    coolant_k: Annotated[Temperature, within(_COOLANT_K, Kind.TEMPERATURE, "45 °C")] | None = None
    noise_db: Sound | None = None
    noise_at_m: Annotated[Figure, Reads((Kind.LENGTH,), "1 m"), within(_HEARD_M, Kind.LENGTH, "1 m")] | None = None
    background_db: Sound | None = None
    flow_m3_s: Flow | None = None
    avoid: dict[str, tuple[SpeedBand, ...]] = Field(default_factory=dict)


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
    handling: HandlingEntry = HandlingEntry()
    waiver: tuple[WaiverEntry, ...] = ()
    thresholds: dict[str, str] = Field(default_factory=dict)
