"""Tube and what joins it: fittings, elbows, extenders, plugs."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import field_validator, model_validator

from headrace.parts.card import Card
from headrace.parts.fields import Angle, Length, Record, Size, Volume, fault_error
from headrace.parts.tables import find_thread
from headrace.units import Kind, read_figure


class Tube(Card):
    """Tube by the metre, soft or hard."""

    kind: Literal["tube"]
    bore_m: Size
    outside_m: Size
    hard: bool = False
    min_bend_radius_m: Size | None = None
    roughness_m: Length = read_figure("0.0015 mm", Kind.LENGTH)
    month_loss_m3: Volume | None = None

    @model_validator(mode="after")
    def _has_a_wall(self) -> Self:
        if self.outside_m <= self.bore_m:
            raise fault_error("the outside is no larger than the bore", "", "Give the bore and the outside diameter.")
        return self


class TubeEnd(Record):
    """The end of a fitting that takes tube: a collar that grips, a barb, or an O-ring socket for hard tube."""

    grip: Literal["collar", "barb", "socket"]
    bore_m: Size | None = None
    outside_m: Size | None = None
    barb_m: Size | None = None
    cord_m: Size | None = None
    groove_m: Size | None = None
    insertion_m: Length | None = None

    @model_validator(mode="after")
    def _says_its_size(self) -> Self:
        if self.grip == "socket" and self.outside_m is None:
            raise fault_error("a socket without a tube size", "", 'Write outside = "14 mm".')
        if self.grip == "barb" and self.barb_m is None:
            raise fault_error("a barb without a size", "", 'Write barb = "10 mm" (its largest outside diameter).')
        if self.grip == "collar" and (self.bore_m is None or self.outside_m is None):
            raise fault_error("a collar without a tube size", "", 'Write bore = "10 mm", outside = "16 mm".')
        return self


class Fitting(Card):
    """What screws into a port: it ends in tube, in another port (`opens`), or closed (a plug or valve)."""

    kind: Literal["fitting"]
    thread: str
    stud_m: Length | None = None
    collar_m: Length | None = None
    height_m: Length | None = None
    arm_m: Length | None = None
    bore_m: Size | None = None
    turn_rad: Angle | None = None
    rotary: bool = False
    cord_m: Size | None = None
    groove_m: Size | None = None
    tube: TubeEnd | None = None
    opens: str | None = None
    opens_depth_m: Length | None = None
    drains: bool = False

    @field_validator("thread", "opens")
    @classmethod
    def _known_thread(cls, value: str | None) -> str | None:
        return None if value is None else find_thread(value).name
