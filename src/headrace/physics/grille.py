"""Filters, grilles and openings: what a case takes from the air that passes it.

Answers   how much pressure a screen or a bare opening takes at an airflow
Assumes   even flow over the face; behind an opening the speed of the air is lost
Source    screens common practice, no source; openings [crane-2009]
"""

from __future__ import annotations

import numpy as np

from headrace.physics.fan import REFERENCE_KG_M3
from headrace.units import Range, Real

VALID_EXPONENT = Range(1.0, 2.0)
VALID_FACE_M_S = Range(0.2, 5.0)  # of a screen; common practice, no source
DISCHARGE = 0.6  # of a sharp-edged opening


def frame_face_m2(size_m: Real) -> Real:
    """Face behind a square fan frame.

    A = a^2        geometry

    a in m, the edge of the frame (0.12 for a 120 mm fan). What the hub and the corners hide is in the fan's curve.
    """
    return size_m * size_m


def round_face_m2(bore_m: Real) -> Real:
    """Area of a round opening.

    A = pi d^2 / 4        geometry

    d in m.
    """
    return np.pi / 4.0 * bore_m * bore_m


def screen_dp_pa(
    velocity_m_s: Real,
    stated_dp_pa: Real,
    exponent: Real,
    stated_velocity_m_s: Real = 1.0,
    density_kg_m3: Real = REFERENCE_KG_M3,
) -> Real:
    """Pressure a mesh, filter or grille takes at the velocity before its face; has the sign of the velocity.

    dp = dp1 (rho/1.2) (v/v1) |v/v1|^(n-1)        common practice, no source

    v in m/s within VALID_FACE_M_S, n within VALID_EXPONENT: 1 for a dense mesh, 2 for a punched sheet. A mesh filter
    takes 2 to 6 Pa at 1 m/s when clean. Strictly rising; for n > 1 level at rest, which a solver must mind. Error
    30 %; for n = 1 the loss does not fall with density as said here, so thin air is a share 1 - rho/1.2 low.
    """
    share = velocity_m_s / stated_velocity_m_s
    return stated_dp_pa * (density_kg_m3 / REFERENCE_KG_M3) * share * np.abs(share) ** (exponent - 1.0)


def opening_dp_pa(
    air_flow_m3_s: Real, area_m2: Real, density_kg_m3: Real = REFERENCE_KG_M3, discharge: Real = DISCHARGE
) -> Real:
    """Pressure a bare opening in a case takes; has the sign of the airflow.

    dp = rho/2 u |u|, u = V / (Cd A)        orifice equation [crane-2009]

    V in m3/s of either sign, A in m2 of the free area. Cd 0.6 with a sharp edge, 0.8 in a thick wall, up to 0.98 when
    rounded. Level at rest, which a solver must mind. Error 10 %, more with a wall or a cable close behind.
    """
    jet = air_flow_m3_s / (discharge * area_m2)
    return 0.5 * density_kg_m3 * jet * np.abs(jet)
