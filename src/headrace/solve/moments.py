"""
Flow and air of a loop that is not steady: found anew for the temperatures it has at one moment.

Answers   what flows and what the radiators pass while everything warms
Assumes   water and air have no inertia: pumps and fans take their new speed at once
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from headrace.solve.airstate import AirState
from headrace.solve.balanced import Balanced
from headrace.solve.cells import Cells, Moment
from headrace.solve.heat import LEAST_KG_S, HeatBalance
from headrace.solve.losses import Coolants
from headrace.units import Array

_START_RISE_K = 10.0  # as in balance.py: any density near the loop's will do as reference
_FIRST_PASSES = 4  # of the air, which starts as warm as the room
_ROUGH = 1e-3  # share of the flow by which the last Newton step may still move it: what is left is its square
_STILL_K = 0.02  # moving water that warmed by less flows as before


@dataclass
class Moments:
    """Finds one moment after another, each from the one before."""

    cells: Cells
    flow_m3_s: Array | None = None
    air: AirState | None = None
    last: Moment | None = None
    found_at_k: Array = field(default_factory=lambda: np.zeros(0))
    found_room_k: float = np.nan

    def find(self, temp_k: Array, room_k: float) -> Moment:
        """The moment at these temperatures of the links, in a room of `room_k`."""
        if self.last is not None and room_k == self.found_room_k:
            moving = np.abs(self.last.mass_flow_kg_s) > LEAST_KG_S
            if np.max(np.abs(temp_k - self.found_at_k)[moving], initial=0.0) < _STILL_K:
                return self.last
        self.found_at_k, self.found_room_k = temp_k, room_k
        with np.errstate(all="ignore"):  # at rest some formulas divide by no flow; what they give is not used
            for _ in range(_FIRST_PASSES if self.last is None else 1):
                self.last = self._find(temp_k, room_k)
        assert self.last is not None
        return self.last

    def _find(self, temp_k: Array, room_k: float) -> Moment:
        prepared = self.cells.prepared
        stations, solver, chips = prepared.stations, prepared.solver, self.cells.masses.chips
        reference = float(prepared.coolant.density_kg_m3(float(prepared.state.room_k) + _START_RISE_K))
        point_k, radiator_w = self._points(temp_k, room_k)
        density = np.asarray(prepared.coolant.density_kg_m3(point_k))
        viscosity = np.asarray(prepared.coolant.viscosity_pa_s(point_k))
        coolants = Coolants(density, viscosity, reference / density)
        self.flow_m3_s, _ = solver.balance(solver.losses.ready(coolants), 1, self.flow_m3_s, settled=_ROUGH)
        mass = np.asarray(stations.branches.to_links(self.flow_m3_s))[0] * reference
        station_k = np.full((1, stations.count), room_k)
        station_k[:, stations.junctions : -1] = point_k[:, : len(stations.stretch_branch)]
        variants = replace(prepared.nominal(), room_k=np.array([room_k]))
        air = prepared.air_model.start(variants) if self.air is None else self.air
        heat = HeatBalance(station_k, radiator_w[None, :], np.zeros(1))
        self.air = prepared.air_model.step(air, variants, self.flow_m3_s * reference, station_k, coolants, heat)
        links = [chip.link for chip in chips]
        return Moment(mass, np.abs(mass[links]) / density[0, stations.point_of_link[links]], self.air.side)

    def _points(self, temp_k: Array, room_k: float) -> tuple[Array, Array]:
        """Temperature of every point where properties are taken, one row, and the heat of every radiator."""
        stations = self.cells.prepared.stations
        inlet_k, radiator_w = temp_k, np.zeros(len(self.cells.prepared.air_model.place))
        if self.last is not None:
            weights, moving, up = self.cells.mixing(self.last.mass_flow_kg_s)
            inlet_k = np.where(moving, weights[up] @ temp_k, temp_k)
            radiator_w = self.last.heat_w(inlet_k, self.cells.radiators(self.last), moving)
        mean_k = temp_k.copy()
        mean_k[stations.places] = 0.5 * (temp_k + inlet_k)[stations.places]
        count = np.bincount(stations.point_of_link, minlength=stations.points)
        total = np.bincount(stations.point_of_link, mean_k, minlength=stations.points)
        point_k: Array = np.where(count > 0, total / np.maximum(count, 1), room_k)
        for link, *near in zip(stations.places, stations.before, stations.after, strict=True):
            for stretch in near:  # one without links of its own has the water of a place beside it
                point_k[stretch] = point_k[stretch] if count[stretch] else temp_k[link]
        return point_k[None, :], radiator_w


def moment_of(cells: Cells, found: Balanced) -> Moment:
    """The moment of a steady state."""
    mass = found.mass_flow_kg_s[0]
    links = [chip.link for chip in cells.masses.chips]
    return Moment(mass, np.abs(mass[links]) / found.density_kg_m3[0, links], found.air.side)


def start_temps_k(cells: Cells, found: Balanced) -> tuple[Array, Array]:
    """Temperatures of links and chips in a steady state: each link as warm as the water that leaves it."""
    stations, mass = cells.prepared.stations, found.mass_flow_kg_s[0]
    start, end = cells.prepared.link_ends
    node_k = found.node_k[0]
    temp_k = node_k[np.where(mass >= 0.0, start, end)]
    temp_k[stations.places] = found.place_out_k[0]
    moment = moment_of(cells, found)
    chip_k = cells.chips_k(temp_k, moment)
    return temp_k, chip_k
