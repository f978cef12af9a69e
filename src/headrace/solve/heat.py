"""
Balance the heat of a network whose flows are known: coolant at every node, heat of every radiator.

Answers   how warm the water is everywhere, and what each radiator gives to its air
Assumes   steady; tubes lose no heat; water mixes fully where ways meet; enthalpy and not temperature is carried,
          so the changing heat capacity of the coolant costs nothing in the balance
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from headrace.fluids.coolant import Coolant
from headrace.units import Array, Indices

LEAST_KG_S = 1e-7  # 0.4 mL/h: less is water at rest
_PIN = 1e-13  # share of the flow that leaks heat to the room, so that a loop without heat has a temperature
LEAST_W = 1e-3  # a loop without heat closes to a share of this
_MOST_PASSES = 40
_CLOSE_K = 1e-10


@dataclass(frozen=True)
class AirSide:
    """
    The radiators, shape (variants, radiators): strength, air coming in before any other stack's exhaust is added.

    `preheat_k_w[v, s, k]` is the rise of the air into s for each watt that radiator k gives off.
    """

    link: Indices
    strength_w_k: Array
    base_air_k: Array
    preheat_k_w: Array


@dataclass(frozen=True)
class HeatBalance:
    """Coolant by node, heat and air by radiator, and heat left over against heat put in, shape (variants, ...)."""

    node_k: Array
    heat_w: Array
    air_in_k: Array
    left_w: Array


def solve_heat(
    ends: tuple[Indices, Indices],
    mass_flow_kg_s: Array,
    heat_w: Array,
    air: AirSide,
    coolant: Coolant,
    room_k: Array,
    node_k: Array,
) -> HeatBalance:
    """
    Balance all variants. `ends` are start and end node of each link; flows and heat are by link.

    `node_k` is a first guess, shape (variants, nodes). Iterates only over the curvature of enthalpy.
    """
    up, down = (np.where(mass_flow_kg_s >= 0, *pair) for pair in (ends, ends[::-1]))
    flow = np.where(np.abs(mass_flow_kg_s) > LEAST_KG_S, np.abs(mass_flow_kg_s), 0.0)
    fixed, known = _carried(up, down, flow, heat_w, air, np.asarray(coolant.enthalpy_j_kg(room_k)), node_k.shape[1])
    for _ in range(_MOST_PASSES):
        before = node_k
        node_k, heat_out = _solve_linear(fixed, known, up, flow, air, coolant, node_k)
        if np.max(np.abs(node_k - before), initial=0.0) < _CLOSE_K:
            break
    air_in = air.base_air_k + np.einsum("vsk,vk->vs", air.preheat_k_w, heat_out)
    passed = _strength(air, flow) * (_inlet(node_k, up, air) - air_in)
    left = np.sum(np.where(flow > 0, heat_w, 0.0), axis=1) - np.sum(passed, axis=1)
    return HeatBalance(node_k, passed, air_in, left)


def exchanged_w(heat_w: float, passed_w: Array) -> float:
    """The heat a balance is measured by: what is put in, or what radiators pass where that is more; never 0."""
    return max(heat_w, float(np.sum(np.abs(passed_w))), LEAST_W)


def _strength(air: AirSide, flow: Array) -> Array:
    return np.where(flow[:, air.link] > 0, air.strength_w_k, 0.0)


def _inlet(by_node: Array, up: Indices, air: AirSide) -> Array:
    return np.take_along_axis(by_node, up[:, air.link], axis=1)


def _carried(
    up: Indices, down: Indices, flow: Array, heat_w: Array, air: AirSide, room_j_kg: Array, nodes: int
) -> tuple[Array, Array]:
    """The part of the linear system that does not change: water carrying heat between nodes."""
    variants, links = flow.shape
    radiators = len(air.link)
    matrix = np.zeros((variants, nodes + radiators, nodes + radiators))
    known = np.zeros((variants, nodes + radiators))
    row = np.arange(variants)[:, None] * np.ones(links, int)
    np.add.at(matrix, (row, down, down), flow)
    np.add.at(matrix, (row, down, up), -flow)
    np.add.at(known, (row, down), np.where(flow > 0, heat_w, 0.0))
    rad_row = np.arange(variants)[:, None] * np.ones(radiators, int)
    column = nodes + np.arange(radiators)[None, :] * np.ones((variants, 1), int)
    np.add.at(matrix, (rad_row, down[:, air.link], column), np.where(flow[:, air.link] > 0, 1.0, 0.0))
    diagonal = np.einsum("vii->vi", matrix)
    pin = np.where(diagonal[:, :nodes] > 0, _PIN * diagonal[:, :nodes], 1.0)
    diagonal[:, :nodes] += pin
    known[:, :nodes] += pin * room_j_kg[:, None]
    return matrix, known


def _solve_linear(
    fixed: Array, known: Array, up: Indices, flow: Array, air: AirSide, coolant: Coolant, node_k: Array
) -> tuple[Array, Array]:
    """One pass: radiators see temperature, which is enthalpy over heat capacity around the last guess."""
    nodes = node_k.shape[1]
    matrix, right = fixed.copy(), known.copy()
    strength, inlet_k = _strength(air, flow), _inlet(node_k, up, air)
    capacity = np.asarray(coolant.heat_capacity_j_kg_k(inlet_k))
    rows = nodes + np.arange(len(air.link))
    variant = np.arange(len(flow))[:, None]
    matrix[variant, rows, rows] += 1.0
    matrix[variant, rows, up[:, air.link]] -= strength / capacity
    matrix[:, nodes:, nodes:] += strength[:, :, None] * air.preheat_k_w
    right[:, nodes:] = strength * (inlet_k - np.asarray(coolant.enthalpy_j_kg(inlet_k)) / capacity - air.base_air_k)
    solved = np.asarray(np.linalg.solve(matrix, right[..., None])[..., 0], dtype=np.float64)
    return np.asarray(coolant.temp_k(solved[:, :nodes])), solved[:, nodes:]
