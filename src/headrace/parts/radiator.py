"""A radiator: its strength as points, as a UA law, or from the geometry of its core."""

from __future__ import annotations

from functools import lru_cache
from typing import ClassVar, Literal, Self

from pydantic import Field, model_validator

from headrace.parts.card import Card, Form, Work
from headrace.parts.core import AirLoss, CoreGeometry
from headrace.parts.fields import (
    AirUnit,
    FlowUnit,
    Length,
    Number,
    Percent,
    Record,
    SpeedUnit,
    StrengthUnit,
    fault_error,
)
from headrace.physics.radiator import AIR_REFERENCE_M3_S, COOLANT_REFERENCE_M3_S, fit_strength
from headrace.physics.radiator import StrengthTable as StrengthFit
from headrace.units import Origin

Pair = tuple[Number, Number]
Arrangement = Literal["both unmixed", "air mixed", "coolant mixed", "counterflow"]


class StrengthTable(Record):
    """Strength in W per K of (coolant in - air in), against airflow through the core or against fan speed."""

    air: AirUnit | None = None
    speed: SpeedUnit | None = None
    strength: StrengthUnit
    points: tuple[Pair, ...] = Field(min_length=1)
    spread_frac: Percent | None = None
    origin: Origin | None = None

    @model_validator(mode="after")
    def _one_axis(self) -> Self:
        if (self.air is None) == (self.speed is None):
            raise fault_error(
                "the strength is not against exactly one thing", "", 'Write air = "m3/h" or speed = "rpm".'
            )
        xs = [x for x, _ in self.points]
        ys = [y for _, y in self.points]
        if any(x < 0 for x in xs) or any(y <= 0 for y in ys):
            raise fault_error("a point is negative or without strength", "", "Air or speed from 0, strength above 0.")
        if xs != sorted(set(xs)) or ys != sorted(ys):
            raise fault_error(
                "the strength does not rise with the air", "", "More air is never a weaker radiator; sort by air."
            )
        return self

    def fit(self) -> StrengthFit:
        """Strength against airflow in m3/s, or against fan speed in turns per second."""
        return _fit_points(self)


@lru_cache(maxsize=256)
def _fit_points(table: StrengthTable) -> StrengthFit:
    axis = table.air or table.speed
    assert axis is not None
    return fit_strength([axis.to_si(x) for x, _ in table.points], [table.strength.to_si(y) for _, y in table.points])


class UaLaw(Record):
    """1/UA = 1/(ka V^ma) + 1/(kw Q^mw), ka and kw in W/K at one unit of `air` and of `flow`."""

    air: AirUnit
    flow: FlowUnit
    ka: Number = Field(gt=0)
    ma: Number = Field(ge=0, le=1)
    kw: Number = Field(gt=0)
    mw: Number = Field(ge=0, le=1)
    arrangement: Arrangement = "both unmixed"
    spread_frac: Percent | None = None
    origin: Origin | None = None

    def air_w_k(self) -> float:
        """Ka at the reference airflow of `physics.radiator`."""
        return float(self.ka * (AIR_REFERENCE_M3_S / self.air.to_si(1.0)) ** self.ma)

    def coolant_w_k(self) -> float:
        """Kw at the reference coolant flow of `physics.radiator`."""
        return float(self.kw * (COOLANT_REFERENCE_M3_S / self.flow.to_si(1.0)) ** self.mw)


class Radiator(Card):
    """A core with end tanks. Fans belong to the stack it stands in."""

    main: ClassVar[Work | None] = "cool"
    passage: ClassVar[Form] = "through"

    kind: Literal["radiator"]
    fan_size_m: Length | None = None
    fan_places: int | None = Field(default=None, strict=True, ge=1, le=36)
    core_m: Length | None = None
    flange_m: Length | None = None
    screw_room_m: Length | None = None
    strength: StrengthTable | None = None
    ua: UaLaw | None = None

    geometry: CoreGeometry | None = None
    air_loss: AirLoss | None = None

    @model_validator(mode="after")
    def _one_strength(self) -> Self:
        forms = {"strength": self.strength, "ua": self.ua, "geometry": self.geometry}
        stated = [key for key, form in forms.items() if form is not None]
        if len(stated) > 1:
            found = f"strength is stated {'twice' if len(stated) == 2 else 'three times'}: {', '.join(stated)}"
            fix = "Give points, a UA law or the geometry; a card takes over the form of the one it is like."
            raise fault_error(found, "limit one form", fix, at=stated[-1])
        return self
