"""Everything the balance of flow, heat and air found, as arrays with one row a variant."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from headrace.solve.airstate import AirState
from headrace.solve.flow import FlowBalance
from headrace.solve.heat import HeatBalance, pick
from headrace.solve.losses import Coolants, Losses
from headrace.solve.prepared import Prepared
from headrace.solve.variants import Variants
from headrace.units import Array


@dataclass(frozen=True)
class Balanced:
    """
    A balance of all variants. `closed` marks the variants that closed; the others hold what was last tried.

    `flow_m3_s` is by branch at the reference density, `heat.station_k` by station.
    """

    prepared: Prepared
    variants: Variants
    losses: Losses
    coolants: Coolants
    reference_kg_m3: float
    flow_m3_s: Array
    heat: HeatBalance
    air: AirState
    moved_k: Array
    closed: NDArray[np.bool_]
    passes: int

    @classmethod
    def join(cls, parts: Sequence[Balanced], variants: Variants, losses: Losses) -> Balanced:
        """The variants of all parts, one after the other; `variants` and `losses` are those of all."""
        first = parts[0]
        return cls(
            first.prepared,
            variants,
            losses,
            Coolants.join([part.coolants for part in parts]),
            first.reference_kg_m3,
            np.concatenate([part.flow_m3_s for part in parts]),
            HeatBalance.join([part.heat for part in parts]),
            AirState.join([part.air for part in parts]),
            np.concatenate([part.moved_k for part in parts]),
            np.concatenate([part.closed for part in parts]),
            max(part.passes for part in parts),
        )

    @cached_property
    def flows(self) -> FlowBalance:
        """Flow (at the reference density) and pressure of every link and element."""
        return self.prepared.solver.finish(self.losses, self.coolants, self.flow_m3_s, self.passes)

    @cached_property
    def mass_flow_kg_s(self) -> Array:
        """By link."""
        return self.flows.flow_m3_s * self.reference_kg_m3

    @cached_property
    def density_kg_m3(self) -> Array:
        """Of the coolant in each link."""
        return self.coolants.density_kg_m3[:, self.prepared.stations.point_of_link]

    @cached_property
    def viscosity_pa_s(self) -> Array:
        """Of the coolant in each link."""
        return self.coolants.viscosity_pa_s[:, self.prepared.stations.point_of_link]

    @cached_property
    def node_k(self) -> Array:
        """Coolant at every node; a node of water at rest has the room's temperature."""
        return self.heat.station_k[:, self.prepared.stations.node_station]

    @cached_property
    def place_in_k(self) -> Array:
        """Water coming into every place of heat."""
        stations = self.prepared.stations
        return pick(self.heat.station_k, stations.inlets(self.flow_m3_s))

    @cached_property
    def place_out_k(self) -> Array:
        """Water leaving every place of heat."""
        stations = self.prepared.stations
        return pick(self.heat.station_k, stations.inlets(-self.flow_m3_s))
