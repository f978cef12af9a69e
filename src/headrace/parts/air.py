"""Fans, and what else stands in their air: filters and grilles."""

from __future__ import annotations

from functools import lru_cache
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
    Speed,
    StatedPressure,
    StatedSpeed,
    Velocity,
)
from headrace.parts.sound import SoundLevel
from headrace.physics.pump import PumpCurve, fit_pump
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

    def fit(self) -> PumpCurve:
        """Pressure against airflow at the stated speed, in air of 1.2 kg/m3."""
        return _fit_fan(self)


@lru_cache(maxsize=256)
def _fit_fan(table: FanTable) -> PumpCurve:
    air, pressure = zip(*table.points, strict=True)
    return fit_pump([table.air.to_si(v) for v in air], [table.pressure.to_si(p) for p in pressure])


class Fan(Card):
    """An axial fan."""

    kind: Literal["fan"]
    size_m: Size
    thickness_m: Length = read_figure("25 mm", Kind.LENGTH)
    full_speed_hz: StatedSpeed | None = None
    min_speed_hz: Speed | None = None
    blades: int | None = Field(default=None, strict=True, ge=2, le=20)
    curve: FanTable | None = None
    sound: SoundLevel | None = None


class Screen(Card):
    """A filter or grille in the air: its loss at one velocity of the air in front of it, and how that rises."""

    kind: Literal["air-filter", "grille"]
    face_loss_pa: StatedPressure
    face_velocity_m_s: Velocity
    exponent: Number = Field(default=1.6, ge=1, le=2)
