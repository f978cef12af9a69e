"""A loop: parts placed and joined, with its states and limits. Frozen; nothing computed is ever written into it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from headrace.errors import Place
from headrace.geometry.path import Point
from headrace.geometry.turn import STRAIGHT, Axis, Turn
from headrace.loop.airfile import InletEntry
from headrace.loop.buildfile import CoolantEntry, LimitsEntry
from headrace.loop.handling import HandlingEntry, Waiver
from headrace.loop.thresholds import Thresholds
from headrace.parts.air import Fan, Screen
from headrace.parts.card import Card, Port
from headrace.parts.casing import Case
from headrace.parts.radiator import Radiator
from headrace.parts.sound import Mounting
from headrace.parts.tube import Fitting, Tube
from headrace.units import Figure

PortId = str  # "part.port"


@dataclass(frozen=True)
class PlacedPart:
    """
    One part: its card, where the card's origin stands in the case and how it is turned there, the limit of what it
    cools, a pump's feet.
    """

    id: str
    card: Card
    at_m: Point | None
    limit_k: Figure | None
    place: Place
    mounting: Mounting | None = None
    turn: Turn = STRAIGHT
    at_spread_m: Figure | None = None


@dataclass(frozen=True)
class Run:
    """
    Tube between two ports, written from `from_port` to `to_port`; the water may go either way.

    Fittings stand from the port outwards. `length_m` and `bends` are as stated, None when nothing is said.
    """

    id: str
    from_port: PortId
    to_port: PortId
    tube: Tube
    from_with: tuple[Fitting, ...]
    to_with: tuple[Fitting, ...]
    length_m: Figure | None
    bends: int | None
    bend_radius_m: Figure | None
    path_m: tuple[Point, ...] | None
    place: Place


@dataclass(frozen=True)
class Joint:
    """Two ports screwed together, with the fittings between them."""

    id: str
    from_port: PortId
    to_port: PortId
    with_: tuple[Fitting, ...]
    place: Place


@dataclass(frozen=True)
class PortUse:
    """A port no run uses: what it is for and what is screwed into it."""

    port: PortId
    use: str
    with_: tuple[Fitting, ...]
    place: Place


@dataclass(frozen=True)
class Behind:
    """A radiator that stands in a stack behind its first one: the part and its card."""

    radiator: str
    card: Radiator


@dataclass(frozen=True)
class Stack:
    """Radiators and their fans in one stream of air; `behind` are those after the first, in the air's order.

    `fans` counts all fans, in push-pull those of both sides. What `inlets` leave to 100 % is room air.
    """

    id: str
    radiator: str
    card: Radiator
    behind: tuple[Behind, ...]
    fan: Fan | None
    fans: int | None
    mount: Literal["push", "pull", "push-pull"]
    screens: tuple[Screen, ...]
    air_m3_s: Figure | None
    air_per_fan_m3_s: Figure | None
    air_at_hz: Figure | None
    inlets: tuple[InletEntry, ...]
    recirculated_frac: Figure
    out: Literal["room", "case"]
    place: Place
    screw_m: Figure | None = None
    fans_at: tuple[Axis, ...] = ()

    @property
    def radiators(self) -> tuple[str, ...]:
        """All its radiators, in the order its air meets them."""
        return (self.radiator, *(other.radiator for other in self.behind))

    @property
    def fans_abreast(self) -> int | None:
        """Fans side by side, each with a share of the air of its own: in push-pull half of all."""
        return self.fans // 2 if self.fans is not None and self.mount == "push-pull" else self.fans


@dataclass(frozen=True)
class Vent:
    """A way for air between room and case: fans that blow in or out, or an opening with an area."""

    id: str
    fan: Fan | None
    fans: int
    blows: Literal["in", "out"] | None
    air_m3_s: Figure | None
    screens: tuple[Screen, ...]
    area_m2: Figure | None
    place: Place


@dataclass(frozen=True)
class Lead:
    """The electric feed of a pump or of the fans of a stack or vent."""

    part: str
    feeder: str
    outlet: str
    place: Place
    cable_m: Figure | None = None
    splitter: bool = False
    tach: bool | None = None


@dataclass(frozen=True)
class State:
    """One condition to solve. Heat by part; speed by pump (share of full speed) or by stack or vent (turns per second).

    `fans_out` says by stack or vent how many fans stand still; `case_heat_w` is None where nothing is said.
    """

    name: str
    room_k: Figure
    altitude_m: Figure
    humidity_frac: Figure
    heat_w: dict[str, Figure]
    speed: dict[str, Figure]
    closed: tuple[str, ...]
    place: Place
    case_heat_w: Figure | None = None
    fans_out: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Loop:
    """Everything a build file says, with its cards found."""

    file: str
    name: str
    note: str
    case: Case | None
    coolant: CoolantEntry
    coolant_place: Place
    parts: tuple[PlacedPart, ...]
    runs: tuple[Run, ...]
    joints: tuple[Joint, ...]
    port_uses: tuple[PortUse, ...]
    stacks: tuple[Stack, ...]
    leads: tuple[Lead, ...]
    states: tuple[State, ...]
    limits: LimitsEntry
    thresholds: Thresholds
    limits_place: Place = field(default_factory=Place)
    vents: tuple[Vent, ...] = ()
    handling: HandlingEntry = field(default_factory=HandlingEntry)
    waivers: tuple[Waiver, ...] = ()

    @cached_property
    def _parts(self) -> dict[str, PlacedPart]:
        return {part.id: part for part in self.parts}

    def part(self, id_: str) -> PlacedPart:
        """The part called `id_`; KeyError if there is none."""
        return self._parts[id_]

    def port(self, port_id: PortId) -> tuple[PlacedPart, Port]:
        """Part and port behind "part.port"; KeyError if there is none."""
        part_id, _, name = port_id.partition(".")
        part = self.part(part_id)
        port = part.card.find_port(name)
        if port is None:
            raise KeyError(port_id)
        return part, port

    def all_ports(self) -> Iterator[tuple[PortId, PlacedPart, Port]]:
        """Every port of every part."""
        for part in self.parts:
            for port in part.card.port:
                yield f"{part.id}.{port.name}", part, port

    @cached_property
    def _used(self) -> dict[PortId, tuple[Run | Joint | PortUse, tuple[Fitting, ...]]]:
        used: dict[PortId, tuple[Run | Joint | PortUse, tuple[Fitting, ...]]] = {}
        for run in self.runs:
            used[run.from_port] = (run, run.from_with)
            used[run.to_port] = (run, run.to_with)
        for joint in self.joints:
            used[joint.from_port] = (joint, joint.with_)
            used[joint.to_port] = (joint, joint.with_[::-1])
        for use in self.port_uses:
            used[use.port] = (use, use.with_)
        return used

    def used_by(self, port_id: PortId) -> Run | Joint | PortUse | None:
        """What is at a port, or None when it is open."""
        entry = self._used.get(port_id)
        return entry[0] if entry else None

    def fittings_at(self, port_id: PortId) -> tuple[Fitting, ...]:
        """What is screwed into a port, from the port outwards."""
        entry = self._used.get(port_id)
        return entry[1] if entry else ()

    def state(self, name: str | None = None) -> State:
        """The state called `name`, the first one without a name; KeyError if there is none."""
        if name is None and self.states:
            return self.states[0]
        return next(state for state in self.states if state.name == name)
