"""
What every card holds: name, ports, passages between them, wetted materials, limits.

Answers   where water can enter, pass and leave a part, and what the part is made of
Assumes   a port that a channel does not name is closed inside (a bleed or sensor port in an end tank)
"""

from __future__ import annotations

from typing import Any, ClassVar, Literal, Self

from pydantic import Field, field_validator, model_validator

from headrace.parts.fields import (
    Area,
    BoxM,
    Current,
    HeatCapacity,
    Length,
    Mass,
    Money,
    PointM,
    Pressure,
    Record,
    Temperature,
    Volume,
    fault_error,
)
from headrace.parts.loss import Loss
from headrace.parts.tables import find_material, find_thread
from headrace.units import Figure, Origin

Axis = Literal["+x", "-x", "+y", "-y", "+z", "-z"]
Work = Literal["pump", "heat", "cool"]
Form = Literal["none", "through", "hub", "stated"]
TANK = "tank"
OUTLET = "outlet"  # the water space behind a pump with more than one outlet


class Port(Record):
    """One opening of a part: where it is, which way it looks and what screws into it."""

    name: str = Field(min_length=1)
    at_m: PointM | None = None
    axis: Axis | None = None
    thread: str | None = None
    depth_m: Length | None = None
    seat_m: Length | None = None
    way: Literal["in", "out", "either"] = "either"

    @field_validator("thread")
    @classmethod
    def _known_thread(cls, value: str | None) -> str | None:
        return None if value is None else find_thread(value).name


class Channel(Record):
    """A passage inside a part. `tank` is the water space of a reservoir, any other name is a port."""

    from_: str
    to: str
    loss: Loss | None = None
    does: Work | None = None


class Card(Record):
    """What is known of a part that can be bought. What is not stated stays unknown."""

    main: ClassVar[Work | None] = None
    passage: ClassVar[Form] = "none"

    id: str = Field(min_length=1, pattern=r"^[a-z0-9][a-z0-9.-]*$")
    name: str = ""
    note: str = ""
    origin: Origin | None = None
    origins: dict[str, Origin] = Field(default_factory=dict)
    source: str = ""
    invented: bool = False
    outline_m: tuple[BoxM, ...] = ()
    outline_spread_m: Length | None = None
    port: tuple[Port, ...] = ()
    channel: tuple[Channel, ...] = ()
    loss: Loss | None = None
    wetted: tuple[str, ...] | None = None
    wetted_area: dict[str, Area] = Field(default_factory=dict)
    volume_m3: Volume | None = None
    mass_kg: Mass | None = None
    heat_capacity_j_k: HeatCapacity | None = None
    price: Money | None = None
    current_a: Current | None = None
    start_current_a: Current | None = None
    max_temp_k: Temperature | None = None
    max_pressure_pa: Pressure | None = None

    @field_validator("wetted")
    @classmethod
    def _known_materials(cls, value: tuple[str, ...] | None) -> tuple[str, ...] | None:
        if value == ():
            raise fault_error(
                "an empty list", "", "Name what the water touches; leave the key out when it is not known."
            )
        return None if value is None else tuple(find_material(name).name for name in value)

    @field_validator("wetted_area")
    @classmethod
    def _known_areas(cls, value: dict[str, Figure]) -> dict[str, Figure]:
        return {find_material(name).name: area for name, area in value.items()}

    @model_validator(mode="before")
    @classmethod
    def _drop_like(cls, raw: Any) -> Any:  # noqa: ANN401 - a raw file value
        return {key: value for key, value in raw.items() if key != "like"} if isinstance(raw, dict) else raw

    @model_validator(mode="after")
    def _ports_and_channels_agree(self) -> Self:
        names = [port.name for port in self.port]
        double = sorted({name for name in names if names.count(name) > 1})
        if double:
            raise fault_error(f'port "{double[0]}" is there twice', "", "Give each port a name of its own.")
        for channel in self.channel:
            for end in (channel.from_, channel.to):
                if end != TANK and end not in names:
                    raise fault_error(f'a channel names port "{end}"', "", "Known: " + ", ".join(names) + ".")
        working = [channel.does for channel in self.channel if channel.does]
        if len(working) > 1 or any(does != self.main for does in working):
            fix = (
                f'Mark one channel with does = "{self.main}".'
                if self.main
                else "Leave does out: this kind does nothing."
            )
            raise fault_error(f"channels that do {', '.join(working)}", "", fix, at="channel")
        if self.passage == "through" and not self.channel and not {"in", "out"} <= set(names):
            fix = 'Name two ports "in" and "out", or write channel = [{ from = "a", to = "b" }].'
            raise fault_error("it is not said which ports the water passes between", "", fix)
        if self.passage == "stated" and not self.channel:
            raise fault_error("channels are missing", "", 'Write channel = [{ from = "in", to = "a" }, ...].')
        return self

    @model_validator(mode="after")
    def _origins_are_of_keys(self) -> Self:
        stated = {type(self).model_fields[name].alias or name for name in self.model_fields_set}
        strange = [key for key in self.origins if key not in stated]
        if strange:
            raise fault_error(f'"{strange[0]}" is not stated on this card', "", "Name a key of the card.", at="origins")
        return self

    def origin_of(self, key: str) -> Origin | None:
        """Where the value under `key` comes from: said for the key, else for the card."""
        return self.origins.get(key, self.origin)

    def find_port(self, name: str) -> Port | None:
        """The port called `name`, if there is one."""
        return next((port for port in self.port if port.name == name), None)

    def channels(self) -> tuple[Channel, ...]:
        """The passages, stated or as usual for the kind; the first with `does` carries the part's work."""
        if self.channel:
            if self.main is None and self.passage != "through":
                return self.channel
            if any(channel.does for channel in self.channel):
                return tuple(c.model_copy(update={"loss": c.loss or self.loss}) if c.does else c for c in self.channel)
            head, *rest = self.channel
            return (head.model_copy(update={"does": self.main, "loss": head.loss or self.loss}), *rest)
        if self.passage == "through":
            return (Channel(from_="in", to="out", loss=self.loss, does=self.main),)
        if self.passage == "hub":
            return self._hub_channels()
        return ()

    def _hub_channels(self) -> tuple[Channel, ...]:
        """Every port opens into the tank; a pump under the tank works once, however many outlets it has."""
        outlets = [port.name for port in self.port if port.way == "out" or port.name == "out"]
        inlets = tuple(Channel(from_=port.name, to=TANK) for port in self.port if port.name not in outlets)
        if self.main is None or len(outlets) < 2:
            working = tuple(Channel(from_=TANK, to=name, loss=self.loss, does=self.main) for name in outlets)
            return (*inlets, *working)
        pump = Channel(from_=TANK, to=OUTLET, loss=self.loss, does=self.main)
        return (*inlets, pump, *(Channel(from_=OUTLET, to=name) for name in outlets))
