"""
Balance the heat of a network whose flows are known: coolant at every station, heat of every radiator.

Answers   how warm the water is everywhere, and what each radiator gives to its air
Assumes   steady; tubes lose no heat; water mixes fully where branches meet; enthalpy and not temperature is carried,
          so the changing heat capacity of the coolant costs nothing in the balance
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from headrace.fluids.coolant import Coolant
from headrace.solve.small import solve_small
from headrace.solve.stations import Stations, directions
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

    @classmethod
    def join(cls, parts: Sequence[HeatBalance]) -> HeatBalance:
        """The variants of all parts, one after the other."""
        return cls(*(np.concatenate([getattr(part, f.name) for part in parts]) for f in fields(cls)))

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
    tangent = _Tangent(*(pick(values, inlet) for values in (station_k, enthalpy, capacity)))
    junction_j_kg, out_w = system.solve(strength, tangent, air, room_j_kg)
    reached = system.enthalpy(junction_j_kg, out_w, room_j_kg)
    station_k = station_k + (reached - enthalpy) / capacity
    air_in = air.base_air_k + np.einsum("vsk,vk->vs", air.preheat_k_w, out_w)
    passed = strength * (pick(station_k, inlet) - air_in)
    left = np.sum(heat_w, axis=1) - np.sum(passed, axis=1)
    return HeatBalance(station_k, passed, left)


def pick(values: Array, index: Indices) -> Array:
    """Columns of `values` by row; an index with one row holds for all."""
    return values[:, index[0]] if len(index) == 1 else np.take_along_axis(values, index, axis=1)


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
class _Ways:
    """
    Which way the water goes: what depends on the directions of the branches alone, with one row where all agree.

    `up` is the junction each branch comes from, `into` and `out_of` mark the junctions of each branch; `passed` marks
    the places met before a stretch, `met` those met before a radiator, `met_too` the radiators among them.
    """

    up: Indices
    into: Array  # (variants or 1, branches, junctions)
    exchange: Array  # (variants or 1, branches, junctions * junctions): what one kg/s of a branch does to the mixing
    passed: Array  # (variants or 1, stretches, places)
    met: Array  # (variants or 1, radiators, places)
    met_too: Array  # (variants or 1, radiators, radiators)
    from_up: Array  # (variants or 1, radiators, junctions)

    @classmethod
    def of(cls, stations: Stations, forward: NDArray[np.bool_], place: Indices) -> _Ways:
        start, end = stations.branches.start, stations.branches.end
        up, down = np.where(forward, start, end), np.where(forward, end, start)
        identity = np.eye(stations.junctions)
        into, out_of = identity[down], identity[up]
        exchange = into[:, :, :, None] * (into - out_of)[:, :, None, :]
        same = stations.stretch_branch[:, None] == stations.place_branch[None, :]
        along = forward[:, stations.stretch_branch][:, :, None]
        passed = np.where(along, stations.passed, same - stations.passed)
        met = np.minimum(passed[:, stations.before[place]], passed[:, stations.after[place]])
        shape = (len(forward), len(start), stations.junctions**2)
        return cls(
            up, into, exchange.reshape(shape), passed, met, met[:, :, place], out_of[:, stations.place_branch[place]]
        )


@lru_cache(maxsize=256)
def _usual_ways(stations: Stations, forward: bytes, place: bytes) -> _Ways:
    """The ways of variants that all agree, kept: a loop seldom turns round."""
    directions_ = np.frombuffer(forward, dtype=np.bool_)[None, :]
    return _Ways.of(stations, directions_, np.frombuffer(place, dtype=np.intp))


@dataclass(frozen=True)
class _System:
    """The linear relations of one pass. Unknown are the heat of each radiator, then the enthalpy of each junction."""

    stations: Stations
    ways: _Ways
    flow: Array  # (variants, branches), without sign
    heat_w: Array  # (variants, places)
    place: Indices  # of each radiator

    @classmethod
    def of(cls, stations: Stations, signed: Array, flow: Array, heat_w: Array, place: Indices) -> _System:
        forward = directions(signed)
        if len(forward) == 1:
            ways = _usual_ways(stations, forward.tobytes(), place.tobytes())
        else:
            ways = _Ways.of(stations, forward, place)
        return cls(stations, ways, flow, heat_w, place)

    def solve(self, strength: Array, tangent: _Tangent, air: AirSide, room_j_kg: Array) -> tuple[Array, Array]:
        """Enthalpy of every junction and heat of every radiator."""
        stations, ways, count = self.stations, self.ways, len(self.place)
        variants, size = len(self.flow), count + stations.junctions
        branch = stations.place_branch[self.place]
        matrix, right = np.empty((variants, size, size)), np.empty((variants, size))
        slope = strength / tangent.j_kg_k
        gradient = slope / np.maximum(self.flow[:, branch], LEAST_KG_S)
        matrix[:, :count, :count] = strength[:, :, None] * air.preheat_k_w + gradient[:, :, None] * ways.met_too
        matrix[:, range(count), range(count)] += 1.0
        matrix[:, :count, count:] = -slope[:, :, None] * ways.from_up
        given = np.sum(ways.met * self.heat_w[:, None, :], axis=2)
        right[:, :count] = strength * (tangent.temp_k - air.base_air_k) + gradient * given - slope * tangent.j_kg
        self._mixing(matrix, right, room_j_kg, branch)
        solved = solve_small(matrix, right[:, :, None])[:, :, 0]
        return solved[:, count:], solved[:, :count]

    def _mixing(self, matrix: Array, right: Array, room_j_kg: Array, branch: Indices) -> None:
        """Every junction: what flows in carries out what it carries in, and the heat met on the way."""
        stations, ways, count = self.stations, self.ways, len(self.place)
        carried = np.matmul(self.flow[:, None, :], ways.exchange)
        matrix[:, count:, count:] = carried.reshape(len(self.flow), stations.junctions, stations.junctions)
        moves = (self.flow[:, branch] > 0.0)[:, :, None]
        matrix[:, count:, :count] = np.swapaxes(ways.into[:, branch] * moves, 1, 2)
        through = np.matmul(self.flow[:, None, :], ways.into)[:, 0]
        pin = np.where(through > 0.0, _PIN * through, 1.0)
        junction = range(count, count + stations.junctions)
        matrix[:, junction, junction] += pin
        met = np.matmul(self.heat_w[:, None, :], ways.into[:, stations.place_branch])[:, 0]
        right[:, count:] = met + pin * room_j_kg[:, None]

    def enthalpy(self, junction_j_kg: Array, out_w: Array, room_j_kg: Array) -> Array:
        """Enthalpy at every station."""
        stations = self.stations
        net = self.heat_w.copy()
        net[:, self.place] -= out_w  # a place holds one radiator
        taken = np.matmul(self.ways.passed, net[:, :, None])[:, :, 0]
        flow = np.maximum(self.flow, LEAST_KG_S)[:, stations.stretch_branch]
        stretch = pick(junction_j_kg, self.ways.up)[:, stations.stretch_branch] + taken / flow
        return np.concatenate([junction_j_kg, stretch, room_j_kg[:, None]], axis=1)
