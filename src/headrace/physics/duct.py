"""Rectangular ducts and flat tubes: heat transfer and friction, laminar to turbulent.

Answers   what a flat tube of a radiator or the channel between two fins passes on and takes in pressure
Assumes   walls of one temperature, hydraulic diameter 4 A / P, a profile that is formed at the inlet
Source    [shah-london-1978] laminar, [gnielinski-1976] turbulent, [churchill-1977] turbulent friction
"""

from __future__ import annotations

import numpy as np

from headrace.physics.friction import friction_factor
from headrace.units import Range, Real

VALID_ASPECT = Range(0.0, 1.0)  # short side over long side
VALID_RE = Range(0.0, 5.0e6)
VALID_PRANDTL = Range(0.5, 2000.0)
TRANSITION_RE = Range(2300.0, 4000.0)  # uncertain by 30 % in here

_LEAST_RE = 1e-12  # f itself has no finite value at rest
_LEVEQUE_CUBED = 1.849**3
_ROUGH_REL = 1e-3  # drawn brass, 2 to 3 um over a hydraulic diameter of 2 to 3 mm; 1 % of f at Re 4000
_JOIN = 16.0  # sharpness of the join of laminar and turbulent friction


def nusselt_one_temperature(aspect: Real) -> Real:
    """Nusselt number far down a laminar rectangular duct whose walls have one temperature.

    Nu_T = 7.541 (1 - 2.610 a + 4.970 a^2 - 5.119 a^3 + 2.702 a^4 - 0.548 a^5)        [shah-london-1978]

    a = short side / long side within VALID_ASPECT, on the hydraulic diameter. Error of the fit 0.1 %.
    """
    a = aspect
    return 7.541 * (1.0 + a * (-2.610 + a * (4.970 + a * (-5.119 + a * (2.702 - a * 0.548)))))


def nusselt_even_heat(aspect: Real) -> Real:
    """Nusselt number far down a laminar rectangular duct heated evenly along its length.

    Nu_H1 = 8.235 (1 - 2.0421 a + 3.0853 a^2 - 2.4765 a^3 + 1.0578 a^4 - 0.1861 a^5)        [shah-london-1978]

    a = short side / long side within VALID_ASPECT, on the hydraulic diameter. Error of the fit 0.1 %.
    """
    a = aspect
    return 8.235 * (1.0 + a * (-2.0421 + a * (3.0853 + a * (-2.4765 + a * (1.0578 - a * 0.1861)))))


def fanning_re(aspect: Real) -> Real:
    """Product of Fanning's friction factor and the Reynolds number in a laminar rectangular duct.

    f Re = 24 (1 - 1.3553 a + 1.9467 a^2 - 1.7012 a^3 + 0.9564 a^4 - 0.2537 a^5)        [shah-london-1978]

    a = short side / long side within VALID_ASPECT; Darcy's factor is four times Fanning's. Error of the fit 0.1 %.
    """
    a = aspect
    return 24.0 * (1.0 + a * (-1.3553 + a * (1.9467 + a * (-1.7012 + a * (0.9564 - a * 0.2537)))))


def entry_k(aspect: Real) -> Real:
    """Extra loss coefficient of a laminar profile that forms behind the inlet of a rectangular duct (Hagenbach).

    K = 0.6839 + 1.4943 a + 1.0010 a^2 - 3.1610 a^3 + 1.5380 a^4        own fit to the integral in [shah-london-1978]

    a = short side / long side within VALID_ASPECT. Error 0.3 % of the integral; a duct shorter than 0.05 Re D
    takes less than this.
    """
    a = aspect
    return 0.6839 + a * (1.4943 + a * (1.0010 + a * (-3.1610 + a * 1.5380)))


def entry_nusselt(developed: Real, graetz: Real) -> Real:
    """Mean Nusselt number of a laminar duct with the warming-up behind its inlet.

    Nu = (Nu_far^3 + (1.849 Gz^(1/3))^3)^(1/3), Gz = Re Pr D / L        ends of [shah-london-1978], joined by cubes

    Nu_far is the value far down the duct, Gz >= 0. Within 6 % between parallel plates. Finite at rest.
    """
    value: Real = np.cbrt(developed * developed * developed + _LEVEQUE_CUBED * graetz)
    return value


def gnielinski(re: Real, prandtl: Real) -> Real:
    """Nusselt number of turbulent flow in a smooth duct.

    Nu = (f/8) (Re - 1000) Pr / (1 + 12.7 (f/8)^0.5 (Pr^(2/3) - 1)), f = (0.79 ln Re - 1.64)^-2        [gnielinski-1976]

    Re 3000..5e6, Pr within VALID_PRANDTL. Error 10 %, more below Re 4000.
    """
    eighth = 0.125 / (0.79 * np.log(np.maximum(re, 100.0)) - 1.64) ** 2
    rise = 1.0 + 12.7 * np.sqrt(eighth) * (np.cbrt(prandtl) ** 2 - 1.0)
    value: Real = eighth * (re - 1000.0) * prandtl / rise
    return value


def flat_tube_nusselt(re: Real, prandtl: Real, aspect: Real, length_ratio: Real) -> Real:
    """Mean Nusselt number of a flat tube, laminar to turbulent.

    below Re 2300 laminar with its inlet [shah-london-1978], above 4000 [gnielinski-1976], a straight blend between

    Re >= 0, Pr within VALID_PRANDTL, length_ratio = L / D. Strictly rising with Re: where a short tube's laminar
    inlet outdoes turbulence it goes on. Error 10 %, in the transition 30 %.
    """
    far = nusselt_one_temperature(aspect)
    above = np.maximum(re, TRANSITION_RE.high)
    laminar = entry_nusselt(far, re * prandtl / length_ratio)
    turbulent = np.maximum(gnielinski(above, prandtl), entry_nusselt(far, above * prandtl / length_ratio))
    span = TRANSITION_RE.high - TRANSITION_RE.low
    share = np.minimum(np.maximum(re - TRANSITION_RE.low, 0.0) / span, 1.0)
    value: Real = (1.0 - share) * laminar + share * turbulent
    return value


def flat_tube_friction_re(re: Real, aspect: Real) -> Real:
    """Product of Darcy's friction factor and the Reynolds number in a flat tube, finite at rest.

    f = (f1^16 + f2^16)^(1/16), f1 = 4 (f Re) / Re [shah-london-1978], f2 = f at Re >= 4000 [churchill-1977]

    The larger of the two with a round corner: laminar until about Re 2100, then level until 4000. Re >= 0,
    aspect within VALID_ASPECT. Times Re it rises strictly. Error 10 %, in the transition 30 %.
    """
    laminar = 4.0 * fanning_re(aspect)
    turbulent = friction_factor(np.maximum(re, TRANSITION_RE.high), _ROUGH_REL) * re
    most = np.maximum(laminar, turbulent)
    value: Real = most * (1.0 + (np.minimum(laminar, turbulent) / most) ** _JOIN) ** (1.0 / _JOIN)
    return value


def flat_tube_friction_factor(re: Real, aspect: Real) -> Real:
    """Darcy's friction factor of a flat tube, laminar to turbulent.

    f as in `flat_tube_friction_re`        [shah-london-1978] [churchill-1977]

    Re > 0, aspect within VALID_ASPECT. Error 10 %, in the transition 30 %.
    """
    value: Real = flat_tube_friction_re(re, aspect) / np.maximum(re, _LEAST_RE)
    return value
