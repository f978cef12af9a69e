"""Fans."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from headrace.parts.card import Card
from headrace.parts.fields import (
    AirUnit,
    Length,
    Number,
    Percent,
    PressureUnit,
    Record,
    Size,
    Sound,
    Speed,
    StatedSpeed,
)
from headrace.units import Kind, Origin, read_figure

Pair = tuple[Number, Number]


class FanTable(Record):
    """Static pressure against airflow at one speed."""

    air: AirUnit
    pressure: PressureUnit
    points: tuple[Pair, ...] = Field(min_length=2)
    speed_hz: StatedSpeed
    spread_frac: Percent | None = None
    origin: Origin | None = None


class SoundLevel(Record):
    """Level of one source at one speed and distance; it rises with `exponent` times lg of the speed."""

    level_db: Sound
    speed_hz: StatedSpeed | None = None
    distance_m: Size
    exponent: Number = 50.0
    origin: Origin | None = None


class Fan(Card):
    """An axial fan."""

    kind: Literal["fan"]
    size_m: Size
    thickness_m: Length = read_figure("25 mm", Kind.LENGTH)
    full_speed_hz: StatedSpeed | None = None
    min_speed_hz: Speed | None = None
    blades: int | None = Field(default=None, strict=True, ge=2, le=20)
    curve: FanTable | None = None
    free_air_share_frac: Percent | None = None
    sound: SoundLevel | None = None
