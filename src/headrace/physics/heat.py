"""Heat carried by a stream.

Answers   how much a stream warms, and what streams that meet come to
Assumes   steady, no heat through the tube wall
Source    energy balance
"""

from __future__ import annotations

import numpy as np

from headrace.units import Array, Real

_LEAST_W_K = 1e-9  # a stream at rest; keeps a rise finite
_LEAST_WEIGHT = 1e-30


def capacity_w_k(flow_m3_s: Real, density_kg_m3: Real, heat_capacity_j_kg_k: Real) -> Real:
    """Heat a stream carries per kelvin, without sign.

    C = rho |Q| cp        energy balance
    """
    return density_kg_m3 * np.abs(flow_m3_s) * heat_capacity_j_kg_k


def rise_k(heat_w: Real, capacity_w_k: Real) -> Real:
    """Temperature rise of a stream that takes up heat.

    dT = P / C, C = rho Q cp        energy balance

    W and W/K; a stream at rest counts as 1e-9 W/K, so that the answer is absurd but finite.
    """
    rise: Real = heat_w / np.maximum(capacity_w_k, _LEAST_W_K)
    return rise


def mixed(weights: Array, values: Array) -> Real:
    """What streams that meet come to, along the first axis: temperatures by W/K, or enthalpies by kg/s.

    x = sum C x / sum C        energy balance

    Weights >= 0; where all are 0 the plain mean.
    """
    shares = np.asarray(weights) + _LEAST_WEIGHT
    value: Real = np.sum(shares * np.asarray(values), axis=0) / np.sum(shares, axis=0)
    return value
