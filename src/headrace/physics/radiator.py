"""Radiators from data: a conductance law of both flows, or watts per kelvin against airflow.

Answers   how strong a radiator is when a card states a law or points instead of a geometry
Assumes   strength refers to coolant inlet minus air inlet; points were taken at one coolant flow
Source    [incropera-2007] resistances in series; exponents are common practice, no source
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from headrace.physics.table import LogTable, fit_log_table
from headrace.units import Range, Real

VALID_AIR_EXPONENT = Range(0.3, 0.9)
VALID_COOLANT_EXPONENT = Range(0.0, 0.9)
AIR_REFERENCE_M3_S = 1.0 / 3600.0  # 1 m3/h: ka is the air side's W/K at this flow
COOLANT_REFERENCE_M3_S = 1.0 / 60000.0  # 1 L/min: kw is the coolant side's W/K at this flow
_TINY = 1e-150
_LEAST_RISE = 1e-9
_STILL_FADE = 0.5  # exponent of a louvred fin; common practice, no source


def ua_w_k(
    air_flow_m3_s: Real,
    coolant_flow_m3_s: Real,
    air_w_k: Real,
    air_exponent: Real,
    coolant_w_k: Real,
    coolant_exponent: Real,
) -> Real:
    """Conductance of a radiator between coolant and air.

    1/UA = 1/(ka V^ma) + 1/(kw Q^mw), V in m3/h, Q in L/min        series resistances [incropera-2007]

    Flows in m3/s of either sign; ka, kw in W/K at 1 m3/h and 1 L/min. Typical ma 0.5, mw 0.25; 0 at rest.
    """
    air = air_w_k * (np.abs(air_flow_m3_s) / AIR_REFERENCE_M3_S) ** air_exponent
    coolant = coolant_w_k * (np.abs(coolant_flow_m3_s) / COOLANT_REFERENCE_M3_S) ** coolant_exponent
    return air * coolant / (air + coolant + _TINY)


@dataclass(frozen=True)
class StrengthTable:
    """Watts per kelvin between inlets against airflow: a still-air floor plus a log-log table of the rest."""

    floor_w_k: float
    rest: LogTable | None
    first_m3_s: float = 1.0
    fade: float = 0.0
    notes: tuple[str, ...] = ()

    def strength_w_k(self, air_flow_m3_s: Real) -> Real:
        """Heat passed per kelvin between the inlets at an airflow.

        G = G0 + exp(straight line in ln V through ln(G - G0)), G0 the strength in still air        ours

        V in m3/s of either sign. Through every point, never falling; beyond the ends the end slope goes on,
        towards a stated still-air point with at least V^0.5.
        """
        flow = np.abs(air_flow_m3_s)
        if self.rest is None:
            return self.floor_w_k + 0.0 * flow
        slow = np.minimum(flow / self.first_m3_s, 1.0) ** self.fade
        return self.floor_w_k + self.rest.value(np.maximum(flow, self.first_m3_s)) * slow


def fit_strength(air_flow_m3_s: Sequence[float], strength_w_k: Sequence[float]) -> StrengthTable:
    """A strength table from points; a point at zero airflow is the still-air floor. Made non-decreasing."""
    points = dict(sorted(zip(map(float, air_flow_m3_s), map(float, strength_w_k), strict=True)))
    still = 0.0 in points
    floor = max(points.pop(0.0, 0.0), 0.0)
    flow, stated = np.asarray(list(points)), np.asarray(list(points.values()))
    if not points:
        return StrengthTable(floor, None, notes=("still air only: the same at every airflow",))
    least = (floor + _TINY) * (1.0 + _LEAST_RISE)
    strength = np.maximum(np.maximum.accumulate(stated), least)
    notes = ["a strength that falls with airflow was levelled"] if np.any(strength > stated) else []
    if len(points) == 1:
        notes.append("one airflow: the same at every higher one")
    rest = fit_log_table(list(flow), list(strength - floor))
    slope = rest.low_slope
    return StrengthTable(floor, rest, float(flow[0]), max(slope, _STILL_FADE) if still else slope, tuple(notes))


def thin_air_w_k(strength_w_k: Real, capacity_air_w_k: Real, thin_frac: Real) -> Real:
    """Strength at an altitude of a radiator whose strength is stated at sea level, at the same volume of air.

    G' = C' (1 - exp(-N r^-0.5)), N = -ln(1 - G / C), C = C' / r        [kays-london-1984], much coolant, h ~ (r V)^0.5

    W/K; C' of the air as it is, r its pressure over that at sea level. 0.5 is the exponent of louvred fins. Where C' is
    not known (0) G r^0.75, between the limits of a weak and a strong core. Error 5 % at 3000 m.
    """
    share = strength_w_k * thin_frac / np.maximum(capacity_air_w_k, _TINY)
    units = -np.log1p(-np.minimum(share, 1.0 - 1e-9)) * thin_frac**-_STILL_FADE
    weaker = -np.maximum(capacity_air_w_k, 0.0) * np.expm1(-units)
    beyond = np.where(share >= 1.0, strength_w_k * thin_frac, weaker)  # more than its air carries, there as here
    found: Real = np.where(np.asarray(capacity_air_w_k) > 0.0, beyond, strength_w_k * thin_frac**0.75)
    return found


def bound_w_k(capacity_air_w_k: Real, capacity_coolant_w_k: Real) -> Real:
    """The most any radiator can pass per kelvin between inlets: the smaller stream.

    G <= min(rho_air V cp, rho Q cp)        second law
    """
    bound: Real = np.minimum(capacity_air_w_k, capacity_coolant_w_k)
    return bound
