"""
The heat of a loop against time, linear around the temperatures it has: rates of every cell, from cells, chips and air.

Answers   how fast each link's water and metal and each chip warm, at the flows and airs of the moment
Assumes   each link is one well mixed volume; the water carries enthalpy and mixes fully where links meet; no heat
          passes through tube walls or along water at rest; air, case and fans follow at once
Source    [incropera-2007] lumped capacitance; cells in series ours
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from headrace.physics.block import block_temp_k
from headrace.solve.heat import LEAST_KG_S, AirSide
from headrace.solve.masses import Masses
from headrace.solve.prepared import Prepared
from headrace.units import Array, Indices

_LEAST_K_W = 1e-6  # a block without resistance would make chip and water one mass
_INLET_SHARE = {"inlet": 1.0, "mean": 0.5, "outlet": 0.0}
_MOST_STEPS = 20
_CLOSE_K = 1e-11


@dataclass(frozen=True)
class Moment:
    """What holds over one step: mass flow by link, volume flow through every chip's block, the radiators' air."""

    mass_flow_kg_s: Array
    chip_flow_m3_s: Array
    air: AirSide

    def heat_w(self, inlet_k: Array, links: Indices, moving: NDArray[np.bool_]) -> Array:
        """Heat given off by every radiator; `links` are theirs, `inlet_k` the water coming into every link."""
        return np.asarray(self.response_w_k(moving[links]) @ (inlet_k[links] - self.air.base_air_k[0]))

    def response_w_k(self, moving: NDArray[np.bool_]) -> Array:
        """Heat of every radiator for each kelvin of water coming into each: q = S (T_in - base - preheat q), solved."""
        strength = np.where(moving, self.air.strength_w_k[0], 0.0)
        matrix = np.eye(len(strength)) + strength[:, None] * self.air.preheat_k_w[0]
        return np.asarray(np.linalg.solve(matrix, np.diag(strength)))


@dataclass(frozen=True)
class Rates:
    """
    C dx/dt = conductance x + power + room r, x the changes of links, then chips, r that of the room, since it was made.

    The heat all radiators give off is given x + given_w + given_room r.
    """

    capacity_j_k: Array
    conductance_w_k: Array
    power_w: Array
    room_w_k: Array
    given_w_k: Array
    given_w: float
    given_room_w_k: float
    moving: NDArray[np.bool_]  # by link
    weights: Array  # (nodes, links): share of each link in the water that comes into a node


@dataclass(frozen=True)
class Cells:
    """A loop in one state as cells."""

    prepared: Prepared
    masses: Masses

    @cached_property
    def _ends(self) -> tuple[Indices, Indices]:
        return self.prepared.link_ends

    @cached_property
    def heat_w(self) -> Array:
        """Heat put straight into the water of each link; that of a chip goes through the chip."""
        heat = np.array([passage.heat_w for passage in self.prepared.assembly.passages])
        heat[[chip.link for chip in self.masses.chips]] = 0.0
        return heat

    def radiators(self, moment: Moment) -> Indices:
        """Link of every radiator that has water."""
        links: Indices = self.prepared.stations.places[moment.air.place]
        return links

    @cached_property
    def wet(self) -> NDArray[np.bool_]:
        """The links whose water counts: those it can pass, and those that heat goes into; all when there are none."""
        passages, network = self.prepared.assembly.passages, self.prepared.assembly.network
        wet = np.array([passage.heat_w > 0.0 for passage in passages])
        wet[np.setdiff1d(np.arange(len(passages)), network.dead_links())] = True
        return wet if np.any(wet) else ~wet

    @cached_property
    def _beside(self) -> NDArray[np.bool_]:
        """(nodes, links): whether a link ends in a node."""
        nodes = np.arange(self.prepared.assembly.network.nodes)[:, None]
        start, end = self._ends
        beside: NDArray[np.bool_] = (nodes == start) | (nodes == end)
        return beside

    def nodes_k(self, link_k: Array, weights: Array) -> Array:
        """Coolant at every node, by rows of links: mixed from what flows in; at rest the warmest water beside it."""
        fed = weights.sum(axis=1) > 0.0
        warmest = np.max(np.where(self._beside, link_k[:, None, :], -np.inf), axis=2)
        mixed: Array = np.where(fed, link_k @ weights.T, warmest)
        return mixed

    def warmed(self, temp_k: Array, change_k: Array) -> Array:
        """
        Temperatures of the links once each took the heat that would warm it by `change_k` at constant capacity.

        `change_k` may have rows. Water and metal hold u = m h(T) + C T; Newton on it keeps the heat to rounding.
        """
        coolant, masses = self.prepared.coolant, self.masses
        enthalpy, capacity = (np.asarray(x) for x in coolant.enthalpy_and_capacity(temp_k))
        goal = masses.water_kg * enthalpy + masses.metal_j_k * temp_k
        goal = goal + (masses.water_kg * capacity + masses.metal_j_k) * change_k
        found = temp_k + change_k
        for _ in range(_MOST_STEPS):
            enthalpy, capacity = (np.asarray(x) for x in coolant.enthalpy_and_capacity(found))
            held = masses.water_kg * enthalpy + masses.metal_j_k * found
            step = (goal - held) / (masses.water_kg * capacity + masses.metal_j_k)
            found = found + step
            if np.max(np.abs(step), initial=0.0) < _CLOSE_K * np.max(np.abs(found), initial=1.0):
                break
        return np.asarray(found)

    def mixing(self, mass_flow_kg_s: Array) -> tuple[Array, NDArray[np.bool_], Indices]:
        """(weights of the links at every node, which links move, the node each link draws from)."""
        flow = np.abs(mass_flow_kg_s)
        start, end = self._ends
        forward = mass_flow_kg_s >= 0.0
        up, down = np.where(forward, start, end), np.where(forward, end, start)
        moving = flow > LEAST_KG_S
        weights = np.zeros((self.prepared.assembly.network.nodes, len(flow)))
        weights[down[moving], np.flatnonzero(moving)] = flow[moving]
        total = weights.sum(axis=1)
        fed = total > 0.0
        weights[fed] /= total[fed, None]
        return weights, moving & fed[up], up

    def chips_k(self, temp_k: Array, moment: Moment) -> Array:
        """Temperatures the chips settle at over water of these temperatures."""
        weights, moving, up = self.mixing(moment.mass_flow_kg_s)
        inlet_k = np.where(moving, weights[up] @ temp_k, temp_k)
        found = []
        for chip, flow in zip(self.masses.chips, moment.chip_flow_m3_s, strict=True):
            resistance = max(float(chip.law.resistance_k_w(float(flow))), _LEAST_K_W)
            ends = float(inlet_k[chip.link]), float(temp_k[chip.link])
            found.append(float(block_temp_k(*ends, chip.heat_w, resistance, chip.node)))
        return np.array(found)

    def rates(self, temp_k: Array, chip_k: Array, moment: Moment) -> Rates:
        """The rates at these temperatures."""
        links, size = len(temp_k), len(temp_k) + len(chip_k)
        enthalpy, capacity = (np.asarray(x) for x in self.prepared.coolant.enthalpy_and_capacity(temp_k))
        weights, moving, up = self.mixing(moment.mass_flow_kg_s)
        feed = np.where(moving[:, None], weights[up], 0.0)
        flow = np.where(moving, np.abs(moment.mass_flow_kg_s), 0.0)
        node_j_kg = feed @ enthalpy
        matrix, power = np.zeros((size, size)), np.zeros(size)
        matrix[:links, :links] = flow[:, None] * (feed - np.eye(links)) * capacity
        power[:links] = flow * (node_j_kg - enthalpy) + self.heat_w
        inlet_k = np.where(moving, np.asarray(self.prepared.coolant.temp_k(node_j_kg)), temp_k)
        inlet_cp = np.asarray(self.prepared.coolant.heat_capacity_j_kg_k(inlet_k))
        inlet = np.where(moving[:, None], feed * capacity / inlet_cp[:, None], np.eye(links))
        work = _Work(matrix, power, np.zeros(size), inlet_k, inlet, moving)
        given = work.cool(self.radiators(moment), moment)
        work.warm(self.masses, temp_k, chip_k, moment.chip_flow_m3_s)
        held = np.concatenate([self.masses.water_kg * capacity + self.masses.metal_j_k, self.masses.chip_j_k])
        return Rates(held, matrix, power, work.room, *given, moving, weights)


@dataclass(frozen=True)
class _Work:
    """Rates under way. `inlet_k + inlet x` is the water that comes into each link."""

    matrix: Array
    power: Array
    room: Array
    inlet_k: Array
    inlet: Array
    moving: NDArray[np.bool_]

    def cool(self, links: Indices, moment: Moment) -> tuple[Array, float, float]:
        """Put in the radiators in `links`; what all of them give off together as the terms of `Rates`."""
        response = moment.response_w_k(self.moving[links])
        row = response @ self.inlet[links]
        constant = response @ (self.inlet_k[links] - moment.air.base_air_k[0])
        warmer = -response.sum(axis=1)  # all air coming in is as much warmer as the room
        self.matrix[links, : row.shape[1]] -= row
        self.power[links] -= constant
        self.room[links] -= warmer
        given = np.zeros(len(self.power))
        given[: row.shape[1]] = row.sum(axis=0)
        return given, float(constant.sum()), float(warmer.sum())

    def warm(self, masses: Masses, temp_k: Array, chip_k: Array, flow_m3_s: Array) -> None:
        """Put in the chips: each passes (T_chip - T_node) / R to the water of its block."""
        links = len(temp_k)
        for index, chip in enumerate(masses.chips):
            row, link = links + index, chip.link
            share = _INLET_SHARE[chip.node] if self.moving[link] else 0.0
            node = share * self.inlet[link]
            node[link] += 1.0 - share
            node_k = share * self.inlet_k[link] + (1.0 - share) * temp_k[link]
            passed = 1.0 / max(float(chip.law.resistance_k_w(float(flow_m3_s[index]))), _LEAST_K_W)
            for target, sign in ((row, -1.0), (link, 1.0)):
                self.matrix[target, row] += sign * passed
                self.matrix[target, :links] -= sign * passed * node
                self.power[target] += sign * passed * (chip_k[index] - node_k)
            self.power[row] += chip.heat_w
