"""
How strong each radiator is at its air and coolant, whichever way its card says so.

Answers   watts per kelvin between the inlets, for every variant
Assumes   where fans stand still their part of the core passes no heat; the rest works as the whole core would
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from headrace.parts.radiator import Radiator, UaLaw
from headrace.physics.core import Core
from headrace.physics.effectiveness import strength_w_k
from headrace.physics.radiator import StrengthTable, bound_w_k, thin_air_w_k, ua_w_k
from headrace.units import Array

_ARRANGEMENT = {
    "both unmixed": "crossflow",
    "air mixed": "crossflow, a mixed",
    "coolant mixed": "crossflow, b mixed",
    "counterflow": "counterflow",
}


class Fluid(NamedTuple):
    """Properties of a fluid where it enters or passes a core, by variant."""

    density_kg_m3: Array
    viscosity_pa_s: Array
    heat_capacity_j_kg_k: Array
    conductivity_w_m_k: Array


class Streams(NamedTuple):
    """
    Both streams of one core, by variant. `air_flow_m3_s` is of the whole core, 0 where it is not known.

    The fluids are given where the core is known by its geometry.
    """

    air_flow_m3_s: Array
    speed_hz: Array
    air_w_k: Array
    air: Fluid | None
    flow_m3_s: Array
    coolant_w_k: Array
    coolant: Fluid | None


@dataclass(frozen=True)
class CoreAir:
    """One radiator in its path of air: which place of heat it is, and in which form its strength is stated."""

    part: str
    path: int
    place: int  # -1 when no water flows through it
    live_frac: float
    thin_frac: float  # air pressure over that at sea level, where points are stated
    by_speed: bool
    table: StrengthTable | None
    ua: UaLaw | None
    core: Core | None

    @classmethod
    def of(cls, part: str, card: Radiator, path: int, place: int, live_frac: float, thin_frac: float) -> CoreAir:
        """Read the card."""
        by_speed = card.strength is not None and card.strength.speed is not None
        table = card.strength.fit() if card.strength is not None else None
        core = card.geometry.core() if card.geometry is not None else None
        return cls(part, path, place, live_frac, thin_frac, by_speed, table, card.ua, core)

    @property
    def form(self) -> str:
        """How the card states its strength, in words."""
        return "points" if self.table is not None else "UA law" if self.ua is not None else "geometry"

    @property
    def needs_air(self) -> bool:
        """True when the strength cannot be told without an airflow."""
        return self.table is None or not self.by_speed

    def stated_w_k(self, speed_hz: Array, air_flow_m3_s: Array, air_w_k: Array) -> Array:
        """Strength of the points at this fan speed or airflow, whichever they are stated against, in this air."""
        assert self.table is not None
        axis = speed_hz if self.by_speed else air_flow_m3_s / max(self.live_frac, 1e-9)
        stated = np.asarray(self.live_frac * self.table.strength_w_k(axis))
        return stated if self.thin_frac == 1.0 else np.asarray(thin_air_w_k(stated, air_w_k, self.thin_frac))

    def strength_w_k(self, streams: Streams, factor: Array | float) -> Array:
        """Strength of this core; `factor` scales its points, or its conductance."""
        form: Callable[[Streams, Array | float], Array] = getattr(self, f"_by_{self.form.split()[-1]}")
        return form(streams, factor)

    def _by_points(self, streams: Streams, factor: Array | float) -> Array:
        stated = factor * self.stated_w_k(streams.speed_hz, streams.air_flow_m3_s, streams.air_w_k)
        still_w_k = self.table.floor_w_k * self.live_frac if self.table is not None else 0.0  # passes without any fan
        air_w_k = np.where(streams.air_w_k > 0.0, streams.air_w_k + still_w_k, np.inf)
        return np.asarray(np.minimum(stated, bound_w_k(air_w_k, streams.coolant_w_k)))

    def _by_law(self, streams: Streams, factor: Array | float) -> Array:
        law = self.ua
        assert law is not None
        per_live = streams.air_flow_m3_s / max(self.live_frac, 1e-9)
        ua = ua_w_k(per_live, streams.flow_m3_s, law.air_w_k(), law.ma, law.coolant_w_k(), law.mw)
        ua = factor * self.live_frac * ua
        return np.asarray(strength_w_k(ua, streams.air_w_k, streams.coolant_w_k, _ARRANGEMENT[law.arrangement]))

    def _by_geometry(self, streams: Streams, factor: Array | float) -> Array:
        core = self.core
        assert core is not None
        assert streams.air is not None
        assert streams.coolant is not None
        per_live = streams.air_flow_m3_s / max(self.live_frac, 1e-9)
        air = core.air_w_k(per_live, *streams.air)
        coolant = core.coolant_w_k(streams.flow_m3_s, *streams.coolant)
        ua = factor * self.live_frac * core.ua_w_k(air, coolant)
        return np.asarray(core.strength_w_k(ua, streams.air_w_k, streams.coolant_w_k))
