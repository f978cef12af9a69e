"""The case, and what feeds pumps and fans: boards with headers, power supplies with plugs."""

from __future__ import annotations

from typing import Literal, TypeAlias

from pydantic import Field, field_validator

from headrace.parts.card import Card
from headrace.parts.fields import Current, Heat, PointM, Record, Size, fault_error
from headrace.parts.tables import Plug

Side: TypeAlias = Literal["left", "right", "top", "bottom", "front", "rear"]


class Case(Card):
    """The case: inside size (x rear to front, y left to right seen from the front, z up) and its window side."""

    kind: Literal["case"]
    inside_m: PointM
    window: Literal["right", "left", "none"] = "none"
    slot_pitch_m: Size | None = None
    opens: tuple[Side, ...] | None = None

    @field_validator("inside_m")
    @classmethod
    def _has_room(cls, value: PointM) -> PointM:
        if min(value) <= 0.0:
            fix = "Give the inside size along x (rear to front), y (left to right) and z (up)."
            raise fault_error("a size that is not above zero", "", fix)
        return value

    @property
    def open_sides(self) -> tuple[Side, ...]:
        """The sides that come off: as stated, else that of the window; none where neither is said."""
        if self.opens is not None:
            return self.opens
        return () if self.window == "none" else (self.window,)


class Outlet(Record):
    """One header or plug and the current it may carry all in all."""

    name: str = Field(min_length=1)
    max_current_a: Current | None = None
    plug: Plug | None = None
    at_m: PointM | None = None


class Feeder(Card):
    """Something that feeds pumps and fans with 12 V."""

    kind: Literal["board", "power-supply", "fan-hub"]
    outlet: tuple[Outlet, ...] = Field(min_length=1)
    min_load_w: Heat | None = None
    fed_by: Plug | None = None


class Obstacle(Card):
    """A part that takes room and no water: memory, a drive, a cable."""

    kind: Literal["obstacle"]
    what: Literal["memory", "fans", "drive cage", "cable", "cooler", "other"] = "other"
