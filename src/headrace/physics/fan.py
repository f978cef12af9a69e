"""Fans: pressure of a set of fans at any airflow and speed, free delivery, stall, electric power.

Answers   which pressure fans side by side and behind one another add to an airflow, running or stopped
Assumes   the fan laws; a curve taken in air of 1.2 kg/m3; the fans of a set are alike and share the airflow equally
Source    [bleier-1998]; a fan is the same rotor as a pump, so its curve comes from `fit_pump`, which levels the dip
          where a fan stalls and says so in its notes
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from headrace.physics.pump import PowerLaw, PumpCurve
from headrace.units import Range, Real

VALID_SPEED_RATIO = Range(0.3, 1.5)  # of the speed the curve was taken at; common practice, no source
VALID_DENSITY_KG_M3 = Range(0.7, 1.35)  # 4 km up on a hot day to a cold room at the sea
REFERENCE_KG_M3 = 1.2  # air in which fan curves and filter losses are stated; common practice, no source
STALL_SHARE = 0.4  # of free delivery; common practice, no source


def fan_dp_pa(
    curve: PumpCurve,
    air_flow_m3_s: Real,
    speed_ratio: Real = 1.0,
    density_kg_m3: Real = REFERENCE_KG_M3,
    in_parallel: Real = 1.0,
    in_series: Real = 1.0,
) -> Real:
    """Pressure a set of fans adds at its total airflow; below zero where the fans resist.

    dp = m (rho/1.2) s^2 dp1(V / (n s)), n fans side by side, m behind one another        fan laws [bleier-1998]

    V in m3/s of either sign, s = speed / speed of the curve >= 0 within VALID_SPEED_RATIO, rho in kg/m3. Strictly
    falling in V; a stopped set is a resistance. Error as the points, 10 to 15 %; in series 10 % more, as the
    second fan meets swirl.
    """
    return in_series * curve.head_pa(air_flow_m3_s / in_parallel, speed_ratio, density_kg_m3 / REFERENCE_KG_M3)


def free_flow_m3_s(curve: PumpCurve, speed_ratio: Real = 1.0) -> Real:
    """Airflow of one fan that blows against no pressure.

    V0 = s V01, dp1(V01) = 0        fan laws [bleier-1998]

    m3/s, s >= 0 within VALID_SPEED_RATIO; the curve needs a pressure above 0 at no flow. Where the points end above
    zero pressure the end of the curve is `PumpCurve`'s own, error 20 %, else as the points.
    """
    from scipy.optimize import brentq

    end_pa = max(float(curve.head_pa(curve.last_flow_m3_s)), 0.0)
    top = curve.last_flow_m3_s + 2.0 * float(np.sqrt(end_pa / curve.resistance_pa_s2_m6))
    free: Real = np.maximum(speed_ratio, 0.0) * brentq(lambda q: float(curve.head_pa(q)), 0.0, top, xtol=1e-15)
    return free


def stalled(
    curve: PumpCurve, flow_m3_s: Real, speed_ratio: Real = 1.0, share_frac: Real = STALL_SHARE
) -> bool | NDArray[np.bool_]:
    """True where a running fan passes so little air that its blades stall: louder and less steady than its curve.

    V < 0.4 V0(s), s > 0        common practice, no source

    V is the airflow of one fan in m3/s; the share 0.4 is 0.3 to 0.5 from fan to fan. The curve falls, so V is less than
    a share of free delivery where V over the share still finds pressure.
    """
    starved: NDArray[np.bool_] = np.asarray(curve.head_pa(flow_m3_s / share_frac, speed_ratio)) > 0.0
    return starved & (np.asarray(speed_ratio) > 0.0)


def fan_power_w(law: PowerLaw, speed_ratio: Real, density_kg_m3: Real = REFERENCE_KG_M3) -> Real:
    """Electric power of one fan.

    P = p0 + (rho/1.2) p3 s^3        fan laws [bleier-1998] plus a constant for electronics

    W; s >= 0 within VALID_SPEED_RATIO; a law of `fit_power`, stated in air of 1.2 kg/m3. Error 10 %, 20 % far from
    the airflow it was measured at.
    """
    return law.base_w + density_kg_m3 / REFERENCE_KG_M3 * (law.power_w(speed_ratio) - law.base_w)
