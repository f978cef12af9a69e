"""The core of a radiator: its geometry, and what it costs the air in pressure.

Answers   which tubes and fins a card states, and the coefficients of dp = a V^2 + b V of all its air
Assumes   flat tubes with fins between them; the loss is stated in air of AIR_LOSS_KG_M3
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache
from typing import Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from headrace.parts.fields import (
    AirUnit,
    Conductivity,
    Number,
    Percent,
    PressureUnit,
    Record,
    Size,
    Slope,
    fault_error,
    refuse,
)
from headrace.physics.core import Core
from headrace.physics.curve import LossFit, fit_loss, loss_faults
from headrace.units import Origin

Pair = tuple[Number, Number]
AIR_LOSS_KG_M3 = 1.2  # the air every fan and core is stated in, common practice, no source
_LOUVRES = {
    "louvre_pitch": 'louvre_pitch = "1.1 mm"',
    "louvre_angle": 'louvre_angle = "27 deg"',
    "louvre_length": 'louvre_length = "5.8 mm"',
}


class CoreGeometry(Record):
    """Flat tubes with fins between them; `tubes` are those of one row, `tube_depth` is along the air."""

    fins: Literal["louvred", "plain"]
    tube_length_m: Size
    tubes: int = Field(strict=True, ge=1, le=500)
    rows: int = Field(default=1, strict=True, ge=1, le=10)
    passes: int = Field(strict=True, ge=1, le=20)
    tube_height_m: Size
    tube_depth_m: Size
    tube_wall_m: Size
    fin_height_m: Size
    fin_pitch_m: Size
    fin_thickness_m: Size
    fin_conductivity_w_m_k: Conductivity
    louvre_pitch_m: Size | None = None
    louvre_angle_rad: Slope | None = None
    louvre_length_m: Size | None = None
    spread_frac: Percent | None = None
    origin: Origin | None = None

    def core(self) -> Core:
        """The lengths as the formulas of a core want them."""
        return _core_of(self)

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        refuse(*self._louvre_faults(), *self._size_faults())
        return self

    def _louvre_faults(self) -> Iterator[PydanticCustomError]:
        values = (self.louvre_pitch_m, self.louvre_angle_rad, self.louvre_length_m)
        stated = [key for key, value in zip(_LOUVRES, values, strict=True) if value is not None]
        missing = [key for key in _LOUVRES if key not in stated]
        if self.fins == "louvred" and missing:
            fix = f'Write for example {", ".join(_LOUVRES[key] for key in missing)}; or fins = "plain".'
            yield fault_error(f"louvred fins without {', '.join(missing)}", "", fix)
        if self.fins == "plain" and stated:
            fix = f'Leave {", ".join(stated)} out, or write fins = "louvred".'
            yield fault_error("plain fins have no louvres", "", fix, at=stated[0])
        if self.louvre_angle_rad is not None and self.louvre_angle_rad >= math.pi / 2:
            found = f'louvre_angle "{self.louvre_angle_rad.text}"'
            yield fault_error(found, "less than 90 deg", "It is counted from the way of the air.", at="louvre_angle")

    def _size_faults(self) -> Iterator[PydanticCustomError]:
        if self.passes > self.tubes:
            found, limit = f"{self.passes} passes for {self.tubes} tubes", f"limit {self.tubes}"
            yield fault_error(found, limit, "Every pass takes a tube or more.", at="passes")
        bounded = (
            ("tube_wall", self.tube_wall_m, 0.5, "tube_height", self.tube_height_m, "Leave the water a way."),
            ("tube_height", self.tube_height_m, 1.0, "tube_depth", self.tube_depth_m, "A tube lies flat in the air."),
            ("fin_thickness", self.fin_thickness_m, 1.0, "fin_pitch", self.fin_pitch_m, "Leave the air a way."),
            ("louvre_length", self.louvre_length_m, 1.0, "fin_height", self.fin_height_m, "It is cut into the fin."),
        )
        for what, size, share, bound, most, fix in bounded:
            if size is not None and size >= share * most:
                limit = f'less than {"half of " if share < 1.0 else ""}{bound} "{most.text}"'
                yield fault_error(f'{what} "{size.text}"', limit, fix, at=what)


@lru_cache(maxsize=64)
def _core_of(geometry: CoreGeometry) -> Core:
    louvre = (geometry.louvre_pitch_m, geometry.louvre_angle_rad, geometry.louvre_length_m)
    pitch_m, angle_rad, length_m = (None if value is None else float(value) for value in louvre)
    return Core(
        tube_length_m=float(geometry.tube_length_m),
        tubes=geometry.tubes,
        rows=geometry.rows,
        passes=geometry.passes,
        tube_height_m=float(geometry.tube_height_m),
        tube_depth_m=float(geometry.tube_depth_m),
        tube_wall_m=float(geometry.tube_wall_m),
        fin_height_m=float(geometry.fin_height_m),
        fin_pitch_m=float(geometry.fin_pitch_m),
        fin_thickness_m=float(geometry.fin_thickness_m),
        fin_w_m_k=float(geometry.fin_conductivity_w_m_k),
        louvre_pitch_m=pitch_m,
        louvre_angle_rad=angle_rad,
        louvre_length_m=length_m,
    )


class AirLoss(Record):
    """Pressure that all the air of a core loses in it, against that airflow."""

    air: AirUnit
    loss: PressureUnit
    points: tuple[Pair, ...] = Field(min_length=1)
    spread_frac: Percent | None = None
    origin: Origin | None = None

    @model_validator(mode="after")
    def _rises(self) -> Self:
        faults = loss_faults(*self.points_si())
        if faults:
            fix = "A loss rises with the airflow, with an exponent from 1 to 2.1."
            raise fault_error("; ".join(faults), "", fix, at="points")
        return self

    def points_si(self) -> tuple[list[float], list[float]]:
        """Airflows and losses."""
        return [self.air.to_si(v) for v, _ in self.points], [self.loss.to_si(dp) for _, dp in self.points]

    def fit(self) -> LossFit:
        """Coefficients of dp = a V^2 + b V in SI, in air of AIR_LOSS_KG_M3."""
        return _fit_air(self)


@lru_cache(maxsize=64)
def _fit_air(loss: AirLoss) -> LossFit:
    return fit_loss(*loss.points_si())
