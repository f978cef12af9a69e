"""
A loop in one state made ready to be solved, once for one variant or for many: network, stations, air.

Answers   what stays the same between the variants of a state
Assumes   no variant stops a pump that runs in the state, or starts one that rests
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from headrace.fluids.air import Air
from headrace.fluids.coolant import Coolant
from headrace.loop.model import Loop, State
from headrace.loop.route import Route
from headrace.solve.airside import AirModel
from headrace.solve.assemble import Assembly, assemble
from headrace.solve.branches import Branches
from headrace.solve.flow import FlowSolver
from headrace.solve.laws import Pumping
from headrace.solve.stations import Stations
from headrace.solve.variants import Variants
from headrace.units import Array, Indices

_PLACES = ("pump", "heat", "cool")


@dataclass(frozen=True)
class Prepared:
    """Everything that the variants of one state share."""

    loop: Loop
    route: Route
    state: State
    assembly: Assembly
    coolant: Coolant
    air: Air
    stations: Stations
    solver: FlowSolver
    air_model: AirModel

    @classmethod
    def of(cls, loop: Loop, route: Route, state: State) -> Prepared:
        """Prepare a state. Raises Unknown with every value that is missing."""
        assembly = assemble(loop, route, state)
        branches = Branches.of(assembly.network)
        stations = Stations.of(branches, [passage.does in _PLACES for passage in assembly.passages])
        solver = FlowSolver.of(assembly.network, branches, stations.point_of_link, stations.points)
        air = Air.at(float(state.altitude_m), float(state.humidity_frac), float(state.room_k))
        air_model = AirModel.of(loop, state, assembly, stations, air)
        return cls(loop, route, state, assembly, loop.coolant.fluid(), air, stations, solver, air_model)

    @cached_property
    def place_heat_w(self) -> Array:
        """Heat put in at each place in the state itself."""
        return np.array([self.assembly.passages[link].heat_w for link in self.stations.places])

    @cached_property
    def pump_elements(self) -> dict[str, int]:
        """Index of the element that turns, by pump."""
        found, index = {}, 0
        for passage in self.assembly.passages:
            for element in passage.elements:
                if isinstance(element.law, Pumping):
                    found[passage.owner] = index
                index += 1
        return found

    def pump_speed_frac(self, pump: str) -> float:
        """Speed of a pump in the state as a share of full speed; 0 for one that stands still."""
        element = self.pump_elements.get(pump)
        laws = [element.law for passage in self.assembly.passages for element in passage.elements]
        law = None if element is None else laws[element]
        return float(np.max(law.speed_frac)) if isinstance(law, Pumping) else 0.0

    @cached_property
    def place_of(self) -> dict[str, int]:
        """Index of the place of heat of each part that flows."""
        return {self.assembly.passages[link].owner: i for i, link in enumerate(self.stations.places)}

    @property
    def link_ends(self) -> tuple[Indices, Indices]:
        """Start and end node of every link."""
        links = self.assembly.network.links
        return np.array([x.start for x in links], np.intp), np.array([x.end for x in links], np.intp)

    def nominal(self) -> Variants:
        """The state itself as the only variant."""
        return Variants(
            room_k=np.array([float(self.state.room_k)]),
            heat_w=self.place_heat_w[None, :],
            speed_hz=self.air_model.speeds_hz()[None, :],
        )
