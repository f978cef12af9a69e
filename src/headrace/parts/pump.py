"""A pump: head against flow, electric power, and the share of it that warms the coolant."""

from __future__ import annotations

from functools import lru_cache
from typing import Annotated, ClassVar, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from headrace.parts.card import Card, Form, Work
from headrace.parts.coolant import TestFluid
from headrace.parts.fields import (
    FlowUnit,
    Heat,
    Number,
    Percent,
    PercentUnit,
    PowerUnit,
    PressureUnit,
    Record,
    StatedShare,
    StatedSpeed,
    Volume,
    as_list,
    fault_error,
)
from headrace.parts.loss import Loss
from headrace.parts.sound import PumpSound
from headrace.physics.pump import PumpCurve, fit_pump, pump_faults
from headrace.units import Kind, Origin, read_figure

Pair = tuple[Number, Number]


class PumpTable(Record):
    """Head against flow at one speed."""

    flow: FlowUnit
    head: PressureUnit
    points: tuple[Pair, ...] = Field(min_length=2)
    speed_frac: StatedShare = read_figure("100 %", Kind.FRACTION)
    spread_frac: Percent | None = None
    with_: TestFluid = TestFluid()
    origin: Origin | None = None

    def points_si(self) -> tuple[tuple[float, float], ...]:
        """(flow_m3_s, head_pa) carried to full speed by the affinity laws: Q / s, dp / s^2."""
        s = float(self.speed_frac)
        return tuple((self.flow.to_si(q) / s, self.head.to_si(dp) / s**2) for q, dp in self.points)


class PowerTable(Record):
    """Electric power against speed."""

    speed: PercentUnit
    power: PowerUnit
    points: tuple[Pair, ...] = Field(min_length=1)
    spread_frac: Percent | None = None

    def points_si(self) -> tuple[tuple[float, float], ...]:
        """(speed_frac, power_w)."""
        return tuple((self.speed.to_si(s), self.power.to_si(p)) for s, p in self.points)


_TABLES = BeforeValidator(as_list, json_schema_input_type=PumpTable | tuple[PumpTable, ...])


class Pump(Card):
    """A centrifugal pump with a wet rotor. `power` is at full speed."""

    main: ClassVar[Work | None] = "pump"
    passage: ClassVar[Form] = "through"

    kind: Literal["pump"]
    curve: Annotated[tuple[PumpTable, ...], _TABLES] = Field(min_length=1)
    full_speed_hz: StatedSpeed | None = None
    min_speed_frac: Percent | None = None
    power_w: Heat | None = None
    power_points: PowerTable | None = None
    heat_share_frac: Percent | None = None
    lead: Literal["header", "drive plug", "peripheral plug"] | None = None
    stopped: Loss | None = None
    sound: PumpSound | None = None

    @model_validator(mode="after")
    def _curves_fall(self) -> Self:
        for table in self.curve:
            faults = pump_faults(*zip(*table.points, strict=True))
            if faults:
                raise fault_error(
                    "; ".join(faults), "", "Head falls as the flow rises, from shut-off to free flow.", at="curve"
                )
        return self

    def fit(self) -> PumpCurve:
        """Head against flow at full speed in the first curve's test fluid, from all curves of the card."""
        return _fit_tables(self.curve)


@lru_cache(maxsize=256)
def _fit_tables(tables: tuple[PumpTable, ...]) -> PumpCurve:
    base = tables[0].with_.density_kg_m3()
    points = []
    for table in tables:
        ratio = base / table.with_.density_kg_m3()
        points += [(flow, head * ratio) for flow, head in table.points_si()]
    points.sort()
    return fit_pump([q for q, _ in points], [dp for _, dp in points])


class PumpReservoir(Pump):
    """A pump under its own reservoir, in one body."""

    passage: ClassVar[Form] = "hub"

    kind: Literal["pump-reservoir"]  # type: ignore[assignment]
    water_volume_m3: Volume | None = None
    sealed: bool | None = None
