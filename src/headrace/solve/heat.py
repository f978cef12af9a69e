"""
Balance the heat of a network whose flows are known: coolant at every station, heat of every radiator.

Answers   how warm the water is everywhere, and what each radiator gives to its air
Assumes   steady; tubes lose no heat; water mixes fully where branches meet; enthalpy and not temperature is carried,
          so the changing heat capacity of the coolant costs nothing in the balance
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from headrace.fluids.coolant import Coolant
from headrace.solve.small import solve_small
from headrace.solve.stations import Stations
from headrace.units import Array, Indices

LEAST_KG_S = 1e-7  # 0.4 mL/h: less is water at rest
LEAST_W = 1e-3  # a loop without heat closes to a share of this
_PIN = 1e-13  # share of the flow that leaks heat to the room, so that a loop without heat has a temperature


@dataclass(frozen=True)
class AirSide:
    """
    The radiators, shape (variants, radiators): strength, air coming in before any exhaust is added.

    `place` is the place of heat of each. `preheat_k_w[v, s, k]` is the rise of the air into s for each watt that
    radiator k gives off.
    """

    place: Indices
    strength_w_k: Array
    base_air_k: Array
    preheat_k_w: Array


@dataclass(frozen=True)
class HeatBalance:
    """Coolant by station, heat by radiator, and heat left over against heat put in, shape (variants, ...)."""

    station_k: Array
    heat_w: Array
    left_w: Array

    def take(self, rows: Indices) -> HeatBalance:
        """Some of the variants."""
        return HeatBalance(self.station_k[rows], self.heat_w[rows], self.left_w[rows])


def solve_heat(
    stations: Stations,
    mass_flow_kg_s: Array,
    heat_w: Array,
    air: AirSide,
    coolant: Coolant,
    room_k: Array,
    station_k: Array,
) -> HeatBalance:
    """
    One pass of the balance of all variants, linear around the temperatures `station_k`.

    Flows are by branch, heat put in by place, `station_k` has shape (variants, stations). Called until the
    temperatures rest, which takes one pass for water of constant heat capacity.
    """
    flow = np.abs(mass_flow_kg_s)
    flow = np.where(flow > LEAST_KG_S, flow, 0.0)
    moving = flow[:, stations.place_branch] > 0.0
    heat_w = np.where(moving, heat_w, 0.0)
    strength = np.where(moving[:, air.place], air.strength_w_k, 0.0)
    inlet = stations.inlets(mass_flow_kg_s)[:, air.place]
    enthalpy, capacity = (np.asarray(value) for value in coolant.enthalpy_and_capacity(station_k))
    room_j_kg = np.asarray(coolant.enthalpy_j_kg(room_k))
    system = _System.of(stations, mass_flow_kg_s, flow, heat_w, air.place)
    tangent = _Tangent(*(np.take_along_axis(values, inlet, axis=1) for values in (station_k, enthalpy, capacity)))
    junction_j_kg, out_w = system.solve(strength, tangent, air, room_j_kg)
    reached = system.enthalpy(junction_j_kg, out_w, room_j_kg)
    station_k = station_k + (reached - enthalpy) / capacity
    air_in = air.base_air_k + np.einsum("vsk,vk->vs", air.preheat_k_w, out_w)
    passed = strength * (np.take_along_axis(station_k, inlet, axis=1) - air_in)
    left = np.sum(heat_w, axis=1) - np.sum(passed, axis=1)
    return HeatBalance(station_k, passed, left)


def exchanged_w(heat_w: Array, passed_w: Array) -> Array:
    """The heat a balance is measured by: what is put in, or what radiators pass where that is more; never 0."""
    most: Array = np.maximum(np.maximum(heat_w, np.sum(np.abs(passed_w), axis=-1)), LEAST_W)
    return most


@dataclass(frozen=True)
class _Tangent:
    """Temperature, enthalpy and heat capacity where each radiator's water enters, at the last guess."""

    temp_k: Array
    j_kg: Array
    j_kg_k: Array


@dataclass(frozen=True)
class _System:
    """The linear relations of one pass. Unknown are the enthalpy of each junction and the heat of each radiator."""

    stations: Stations
    up: Indices  # (variants, branches): junction the water comes from
    down: Indices
    flow: Array  # (variants, branches), without sign
    heat_w: Array  # (variants, places)
    place: Indices  # of each radiator
    passed: Array  # (variants or 1, stretches, places): 1 where the water has met the place

    @classmethod
    def of(cls, stations: Stations, signed: Array, flow: Array, heat_w: Array, place: Indices) -> _System:
        forward = signed >= 0.0
        ends = stations.branches.start, stations.branches.end
        up, down = np.where(forward, *ends), np.where(forward, *ends[::-1])
        forward = forward[:1] if np.all(forward == forward[:1]) else forward  # one pattern serves all, as is usual
        same = stations.stretch_branch[:, None] == stations.place_branch[None, :]
        along = forward[:, stations.stretch_branch][:, :, None]
        passed = np.where(along, stations.passed, same - stations.passed)
        return cls(stations, up, down, flow, heat_w, place, passed)

    def solve(self, strength: Array, tangent: _Tangent, air: AirSide, room_j_kg: Array) -> tuple[Array, Array]:
        """Enthalpy of every junction and heat of every radiator; radiators stand first among the unknowns."""
        stations = self.stations
        variants, count = len(self.flow), len(self.place)
        size = count + stations.junctions
        matrix, right = np.zeros((variants, size, size)), np.zeros((variants, size))
        self._mixing(matrix, right, room_j_kg)
        row = np.arange(variants)
        slope = strength / tangent.j_kg_k
        per_flow = 1.0 / np.maximum(self.flow, LEAST_KG_S)
        met = self._met()
        given = np.sum(met * self.heat_w[:, None, :], axis=2)
        matrix[:, :count, :count] = strength[:, :, None] * air.preheat_k_w
        for radiator, place in enumerate(self.place):
            branch = stations.place_branch[place]
            gradient = slope[:, radiator] * per_flow[:, branch]
            matrix[row, radiator, count + self.up[:, branch]] -= slope[:, radiator]
            matrix[:, radiator, :count] += gradient[:, None] * met[:, radiator, self.place]
            matrix[:, radiator, radiator] += 1.0
            right[:, radiator] = (
                strength[:, radiator] * (tangent.temp_k[:, radiator] - air.base_air_k[:, radiator])
                + gradient * given[:, radiator]
                - slope[:, radiator] * tangent.j_kg[:, radiator]
            )
        solved = solve_small(matrix, right[:, :, None])[:, :, 0]
        return solved[:, count:], solved[:, :count]

    def _mixing(self, matrix: Array, right: Array, room_j_kg: Array) -> None:
        """Every junction: what flows in carries out what it carries in, and the heat met on the way."""
        stations, radiators = self.stations, len(self.place)
        same = slice(0, 1) if len(self.passed) == 1 else slice(None)
        identity = np.eye(stations.junctions)
        into, out_of = identity[self.down[same]], identity[self.up[same]]  # (variants or 1, branches, junctions)
        carried = np.sum((into - out_of)[:, :, None, :] * (into * self.flow[:, :, None])[:, :, :, None], axis=1)
        matrix[:, radiators:, radiators:] = carried
        moves = (self.flow > 0.0)[:, stations.place_branch[self.place], None]
        matrix[:, radiators:, :radiators] = np.swapaxes(into[:, stations.place_branch[self.place]] * moves, 1, 2)
        throughput = np.sum(into * self.flow[:, :, None], axis=1)
        pin = np.where(throughput > 0.0, _PIN * throughput, 1.0)
        diagonal = np.einsum("vii->vi", matrix[:, radiators:, radiators:])
        diagonal += pin
        met = np.sum(into[:, stations.place_branch] * self.heat_w[:, :, None], axis=1)
        right[:, radiators:] = met + pin * room_j_kg[:, None]

    def _met(self) -> Array:
        """(variants or 1, radiators, places): 1 where the water meets the place before the radiator."""
        before, after = self.stations.before[self.place], self.stations.after[self.place]
        met: Array = np.minimum(self.passed[:, before], self.passed[:, after])
        return met

    def enthalpy(self, junction_j_kg: Array, out_w: Array, room_j_kg: Array) -> Array:
        """Enthalpy at every station."""
        stations = self.stations
        net = self.heat_w.copy()
        net[:, self.place] -= out_w  # a place holds one radiator
        taken = net @ self.passed[0].T if len(self.passed) == 1 else np.einsum("vsk,vk->vs", self.passed, net)
        per_flow = 1.0 / np.maximum(self.flow, LEAST_KG_S)
        up = np.take_along_axis(junction_j_kg, self.up, axis=1)[:, stations.stretch_branch]
        stretch = up + taken * per_flow[:, stations.stretch_branch]
        return np.concatenate([junction_j_kg, stretch, room_j_kg[:, None]], axis=1)
