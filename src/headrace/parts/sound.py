"""How loud a fan or a pump is, as its card states it: a level at one speed and one distance."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from headrace.parts.fields import Number, Record, Size, Sound, StatedShare, StatedSpeed
from headrace.units import Kind, Origin, read_figure

Mounting = Literal["hard", "soft"]


class SoundLevel(Record):
    """Level of one fan at one speed and distance; it rises with `exponent` times lg of the speed."""

    level_db: Sound
    speed_hz: StatedSpeed | None = None
    distance_m: Size
    exponent: Number = Field(default=50.0, ge=0)
    origin: Origin | None = None


class PumpSound(Record):
    """Level of a pump at one speed and distance, on the mounting it was heard on; it rises as that of a fan does."""

    level_db: Sound
    speed_frac: StatedShare = read_figure("100 %", Kind.FRACTION)
    distance_m: Size
    exponent: Number = Field(default=45.0, ge=0)
    mounting: Mounting | None = None
    origin: Origin | None = None
