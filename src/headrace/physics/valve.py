"""Valves, quick disconnects, filters and flow meters that state a flow coefficient.

Answers   how much pressure a part with a known Kv takes
Assumes   turbulent: the loss goes with the square of the flow at every flow
Source    [iec-60534-2-1-2011]
"""

from __future__ import annotations

import numpy as np

from headrace.units import Range, Real

VALID_KV = Range(0.01, 100.0)
_BAR_PA = 1.0e5
_HOUR_S = 3600.0
_WATER_KG_M3 = 1000.0  # the standard states Kv for water of this density
_GALLON_M3 = 3.785411784e-3  # US gallon, exact
_PSI_PA = 6894.757293168


def kv_dp_pa(flow_m3_s: Real, kv: Real, density_kg_m3: Real) -> Real:
    """Pressure loss of a part with flow coefficient Kv; has the sign of the flow.

    dp = 1 bar (rho / 1000) (Q / Kv)^2, Q in m3/h        [iec-60534-2-1-2011]

    kv in m3/h at 1 bar, its trade unit; the rest SI. Error 10 %, more below Re 1e4.
    """
    trade = flow_m3_s * _HOUR_S / kv
    return _BAR_PA * density_kg_m3 / _WATER_KG_M3 * trade * np.abs(trade)


def kv_from_cv(cv: Real) -> Real:
    """Kv from the US coefficient Cv (US gallons a minute at 1 psi).

    Kv = 0.865 Cv        by definition of both: 3600/60 x 3.785411784e-3 x (1e5/6894.757)^0.5
    """
    kv: Real = cv * (_HOUR_S / 60.0 * _GALLON_M3 * np.sqrt(_BAR_PA / _PSI_PA))
    return kv
