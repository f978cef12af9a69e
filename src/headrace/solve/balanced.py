"""Flow and heat of one network that agree with one another, as arrays."""

from __future__ import annotations

from dataclasses import dataclass

from headrace.solve.flow import FlowBalance
from headrace.solve.heat import AirSide, HeatBalance
from headrace.units import Array


@dataclass(frozen=True)
class Balanced:
    """Flow and heat that agree, shape (1, ...), with the properties they were found at."""

    flow: FlowBalance
    heat: HeatBalance
    air: AirSide
    mass_flow_kg_s: Array
    density: Array
    viscosity: Array
    passes: int
