"""Flow-loss curves of parts: two coefficients from few measured points, and what is odd about the points.

Answers   what a part takes at any flow and with another coolant, from a handful of points
Assumes   loss = turbulent part with density + laminar part with viscosity, both never negative
Source    form after [forchheimer-1901], fit by [lawson-hanson-1974]
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from headrace.physics.nonnegative import fit_two_parts
from headrace.units import Array, Range, Real

VALID_EXPONENT = Range(1.0, 2.1)  # of the loss between neighbouring points; common practice, no source
_CONCAVE_FRAC = 0.02  # slack on dp/Q before points count as concave: reading error of a plot


@dataclass(frozen=True)
class LossFit:
    """dp = a Q|Q| + b Q, with how far the worst point lies off and what was assumed."""

    a_pa_s2_m6: float
    b_pa_s_m3: float
    worst_frac: float
    points: int
    notes: tuple[str, ...] = ()

    def dp_pa(self, flow_m3_s: Real, density_ratio: Real = 1.0, viscosity_ratio: Real = 1.0) -> Real:
        """Pressure loss at a flow; see `curve_dp_pa`."""
        return curve_dp_pa(flow_m3_s, self.a_pa_s2_m6, self.b_pa_s_m3, density_ratio, viscosity_ratio)


def curve_dp_pa(flow_m3_s: Real, a: Real, b: Real, density_ratio: Real = 1.0, viscosity_ratio: Real = 1.0) -> Real:
    """Pressure loss of a part by its two coefficients; has the sign of the flow.

    dp = a (rho/rho_ref) Q |Q| + b (mu/mu_ref) Q        after [forchheimer-1901]

    a in Pa s2/m6, b in Pa s/m3, both >= 0; the ratios are those of the coolant to the one of the measurement.
    Good to 5 % between the points, 20 % within a factor 2 beyond them.
    """
    return flow_m3_s * (a * density_ratio * np.abs(flow_m3_s) + b * viscosity_ratio)


def fit_loss(flow_m3_s: Sequence[float], dp_pa: Sequence[float]) -> LossFit:
    """The two coefficients closest to measured points, each point weighing the same in relative terms.

    minimise sum ((a Q^2 + b Q) / dp - 1)^2 with a, b >= 0        [lawson-hanson-1974]

    Points with flow and loss above zero count, others are left out and noted; none left gives a = b = 0.
    One point gives b = 0.
    """
    flow, loss, notes = _usable(flow_m3_s, dp_pa)
    if flow.size == 0:
        return LossFit(0.0, 0.0, 0.0, 0, (*notes, "no usable point: taken as no loss"))
    if flow.size == 1:
        a, b = float(loss[0] / flow[0] ** 2), 0.0
        notes.append("one point: taken as purely quadratic")
    else:
        a, b = _least_squares(flow, loss)
        notes += _shape_notes(flow, loss)
    worst = float(np.max(np.abs((a * flow**2 + b * flow) / loss - 1.0)))
    return LossFit(a, b, worst, int(flow.size), tuple(notes))


def _usable(flow_m3_s: Sequence[float], dp_pa: Sequence[float]) -> tuple[Array, Array, list[str]]:
    pairs = sorted((float(q), float(dp)) for q, dp in zip(flow_m3_s, dp_pa, strict=True))
    kept = [(q, dp) for q, dp in pairs if q > 0.0 and dp > 0.0]
    dropped = sum(1 for q, dp in pairs if (q, dp) not in kept and (q, dp) != (0.0, 0.0))
    notes = [f"{dropped} points with a flow or loss not above zero left out"] if dropped else []
    array = np.asarray(kept, dtype=np.float64).reshape(-1, 2)
    return array[:, 0], array[:, 1], notes


def _least_squares(flow: Array, loss: Array) -> tuple[float, float]:
    a, b, _ = fit_two_parts(flow**2 / loss, flow / loss)
    return a, b


def _shape_notes(flow: Array, loss: Array) -> list[str]:
    per_flow = loss / flow
    concave = bool(np.any(per_flow[1:] < per_flow[:-1] * (1.0 - _CONCAVE_FRAC)))
    return ["concave points: the loss rises more slowly than the flow"] if concave else []


def loss_faults(flow_m3_s: Sequence[float], dp_pa: Sequence[float]) -> tuple[str, ...]:
    """What is odd about measured points, one sentence each, points counted from 1 in rising flow; () is clean.

    n = ln(dp2/dp1) / ln(Q2/Q1) within 1..2.1        common practice, no source
    """
    pairs = sorted((float(q), float(dp)) for q, dp in zip(flow_m3_s, dp_pa, strict=True))
    pairs = [pair for pair in pairs if pair != (0.0, 0.0)]
    if not pairs:
        return ("no point besides zero",)
    faults = [f"point {i}: flow and loss must be above zero" for i, pair in enumerate(pairs, 1) if min(pair) <= 0.0]
    for i, (one, two) in enumerate(pairwise(pairs), 1):
        faults += _neighbour_faults(i, one, two)
    return tuple(faults)


def _neighbour_faults(i: int, one: tuple[float, float], two: tuple[float, float]) -> list[str]:
    if min(*one, *two) <= 0.0:
        return []
    if one[0] == two[0]:
        return [f"points {i} and {i + 1}: the same flow twice"]
    if two[1] <= one[1]:
        return [f"points {i} and {i + 1}: the loss does not rise with the flow"]
    exponent = float(np.log(two[1] / one[1]) / np.log(two[0] / one[0]))
    if VALID_EXPONENT.low - 1e-9 <= exponent <= VALID_EXPONENT.high:
        return []
    return [f"points {i} and {i + 1}: the loss rises as flow^{exponent:.2f}, expected 1 to 2.1"]
