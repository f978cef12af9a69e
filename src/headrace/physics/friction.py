"""Friction in a round tube: straight, just behind its inlet, and in a bend.

Answers   how much pressure a length of tube, its laminar inlet and its sweeps take at one flow
Assumes   full, round, steady; factors are Darcy's (four times Fanning's)
Source    [churchill-1977] straight tube, [shah-london-1978] inlet, [srinivasan-1968] [schmidt-1967] curved tube,
          [rennels-2012] bends
"""

from __future__ import annotations

from math import pi

import numpy as np

from headrace.units import Range, Real

VALID_RE = Range(0.0, 1.0e8)
VALID_ROUGH_REL = Range(0.0, 0.05)
VALID_RADIUS_RATIO = Range(1.0, 20.0)  # bend radius over bore
VALID_CURVE_RATIO = Range(3.0, 150.0)  # coil radius over bore, of the critical Reynolds numbers
TRANSITION_RE = Range(2000.0, 4000.0)  # uncertain by 30 % in here

_LEAST_RE = 1e-12  # f itself has no finite value at rest
_PURELY_LAMINAR_RE = 1.0  # below this Churchill's turbulent terms are under 1e-100 of 64 / Re
_INLET_RE = 2300.0
_INLET_K = 1.25


def velocity_m_s(flow_m3_s: Real, bore_m: Real) -> Real:
    """Mean velocity in a round bore.

    v = 4 Q / (pi D^2)        mass balance
    """
    return 4.0 * flow_m3_s / (pi * bore_m * bore_m)


def reynolds(flow_m3_s: Real, bore_m: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
    """Reynolds number, without sign.

    Re = 4 rho |Q| / (pi D mu)        by definition
    """
    return 4.0 * density_kg_m3 * np.abs(flow_m3_s) / (pi * bore_m * viscosity_pa_s)


def _fourth(x: Real) -> Real:
    """x^4 by products, which cost a tenth of a power."""
    square = x * x
    return square * square


def _poiseuille(re: Real, rough_rel: Real) -> Real:
    """The product f Re, which stays finite at rest (64) where f does not."""
    safe = np.maximum(re, _PURELY_LAMINAR_RE)
    rough = np.log((7.0 / safe) ** 0.9 + 0.27 * rough_rel)
    sum_ab = _fourth(_fourth(2.457 * rough)) + _fourth(_fourth(37530.0 / safe))
    cube = safe * safe * safe / 512.0
    product: Real = 64.0 * (1.0 + _fourth(cube) / (sum_ab * np.sqrt(sum_ab))) ** (1.0 / 12.0)
    return product


def friction_factor(re: Real, rough_rel: Real) -> Real:
    """Darcy friction factor of a straight round tube, laminar to turbulent.

    f = 8 ((8/Re)^12 + (A + B)^-1.5)^(1/12), A = (2.457 ln(1/((7/Re)^0.9 + 0.27 e/D)))^16, B = (37530/Re)^16
    [churchill-1977]

    Re within VALID_RE, e/D within VALID_ROUGH_REL. 4 % from Colebrook above 4000; 30 % in 2000..4000.
    """
    value: Real = _poiseuille(re, rough_rel) / np.maximum(re, _LEAST_RE)
    return value


def friction_dp_pa(
    flow_m3_s: Real, length_m: Real, bore_m: Real, roughness_m: Real, density_kg_m3: Real, viscosity_pa_s: Real
) -> Real:
    """Pressure loss of a straight tube; has the sign of the flow.

    dp = f (L/D) rho v |v| / 2, f by [churchill-1977]

    SI. Linear in Q at rest, strictly rising with Q. Range and error as `friction_factor`.
    """
    re = reynolds(flow_m3_s, bore_m, density_kg_m3, viscosity_pa_s)
    speed = velocity_m_s(flow_m3_s, bore_m)
    return _poiseuille(re, roughness_m / bore_m) * viscosity_pa_s * length_m * speed / (2.0 * bore_m * bore_m)


def laminar_share(re: Real, end_re: float) -> Real:
    """Share of a laminar loss coefficient that is left as the flow turns turbulent.

    w = (1 + (Re/Re_end)^16)^(-1/8)        ours: 1 well below Re_end, then as Re^-2, so that w Re^2 never falls

    The loss stops growing at Re_end instead of vanishing: a falling loss would give a network two answers.
    """
    ratio = np.minimum(re / end_re, 1e18)
    share: Real = 1.0 / np.sqrt(np.sqrt(np.sqrt(1.0 + _fourth(_fourth(ratio)))))
    return share


def inlet_k(re: Real) -> Real:
    """Extra loss coefficient of a laminar profile that forms behind an inlet (Hagenbach).

    K = 1.25 (1 + (Re/2300)^16)^(-1/8)        1.25 from [shah-london-1978], the fading ours

    Once per run. Full below Re 2000, 0.07 at 1e4; a run shorter than 0.06 Re D takes less than this.
    """
    return _INLET_K * laminar_share(re, _INLET_RE)


def inlet_dp_pa(flow_m3_s: Real, bore_m: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
    """Extra pressure loss behind the inlet of a run; has the sign of the flow.

    dp = K rho v |v| / 2, K = 1.25 while laminar [shah-london-1978]

    SI. Never falls as the flow rises; above Re 2300 it stays at its value there.
    """
    re = reynolds(flow_m3_s, bore_m, density_kg_m3, viscosity_pa_s)
    speed = velocity_m_s(flow_m3_s, bore_m)
    return inlet_k(re) * 0.5 * density_kg_m3 * speed * np.abs(speed)


def _srinivasan(ratio: Real) -> Real:
    value: Real = 2100.0 * (1.0 + 12.0 * np.sqrt(0.5 / ratio))
    return value


def _schmidt(ratio: Real) -> Real:
    value: Real = 2300.0 * (1.0 + 8.6 * (0.5 / ratio) ** 0.45)
    return value


CRITICAL_RE = {"srinivasan": _srinivasan, "schmidt": _schmidt}


def critical_re(bend_radius_m: Real, bore_m: Real, method: str = "srinivasan") -> Real:
    """Reynolds number at which the flow in a long curved tube turns turbulent.

    Re = 2100 (1 + 12 (D/(2R))^0.5) [srinivasan-1968], or Re = 2300 (1 + 8.6 (D/(2R))^0.45) [schmidt-1967]

    R/D within VALID_CURVE_RATIO; tends to the straight tube as R grows.
    """
    return CRITICAL_RE[method](bend_radius_m / bore_m)


def bend_k_parts(bend_rad: Real, radius_ratio: Real) -> tuple[Real, Real]:
    """The parts k0, k1 of a smooth bend's loss K = k0 + k1 f over that of a straight tube as long as its arc.

    K = (0.1 + 2.4 f) s + 6.6 f (s^0.5 + s) / (R/D)^(4 a/pi), s = sin(a/2), a the angle        [rennels-2012]

    a 0..pi in rad, R/D within VALID_RADIUS_RATIO. Error 30 %. The arc's own friction is not in it.
    """
    half = np.abs(np.sin(0.5 * bend_rad))
    power = 4.0 * np.minimum(np.abs(bend_rad), 2.0 * pi) / pi
    swirl = 6.6 * (np.sqrt(half) + half) / np.maximum(radius_ratio, 0.1) ** power
    return 0.1 * half, 2.4 * half + swirl


def bend_k(bend_rad: Real, radius_ratio: Real, friction: Real) -> Real:
    """Loss coefficient of a smooth bend over that of a straight tube as long as its arc.

    K = (0.1 + 2.4 f) s + 6.6 f (s^0.5 + s) / (R/D)^(4 a/pi), s = sin(a/2), a the angle        [rennels-2012]

    a 0..pi in rad, R/D within VALID_RADIUS_RATIO, f Darcy's factor of the straight tube. Error 30 %.
    """
    fixed, per_friction = bend_k_parts(bend_rad, radius_ratio)
    return fixed + per_friction * friction


def bend_dp_pa(
    flow_m3_s: Real,
    bore_m: Real,
    bend_rad: Real,
    bend_radius_m: Real,
    roughness_m: Real,
    density_kg_m3: Real,
    viscosity_pa_s: Real,
) -> Real:
    """Pressure a bend takes on top of a straight tube as long as its arc; has the sign of the flow.

    dp = K rho v |v| / 2, K = k0 + k1 f by [rennels-2012], f by [churchill-1977]

    SI. Linear in Q at rest, strictly rising. Range and error as `bend_k`.
    """
    re = reynolds(flow_m3_s, bore_m, density_kg_m3, viscosity_pa_s)
    speed = velocity_m_s(flow_m3_s, bore_m)
    fixed, per_friction = bend_k_parts(bend_rad, bend_radius_m / bore_m)
    viscous = per_friction * _poiseuille(re, roughness_m / bore_m) * viscosity_pa_s / bore_m
    return 0.5 * speed * (fixed * density_kg_m3 * np.abs(speed) + viscous)
