"""Effectiveness of heat exchangers, and the heat they pass per kelvin between the two inlets.

Answers   which share of the most heat that could pass does pass
Assumes   steady, constant properties and conductance, no loss to the outside
Source    [mason-1955] cross-flow, [kays-london-1984] the other arrangements
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np

from headrace.units import Range, Real

VALID_NTU = Range(0.0, 100.0)
VALID_CR = Range(0.0, 1.0)

Effectiveness: TypeAlias = Callable[[Real, Real], Real]

_TINY = 1e-200


def _decay(z: Real) -> Real:
    """(1 - exp(-z)) / z with its limit 1 at z = 0."""
    safe = z + _TINY
    value: Real = -np.expm1(-safe) / safe
    return value


def crossflow(ntu: Real, cr: Real) -> Real:
    """Effectiveness of cross-flow with both streams unmixed, exact.

    e = exp(-x) sum_m x^(m-1)/m! S_m, S_m = sum_(k=1..m) [1 - exp(-N) sum_(j<k) N^j/j!], x = Cr N        [mason-1955]

    N = NTU within VALID_NTU, Cr 0..1. The paper's series summed in an order without differences of near equals;
    error 1e-12. Beyond NTU 100 the rest to 1 falls as NTU^-0.5.
    """
    inside = np.minimum(ntu, VALID_NTU.high)
    x = cr * inside
    weight = np.exp(-x)  # exp(-x) x^(m-1) / m!
    poisson = np.exp(-inside)  # exp(-N) N^m / m!
    tail = -np.expm1(-inside)
    total = tail
    value: Real = weight * total
    most = float(np.fmax.reduce(np.ravel(x), initial=0.0))  # a NaN row of a batch stays its own affair
    for m in range(2, int(most + 9.0 * most**0.5 + 13.0)):  # beyond, the Poisson weights are under 1e-13
        poisson = poisson * inside / (m - 1)
        tail = tail - poisson
        total = total + tail
        weight = weight * x / m
        value = value + weight * total
    beyond = 1.0 - np.sqrt(VALID_NTU.high / np.maximum(ntu, VALID_NTU.high))
    return value + (1.0 - value) * beyond


def max_mixed(ntu: Real, cr: Real) -> Real:
    """Effectiveness of cross-flow with the larger stream mixed.

    e = (1/Cr) (1 - exp(-Cr (1 - exp(-NTU))))        [kays-london-1984]

    NTU >= 0, Cr 0..1; exact for the model.
    """
    single = -np.expm1(-ntu)
    value: Real = single * _decay(cr * single)
    return value


def min_mixed(ntu: Real, cr: Real) -> Real:
    """Effectiveness of cross-flow with the smaller stream mixed.

    e = 1 - exp(-(1/Cr) (1 - exp(-Cr NTU)))        [kays-london-1984]

    NTU >= 0, Cr 0..1; exact for the model.
    """
    value: Real = -np.expm1(-ntu * _decay(cr * ntu))
    return value


def counterflow(ntu: Real, cr: Real) -> Real:
    """Effectiveness of counter-flow, the upper bound of all arrangements.

    e = (1 - E) / (1 - Cr E), E = exp(-NTU (1 - Cr))        [kays-london-1984]

    NTU >= 0, Cr 0..1; NTU / (1 + NTU) at Cr = 1. Exact for the model.
    """
    gap = ntu * (1.0 - cr)
    reach = ntu * _decay(gap)
    value: Real = reach / (reach + np.exp(-gap))
    return value


def parallel(ntu: Real, cr: Real) -> Real:
    """Effectiveness of two streams side by side in the same direction.

    e = (1 - exp(-NTU (1 + Cr))) / (1 + Cr)        [kays-london-1984]

    NTU >= 0, Cr 0..1; exact for the model.
    """
    value: Real = -np.expm1(-ntu * (1.0 + cr)) / (1.0 + cr)
    return value


def counter_cross(ntu: Real, cr: Real, passes: int = 2, one_pass: Effectiveness = crossflow) -> Real:
    """Effectiveness of cross-flow passes joined in overall counter-flow (a thick core with rows in series).

    e = (z - 1) / (z - Cr), z = ((1 - e1 Cr) / (1 - e1))^n, e1 of one pass at NTU / n        [kays-london-1984]

    Both streams mixed between passes. NTU >= 0, Cr 0..1.
    """
    each = one_pass(ntu / passes, cr)
    gap = 1.0 - cr
    lift = each / np.maximum(1.0 - each, 1e-15)
    log_z = np.log1p(lift * gap)
    growth = np.expm1(passes * log_z) / (passes * log_z + _TINY)
    growth = np.where(log_z > 0.0, growth, 1.0)
    ratio = passes * lift * np.where(log_z > 0.0, log_z / (lift * gap + _TINY), 1.0) * growth
    value: Real = ratio / (ratio + 1.0)
    return value


ARRANGEMENTS: dict[str, Effectiveness] = {
    "crossflow": crossflow,
    "counterflow": counterflow,
    "parallel": parallel,
    "counter-cross": counter_cross,
    "max mixed": max_mixed,
    "min mixed": min_mixed,
}

# One named side mixed: the formula for when side a is the smaller, and for when side b is.
SIDED: dict[str, tuple[Effectiveness, Effectiveness]] = {
    "crossflow, a mixed": (min_mixed, max_mixed),
    "crossflow, b mixed": (max_mixed, min_mixed),
}


def strength_w_k(ua_w_k: Real, capacity_a_w_k: Real, capacity_b_w_k: Real, arrangement: str = "crossflow") -> Real:
    """Heat passed per kelvin between the two inlets, whichever stream is the smaller.

    G = e(NTU, Cr) Cmin, NTU = UA / Cmin, Cr = Cmin / Cmax        [kays-london-1984]

    W/K. A name of ARRANGEMENTS or of SIDED. A stream at rest gives 0.
    """
    least = np.minimum(capacity_a_w_k, capacity_b_w_k)
    most = np.maximum(capacity_a_w_k, capacity_b_w_k)
    ntu = ua_w_k / np.maximum(least, 1e-100)
    cr = least / np.maximum(most, 1e-100)
    if arrangement in ARRANGEMENTS:
        share: Real = ARRANGEMENTS[arrangement](ntu, cr)
    else:
        a_least, b_least = SIDED[arrangement]
        share = np.where(capacity_a_w_k <= capacity_b_w_k, a_least(ntu, cr), b_least(ntu, cr))
    strength: Real = least * share
    return strength


def side_by_side_strength_w_k(
    ua_w_k: Real, capacity_air_w_k: Real, capacity_coolant_w_k: Real, passes: int = 2, arrangement: str = "crossflow"
) -> Real:
    """Heat passed per kelvin between inlets by passes side by side in the face, each with its share of fresh air.

    G = Cw (1 - (1 - g/Cw)^n), g of one pass at UA/n and Cair/n        series of [kays-london-1984] exchangers

    W/K. The usual U-flow radiator has two passes.
    """
    each = strength_w_k(ua_w_k / passes, capacity_air_w_k / passes, capacity_coolant_w_k, arrangement)
    share = each / np.maximum(capacity_coolant_w_k, 1e-100)
    strength: Real = capacity_coolant_w_k * (1.0 - (1.0 - share) ** passes)
    return strength
