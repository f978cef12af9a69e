"""Losses of fittings and of sudden changes of bore.

Answers   how much pressure an elbow, an adaptor, a tee or a step in the bore takes, also at low Reynolds numbers
Assumes   K on rho v^2 / 2 with v in the fitting's own bore, for a step in the smaller one
Source    [hooper-1981] [darby-2001] fittings, [hooper-1988] [rennels-2012] [crane-2009] steps
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np

from headrace.physics.friction import laminar_share, reynolds, velocity_m_s
from headrace.units import Range, Real, read_rows

VALID_BORE_M = Range(0.0127, 0.6)  # the papers measured pipes from 1/2 inch; our 8..13 mm sit at the edge, +-50 %
VALID_RE = Range(50.0, 1.0e8)
VALID_BETA = Range(0.2, 1.0)  # small bore over large bore

_INCH_M = 0.0254
_STEP_RE = 2000.0  # a step's laminar coefficient stops adding loss here
_JOIN = 16.0  # sharpness of the join of laminar and turbulent step losses


@dataclass(frozen=True)
class Fitting:
    """The coefficients the two papers give for one fitting; None where a paper has none."""

    name: str
    hooper: tuple[float, float] | None
    darby: tuple[float, float, float] | None


@cache
def fittings() -> dict[str, Fitting]:
    """All fittings of the table, by name."""
    table = {}
    for row in read_rows("headrace.physics", "fittings.csv"):
        hooper = (float(row["hooper_k1"]), float(row["hooper_kinf"])) if row["hooper_k1"] else None
        darby = (float(row["darby_km"]), float(row["darby_ki"]), float(row["darby_kd"]))
        table[row["fitting"]] = Fitting(row["fitting"], hooper, darby)
    return table


def two_k(k_1: Real, k_inf: Real, bore_m: Real) -> tuple[Real, Real]:
    """The pair (k_laminar, k_turbulent) of a fitting by the 2-K rule.

    K = K1 / Re + Kinf (1 + 1 / D), D the bore in INCHES        [hooper-1981]

    bore in m within VALID_BORE_M. Error 50 % in small bores, on the high side.
    """
    return k_1, k_inf * (1.0 + _INCH_M / bore_m)


def three_k(k_m: Real, k_i: Real, k_d: Real, bore_m: Real) -> tuple[Real, Real]:
    """The pair (k_laminar, k_turbulent) of a fitting by the 3-K rule.

    K = Km / Re + Ki (1 + Kd / D^0.3), D the bore in INCHES        [darby-2001]

    bore in m within VALID_BORE_M. Error 50 % in small bores; the rule to prefer there.
    """
    size = (bore_m / _INCH_M) ** 0.3
    return k_m, k_i * (1.0 + k_d / size)


def fitting_k(name: str, bore_m: Real, method: str = "3-K") -> tuple[Real, Real]:
    """The pair (k_laminar, k_turbulent) of a fitting of the table, by "3-K" or "2-K"; KeyError if it has none.

    K = k_laminar / Re + k_turbulent        [darby-2001] or [hooper-1981]
    """
    fitting = fittings()[name]
    if method == "3-K" and fitting.darby is not None:
        return three_k(*fitting.darby, bore_m)
    if method == "2-K" and fitting.hooper is not None:
        return two_k(*fitting.hooper, bore_m)
    raise KeyError(f"{name}: no {method} coefficients")


def minor_dp_pa(
    flow_m3_s: Real, bore_m: Real, k_laminar: Real, k_turbulent: Real, density_kg_m3: Real, viscosity_pa_s: Real
) -> Real:
    """Pressure loss of a fitting; has the sign of the flow.

    dp = (k_laminar / Re + k_turbulent) rho v |v| / 2        form of [hooper-1981]

    SI, both k >= 0. Linear in Q at rest, strictly rising.
    """
    speed = velocity_m_s(flow_m3_s, bore_m)
    viscous = k_laminar * viscosity_pa_s / bore_m
    return 0.5 * speed * (viscous + k_turbulent * density_kg_m3 * np.abs(speed))


def _rennels(beta: Real) -> Real:
    narrow = 1.0 + 0.622 * (1.0 - 0.215 * beta**2 - 0.785 * beta**5)
    return 0.0696 * (1.0 - beta**5) * narrow**2 + (narrow - 1.0) ** 2


def _crane(beta: Real) -> Real:
    return 0.5 * (1.0 - beta**2)


CONTRACTIONS: dict[str, Callable[[Real], Real]] = {"rennels": _rennels, "crane": _crane}


def contraction_k(beta: Real, method: str = "rennels") -> Real:
    """Turbulent loss coefficient of a sharp step to a smaller bore, on the velocity in the SMALLER bore.

    K = 0.0696 (1 - b^5) l^2 + (l - 1)^2, l = 1 + 0.622 (1 - 0.215 b^2 - 0.785 b^5)        [rennels-2012]
    or K = 0.5 (1 - b^2)        [crane-2009]

    b = small bore / large bore within VALID_BETA. Error 20 %.
    """
    return CONTRACTIONS[method](beta)


def expansion_k(beta: Real) -> Real:
    """Turbulent loss coefficient of a sharp step to a larger bore, on the velocity in the SMALLER bore.

    K = (1 - b^2)^2        Borda-Carnot, momentum balance, in [crane-2009]

    b = small bore / large bore, 0..1. Error 10 %.
    """
    return (1.0 - beta**2) ** 2


def _joined(laminar: Real, re: Real, turbulent: Real) -> Real:
    """Laminar coefficient held at its loss of Re 2000 until the turbulent one overtakes it.

    K = (K_laminar^16 + K_turbulent^16)^(1/16)        ours; the larger of the two with a round corner
    """
    held = laminar * laminar_share(re, _STEP_RE)
    value: Real = (held**_JOIN + turbulent**_JOIN) ** (1.0 / _JOIN)
    return value


def step_k(beta: Real, re: Real, widening: bool) -> Real:
    """Loss coefficient of a sharp step at any Reynolds number, both on the SMALLER bore.

    narrowing: laminar (1.2 + 160 / Re1) (1 - b^4) with Re1 = b Re; widening: laminar 2 (1 - b^4)
    [hooper-1988] joined to the turbulent K [rennels-2012]

    Re > 0 of the smaller bore. The paper jumps down at Re 2500; here the laminar LOSS stays level until
    the turbulent one reaches it, so that dp never falls. Error 50 %.
    """
    if widening:
        return _joined(2.0 * (1.0 - beta**4), re, expansion_k(beta))
    viscous = 160.0 * (1.0 - beta**4) / (beta * np.maximum(re, 1e-12))
    value: Real = viscous + _joined(1.2 * (1.0 - beta**4), beta * re, contraction_k(beta))
    return value


def step_dp_pa(flow_m3_s: Real, bore_from_m: Real, bore_to_m: Real, density_kg_m3: Real, viscosity_pa_s: Real) -> Real:
    """Pressure lost for good in a sharp step of bore; has the sign of the flow.

    dp = K rho v |v| / 2, v in the smaller bore, K of a narrowing or of a widening        [hooper-1988] [rennels-2012]

    SI. Forward (Q > 0) the water goes from `bore_from_m` to `bore_to_m`; backward the step is the other kind.
    Strictly rising with Q unless the bores are equal. The Bernoulli change of static pressure is not in it.
    """
    small = np.minimum(bore_from_m, bore_to_m)
    beta = small / np.maximum(bore_from_m, bore_to_m)
    re = reynolds(flow_m3_s, small, density_kg_m3, viscosity_pa_s)
    speed = velocity_m_s(flow_m3_s, small)
    narrowing = np.asarray(flow_m3_s >= 0.0) == np.asarray(bore_from_m > bore_to_m)
    laminar = np.where(narrowing, 1.2, 2.0) * (1.0 - beta**4)
    turbulent = np.where(narrowing, contraction_k(beta), expansion_k(beta))
    share = _joined(laminar, np.where(narrowing, beta, 1.0) * re, turbulent)
    viscous = np.where(narrowing, 160.0, 0.0) * (1.0 - beta**4) * viscosity_pa_s / (beta * small)
    dp: Real = 0.5 * speed * (viscous + share * density_kg_m3 * np.abs(speed))
    return dp
