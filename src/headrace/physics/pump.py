"""Centrifugal pumps: head at any flow and speed, and electric power.

Answers   which pressure a pump adds at one flow and one share of its full speed, running, stopped or driven
Assumes   affinity: flow with speed, pressure with its square; good down to a speed of 0.3
Source    affinity laws in [karassik-2008]; between points [fritsch-carlson-1980]
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from headrace.physics.nonnegative import fit_two_parts
from headrace.physics.table import Pchip, fit_pchip
from headrace.units import Array, Range, Real

VALID_SPEED_FRAC = Range(0.3, 1.0)
_LEAST_FALL = 1e-6  # of shut-off pressure over the whole curve: keeps a level stretch strictly falling
_TINY = 1e-150
_FURTHEST = 2.0  # a curve that stops short is not taken to run out beyond this multiple of its last flow


@dataclass(frozen=True)
class PumpCurve:
    """Pressure at full speed: cubics from no flow to the last, then the end slope and a quadratic fall."""

    curve: Pchip
    resistance_pa_s2_m6: float
    notes: tuple[str, ...] = ()

    @property
    def shutoff_pa(self) -> float:
        """Pressure at full speed and no flow."""
        return self.curve.cubics[0][0]

    @property
    def last_flow_m3_s(self) -> float:
        """Largest flow of the curve at full speed."""
        return self.curve.knots[-1]

    def head_pa(self, flow_m3_s: Real, speed_frac: Real = 1.0, density_ratio: Real = 1.0) -> Real:
        """Pressure the pump adds; below zero where it resists.

        dp = (rho/rho_ref) s^2 dp1(Q/s), s the share of full speed        affinity [karassik-2008]

        Q in m3/s of either sign, s >= 0, best within VALID_SPEED_FRAC. Beyond the curve dp1 goes on with its end
        slope and falls by r (Q - Q_end)^2; backward flow adds r Q^2; r = H0 / Q_free^2. So a stopped pump is the
        resistance -r Q |Q|. Strictly falling in Q. Error as the points, 10 to 15 %.
        """
        speed = np.maximum(speed_frac, 0.0)
        reach = speed * self.last_flow_m3_s
        inside = np.minimum(np.maximum(flow_m3_s, 0.0), reach)
        over = np.maximum(flow_m3_s - reach, 0.0)
        back = np.minimum(flow_m3_s, 0.0)
        share = np.minimum(inside / np.maximum(speed, _TINY), self.last_flow_m3_s)
        head = speed * speed * self.curve.inside(share)
        head = head + speed * (self.curve.high_slope * over + self.curve.low_slope * back)
        added: Real = density_ratio * (head + self.resistance_pa_s2_m6 * (back * back - over * over))
        return added


def quadratic_pump(shutoff_pa: float, fall_pa_s2_m6: float) -> PumpCurve:
    """A pump given by its law.

    dp = H0 s^2 - B Q |Q|        common form of pump data, no source

    H0 in Pa above 0, B in Pa s2/m6 above 0; exact at every flow and speed, of either sign.
    """
    free = float(np.sqrt(shutoff_pa / fall_pa_s2_m6))
    return PumpCurve(Pchip((0.0, free), ((shutoff_pa, 0.0, -fall_pa_s2_m6, 0.0),)), fall_pa_s2_m6)


def fit_pump(flow_m3_s: Sequence[float], head_pa: Sequence[float]) -> PumpCurve:
    """The curve of a pump from points at full speed, made non-increasing; what was changed is in `notes`.

    monotone cubics through the points        [fritsch-carlson-1980]

    At least two flows and a pressure above 0 at the smallest (`pump_faults` says so first). Only shut-off
    pressure and free flow: taken as the parabola H0 (1 - (Q/Q_free)^2).
    """
    flow, head, notes = _tidied(flow_m3_s, head_pa)
    if flow.size == 2 and flow[0] == 0.0 and head[1] == 0.0:
        law = quadratic_pump(float(head[0]), float(head[0] / flow[1] ** 2))
        return PumpCurve(law.curve, law.resistance_pa_s2_m6, (*notes, "two points: taken as a parabola"))
    if flow[0] > 0.0:
        slope = fit_pchip(list(flow), list(head)).low_slope
        flow, head = np.append(0.0, flow), np.append(head[0] - slope * flow[0], head)
        notes.append("no shut-off pressure: the curve is drawn on to no flow")
    head = head - _LEAST_FALL * head[0] * flow / flow[-1]
    curve = fit_pchip(list(flow), list(head))
    return PumpCurve(curve, float(head[0]) / _free_flow(curve, float(head[-1])) ** 2, tuple(notes))


def _tidied(flow_m3_s: Sequence[float], head_pa: Sequence[float]) -> tuple[Array, Array, list[str]]:
    points = dict(sorted(zip((float(q) for q in flow_m3_s), (float(h) for h in head_pa), strict=True)))
    flow, stated = np.asarray(list(points)), np.asarray(list(points.values()))
    head = np.minimum.accumulate(stated)
    notes = ["a pressure that rises with flow was levelled"] if np.any(head < stated) else []
    return flow, head, notes


def _free_flow(curve: Pchip, end_pa: float) -> float:
    last, slope = curve.knots[-1], -curve.high_slope
    if end_pa <= 0.0:
        return last
    return min(last + end_pa / slope, _FURTHEST * last) if slope > 0.0 else _FURTHEST * last


def pump_faults(flow_m3_s: Sequence[float], head_pa: Sequence[float]) -> tuple[str, ...]:
    """What is odd about a pump's points, one sentence each; () is clean."""
    pairs = sorted((float(q), float(h)) for q, h in zip(flow_m3_s, head_pa, strict=True))
    flows = [q for q, _ in pairs]
    faults = []
    if len(set(flows)) < 2:
        faults.append("a pump curve needs at least two flows")
    if len(set(flows)) < len(flows):
        faults.append("the same flow twice")
    if flows and flows[0] < 0.0:
        faults.append("a flow below zero")
    if pairs and pairs[0][1] <= 0.0:
        faults.append("no pressure at the smallest flow")
    return (*faults, *(f"point {i}: the pressure rises" for i, (a, b) in enumerate(pairwise(pairs), 2) if b[1] > a[1]))


@dataclass(frozen=True)
class PowerLaw:
    """Electric power P = p0 + p3 s^3; how far the worst point lies off and what was assumed."""

    base_w: float
    cubic_w: float
    worst_frac: float = 0.0
    notes: tuple[str, ...] = ()

    def power_w(self, speed_frac: Real) -> Real:
        """Electric power of a pump or fan.

        P = p0 + p3 s^3, s the share of full speed        affinity [karassik-2008] plus a constant for electronics

        s >= 0. Error 10 %.
        """
        speed = np.maximum(speed_frac, 0.0)
        power: Real = self.base_w + self.cubic_w * speed * speed * speed
        return power


def fit_power(speed_frac: Sequence[float], power_w: Sequence[float]) -> PowerLaw:
    """The power law closest to points, neither part below zero; one point gives the pure cube.

    minimise sum ((p0 + p3 s^3) / P - 1)^2 with p0, p3 >= 0        [lawson-hanson-1974]
    """
    pairs = [(float(s), float(p)) for s, p in zip(speed_frac, power_w, strict=True) if s > 0.0 and p > 0.0]
    if not pairs:
        return PowerLaw(0.0, 0.0, 0.0, ("no usable point: taken as no power",))
    speed, power = np.asarray(pairs).T
    if len(pairs) == 1:
        return PowerLaw(0.0, float(power[0] / speed[0] ** 3), 0.0, ("one point: taken as the cube of speed",))
    base, cubic, _ = fit_two_parts(1.0 / power, speed**3 / power)
    worst = float(np.max(np.abs((base + cubic * speed**3) / power - 1.0)))
    return PowerLaw(base, cubic, worst)
