"""
Tubes as other libraries compute them, so that a comparison can tell a solver from its friction.

Answers   what a straight tube takes by EPANET's and by pandapipes' formulas
Assumes   as `headrace.solve.laws`: elementwise, rising with the flow
Source    EPANET's manual, from memory; the text of pandapipes 0.16.0, read; each held against a run of its program
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log, pi

import numpy as np

from headrace.physics.friction import reynolds, velocity_m_s
from headrace.units import Array, Real

_AT_4000 = 5.74 / 4000.0**0.9


@dataclass(frozen=True)
class EpanetTube:
    """64 / Re below 2000, Dunlop's cubic up to 4000, Swamee-Jain above; no inlet loss."""

    length_m: Real
    bore_m: Real
    roughness_m: Real

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """Darcy-Weisbach."""
        re = reynolds(flow_m3_s, self.bore_m, density_kg_m3, viscosity_pa_s)
        speed = velocity_m_s(flow_m3_s, self.bore_m)
        laminar = 32.0 * viscosity_pa_s * self.length_m * speed / (self.bore_m * self.bore_m)
        factor = _turbulent(np.maximum(re, 2000.0), self.roughness_m / self.bore_m)
        other = factor * self.length_m / self.bore_m * 0.5 * density_kg_m3 * speed * np.abs(speed)
        return np.where(re < 2000.0, laminar, other)


def _turbulent(re: Real, rough_rel: Real) -> Array:
    rough = rough_rel / 3.7
    swamee_jain = (-2.0 / log(10.0) * np.log(rough + 5.74 / re**0.9)) ** -2.0
    end = rough + _AT_4000
    root = -2.0 / log(10.0) * np.log(end)
    fa = root**-2.0
    fb = fa * (2.0 - 3.6 / log(10.0) * _AT_4000 / (end * root))
    r = re / 2000.0
    cubic = (
        7.0 * fa
        - fb
        + r * (0.128 - 17.0 * fa + 2.5 * fb + r * (-0.128 + 13.0 * fa - 2.0 * fb + r * (0.032 - 3.0 * fa + 0.5 * fb)))
    )
    return np.where(re < 4000.0, cubic, swamee_jain)


@dataclass(frozen=True)
class RoughTube:
    """The fully rough factor by Nikuradse with 64 / Re added, which pandapipes takes when nothing else is asked for."""

    length_m: Real
    bore_m: Real
    roughness_m: Real

    def dp_pa(self, flow_m3_s: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
        """Darcy-Weisbach."""
        speed = velocity_m_s(flow_m3_s, self.bore_m)
        inertial = nikuradse(self.roughness_m / self.bore_m) * density_kg_m3 * np.abs(speed)
        viscous = 64.0 * viscosity_pa_s / self.bore_m
        return 0.5 * (inertial + viscous) * speed * self.length_m / self.bore_m


def nikuradse(rough_rel: Real) -> Real:
    """Darcy factor of a fully rough tube as pandapipes writes it for liquids."""
    factor: Real = (2.0 * np.log10(3.71 / rough_rel)) ** -2.0
    return factor


def like_tube(
    a_pa_s2_m6: float, b_pa_s_m3: float, bore_m: float, density: float, viscosity: float
) -> tuple[float, float]:
    """Length and loss coefficient of a tube whose 64 / Re friction and coefficient take a Q^2 + b Q together."""
    length = b_pa_s_m3 * pi * bore_m**4 / (128.0 * viscosity)
    return length, a_pa_s2_m6 * pi**2 * bore_m**4 / (8.0 * density)
