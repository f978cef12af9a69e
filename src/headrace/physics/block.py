"""Blocks: thermal resistance against flow, and the temperature of the part under the block.

Answers   how hot a chip runs over its coolant at one flow and heat
Assumes   resistance = a constant part (chip, paste, base) + a part that falls as a power of the flow
Source    form and default exponent are common practice, no source; fit by [lawson-hanson-1974]
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from headrace.physics.nonnegative import fit_two_parts
from headrace.units import Array, Range, Real

VALID_EXPONENT = Range(0.2, 0.8)
VALID_FLOW_M3_S = Range(0.25 / 60000.0, 15.0 / 60000.0)
REFERENCE_FLOW_M3_S = 1.0 / 60000.0  # 1 L/min: c is the falling part at this flow, so that c is plain K/W
SMALL_FLOW_M3_S = 0.05 / 60000.0  # 0.05 L/min: below it the law goes on along its tangent
DEFAULT_EXPONENT = 0.5
_GRID = np.linspace(VALID_EXPONENT.low, VALID_EXPONENT.high, 61)
_FREE_POINTS, _FREE_SPAN = 4, 4.0


@dataclass(frozen=True)
class BlockFit:
    """R = R0 + c (Q / 1 L/min)^-n, how far the worst point lies off and what was assumed."""

    base_k_w: float
    falling_k_w: float
    exponent: float
    worst_frac: float
    points: int
    notes: tuple[str, ...] = ()

    def resistance_k_w(self, flow_m3_s: Real) -> Real:
        """Resistance at a flow; see `block_resistance_k_w`."""
        return block_resistance_k_w(flow_m3_s, self.base_k_w, self.falling_k_w, self.exponent)


def block_resistance_k_w(flow_m3_s: Real, base_k_w: Real, falling_k_w: Real, exponent: Real) -> Real:
    """Thermal resistance from the part under a block to its coolant.

    R = R0 + c (Q / Q1)^-n, Q1 = 1 L/min        common practice, no source

    K/W; Q in m3/s of either sign, within VALID_FLOW_M3_S; n within VALID_EXPONENT. Below 0.05 L/min the law
    goes on along its tangent, so that a stopped block is finite. Error 15 to 25 %, mostly the mounting.
    """
    flow = np.abs(flow_m3_s)
    held = np.maximum(flow, SMALL_FLOW_M3_S)
    falling = falling_k_w * (held / REFERENCE_FLOW_M3_S) ** (-exponent)
    resistance: Real = base_k_w + falling * (1.0 + exponent * (held - flow) / held)
    return resistance


def fit_block(flow_m3_s: Sequence[float], resistance_k_w: Sequence[float]) -> BlockFit:
    """The resistance law closest to points, each weighing the same in relative terms.

    minimise sum ((R0 + c Q^-n) / R - 1)^2 with R0, c >= 0        [lawson-hanson-1974], n by search

    n is free with four flows or more that span a factor 4, else 0.5. One point gives a constant.
    """
    pairs = [(float(q), float(r)) for q, r in zip(flow_m3_s, resistance_k_w, strict=True) if q > 0.0 and r > 0.0]
    if not pairs:
        return BlockFit(0.0, 0.0, DEFAULT_EXPONENT, 0.0, 0, ("no usable point: taken as no resistance",))
    flow, resistance = np.asarray(sorted(pairs)).T
    if len(set(flow)) == 1:
        mean = float(np.mean(resistance))
        worst = float(np.max(np.abs(mean / resistance - 1.0)))
        return BlockFit(mean, 0.0, DEFAULT_EXPONENT, worst, len(pairs), ("one flow: taken as constant",))
    notes = []
    exponent = DEFAULT_EXPONENT
    if len(set(flow)) >= _FREE_POINTS and flow[-1] >= _FREE_SPAN * flow[0] * (1.0 - 1e-9):
        exponent = _best_exponent(flow, resistance)
    else:
        notes.append("too few flows for an exponent: taken as 0.5")
    base, falling, _ = _fit_at(exponent, flow, resistance)
    if falling == 0.0:
        notes.append("the resistance does not fall with flow: taken as constant")
    worst = float(np.max(np.abs(block_resistance_k_w(flow, base, falling, exponent) / resistance - 1.0)))
    return BlockFit(base, falling, exponent, worst, len(pairs), tuple(notes))


def _fit_at(exponent: float, flow: Array, resistance: Array) -> tuple[float, float, float]:
    falling = (flow / REFERENCE_FLOW_M3_S) ** (-exponent)
    return fit_two_parts(1.0 / resistance, falling / resistance)


def _best_exponent(flow: Array, resistance: Array) -> float:
    from scipy.optimize import minimize_scalar

    def misfit(exponent: float) -> float:
        return _fit_at(exponent, flow, resistance)[2]

    start = min(_GRID, key=misfit)
    low, high = max(start - 0.01, VALID_EXPONENT.low), min(start + 0.01, VALID_EXPONENT.high)
    found = float(minimize_scalar(misfit, bounds=(low, high), method="bounded", options={"xatol": 1e-7}).x)
    return found if misfit(found) < misfit(float(start)) else float(start)


NODES: dict[str, Callable[[Real, Real], Real]] = {
    "inlet": lambda inlet_k, outlet_k: inlet_k + 0.0 * outlet_k,
    "mean": lambda inlet_k, outlet_k: 0.5 * (inlet_k + outlet_k),
    "outlet": lambda inlet_k, outlet_k: outlet_k + 0.0 * inlet_k,
}


def block_temp_k(inlet_temp_k: Real, outlet_temp_k: Real, heat_w: Real, resistance_k_w: Real, node: str) -> Real:
    """Temperature of the part under a block.

    T = T_node + P R, T_node the coolant at the inlet, the mean or the outlet        by definition of R

    K, W, K/W; `node` is a name of NODES and must be the one the resistance was stated for.
    """
    return NODES[node](inlet_temp_k, outlet_temp_k) + heat_w * resistance_k_w
