"""Losses and pump heads once more, in plain scalars, for the independent check of the flow solver.

Answers   what one element takes at one flow; nothing in here comes from headrace
Assumes   SI; a positive number is taken from the water, a pump's is negative; the sign follows the flow

Written from the formulas as docs/sources.md names them: Churchill 1977 with the factor itself (not f Re), the Hagenbach
inlet, Rennels' bend and contraction, Hooper's laminar step, Kv by its definition, pump points through scipy's PCHIP.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf, log, pi, sin, sqrt
from typing import Any

import numpy as np
from scipy.interpolate import PchipInterpolator

Loss = Callable[[float], float]
AT_REST_RE = 1e-100  # less is rest: 1 / Re must stay finite


@dataclass(frozen=True)
class Element:
    """What a branch is made of: a kind of LOSSES and its numbers by name."""

    kind: str
    numbers: dict[str, Any]


def churchill(re, rough_rel):
    """Darcy factor; the power of 16 is taken of logarithms so that a slow flow does not overflow."""
    if re < 1.0:
        return 64.0 / re
    a = (2.457 * log(1.0 / ((7.0 / re) ** 0.9 + 0.27 * rough_rel))) ** 16
    b = (37530.0 / re) ** 16
    return 8.0 * ((8.0 / re) ** 12 + (a + b) ** -1.5) ** (1.0 / 12.0)


def fading(ratio):
    """Share of a laminar coefficient left at Re / Re_end: 1 below, the inverse square above."""
    return ratio**-2 if ratio > 1e3 else (1.0 + ratio**16) ** -0.125


def moving(bore_m, density, viscosity):
    """Function from flow to (velocity, Reynolds number, rho v^2 / 2 with the flow's sign)."""
    area = 0.25 * pi * bore_m * bore_m

    def state(flow):
        v = flow / area
        return v, density * abs(v) * bore_m / viscosity, 0.5 * density * v * abs(v)

    return state


def tube(density, viscosity, *, length_m, bore_m, roughness_m, inlet=True):
    state = moving(bore_m, density, viscosity)

    def loss(flow):
        _, re, head = state(flow)
        if re < AT_REST_RE:
            return 0.0
        k = 1.25 * fading(re / 2300.0) if inlet else 0.0
        return (churchill(re, roughness_m / bore_m) * length_m / bore_m + k) * head

    return loss


def bend(density, viscosity, *, bore_m, bend_rad, radius_m, roughness_m):
    state = moving(bore_m, density, viscosity)
    s = sin(0.5 * bend_rad)
    tightness = (radius_m / bore_m) ** (4.0 * bend_rad / pi)

    def loss(flow):
        _, re, head = state(flow)
        if re < AT_REST_RE:
            return 0.0
        f = churchill(re, roughness_m / bore_m)
        return ((0.1 + 2.4 * f) * s + 6.6 * f * (sqrt(s) + s) / tightness) * head

    return loss


def fitting(density, viscosity, *, bore_m, k_laminar, k_turbulent):
    state = moving(bore_m, density, viscosity)

    def loss(flow):
        _, re, head = state(flow)
        return (k_laminar / re + k_turbulent) * head if re >= AT_REST_RE else 0.0

    return loss


def step(density, viscosity, *, bore_from_m, bore_to_m):
    small, large = sorted((bore_from_m, bore_to_m))
    beta = small / large
    state = moving(small, density, viscosity)
    vena = 1.0 + 0.622 * (1.0 - 0.215 * beta**2 - 0.785 * beta**5)
    contraction = 0.0696 * (1.0 - beta**5) * vena**2 + (vena - 1.0) ** 2
    expansion = (1.0 - beta**2) ** 2
    rest = 1.0 - beta**4

    def either(laminar, re, turbulent):  # the larger of both, rounded with the power 16 that headrace chose
        return ((laminar * fading(re / 2000.0)) ** 16 + turbulent**16) ** 0.0625

    def loss(flow):
        _, re, head = state(flow)
        if re < AT_REST_RE or rest == 0.0:
            return 0.0
        if (flow > 0.0) == (bore_from_m > bore_to_m):
            return (160.0 * rest / (beta * re) + either(1.2 * rest, beta * re, contraction)) * head
        return either(2.0 * rest, re, expansion) * head

    return loss


def curve(density, viscosity, *, a, b, test_density, test_viscosity):
    square, line = a * density / test_density, b * viscosity / test_viscosity
    return lambda flow: square * flow * abs(flow) + line * flow


def valve(density, _viscosity, *, kv):
    scale = 1e5 * density / 1000.0 * (3600.0 / kv) ** 2
    return lambda flow: scale * flow * abs(flow)


def pump_law(density, _viscosity, *, shutoff_pa, fall, speed, test_density):
    ratio = density / test_density
    return lambda flow: -ratio * (shutoff_pa * speed * speed - fall * flow * abs(flow))


def pump_points(density, _viscosity, *, flows, heads, speed, test_density):
    """A pump from strictly rising flows (the first is 0) and never rising heads, at a share of its full speed.

    PCHIP, tilted by a millionth of the shut-off head so that level stretches fall; on with the end slope and
    r (Q - Q_end)^2 beyond, with the first slope and r Q^2 backward, r = H0 / Q_free^2, Q_free at most twice Q_end.
    """
    flows, heads = np.asarray(flows, float), np.asarray(heads, float)
    heads = heads - 1e-6 * heads[0] * flows / flows[-1]
    cubic = PchipInterpolator(flows, heads)
    slope = cubic.derivative()
    first, last, end = float(slope(0.0)), float(slope(flows[-1])), float(flows[-1])
    beyond = max(float(heads[-1]), 0.0) / -last if last < 0.0 else inf
    free = end + min(beyond, end) if heads[-1] > 0.0 else end
    r = float(heads[0]) / free**2
    ratio = density / test_density
    pieces, knots = cubic.c.T.tolist(), flows.tolist()

    def head(flow):
        if flow < 0.0:
            return speed * speed * float(heads[0]) + speed * first * flow + r * flow * flow
        over = flow - speed * end
        if over >= 0.0:
            return speed * speed * float(heads[-1]) + speed * last * over - r * over * over
        at = flow / speed
        i = max(k for k in range(len(pieces)) if knots[k] <= at)
        c3, c2, c1, c0 = pieces[i]
        d = at - knots[i]
        return speed * speed * (((c3 * d + c2) * d + c1) * d + c0)

    return lambda flow: -ratio * head(flow)


LOSSES = {
    "tube": tube,
    "bend": bend,
    "fitting": fitting,
    "step": step,
    "curve": curve,
    "valve": valve,
    "pump_law": pump_law,
    "pump_points": pump_points,
}
