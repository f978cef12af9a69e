"""Warming up and running into a limit: lumped masses against time.

Answers   how long a loop takes to settle, what is still to come, how soon a stopped pump or fan shows
Assumes   one temperature in each mass, constant heat, flow and air; the room stays as it is
Source    [incropera-2007] lumped capacitance; two masses in closed form ours
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from headrace.units import Array, Real

SOAK_LEAST_S = 1800.0  # common practice, no source
SOAK_CONSTANTS = 5.0  # time constants: 0.7 % of a step is then still to come
_LEAST_W_K = 1e-9  # as a stream at rest in heat.py
_LEAST_RATE_HZ = 1e-15
_TINY = 1e-200
_LEAST_RISE_K = 1e-30


def heat_capacity_j_k(mass_kg: Array, heat_capacity_j_kg_k: Array, axis: int = 0) -> Real:
    """Heat capacity of masses that warm together, along one axis.

    C = sum m c        definition

    kg and J/(kg K). Coolant, cores, blocks, tubes and tank count; the case does not, it warms far more slowly.
    """
    capacity: Real = np.sum(np.multiply(mass_kg, heat_capacity_j_kg_k), axis=axis)
    return capacity


def time_constant_s(heat_capacity_j_k: Real, conductance_w_k: Real) -> Real:
    """Time in which all but 1/e of a step has come.

    tau = C / G, G = heat / (mean coolant temperature - air temperature)        [incropera-2007]

    J/K and W/K; no conductance counts as 1e-9 W/K, so that the answer is absurd but finite. Error 10 to 20 %, mostly
    in what counts into C.
    """
    constant: Real = heat_capacity_j_k / np.maximum(conductance_w_k, _LEAST_W_K)
    return constant


def approach_temp_k(start_k: Real, end_k: Real, time_s: Real, time_constant_s: Real) -> Real:
    """Temperature on the way from one steady value to another.

    T = T0 + (Tend - T0) (1 - exp(-t/tau))        [incropera-2007]

    K, t >= 0 and tau > 0 in s. Exact for one mass.
    """
    return start_k + (end_k - start_k) * -np.expm1(-time_s / time_constant_s)


def time_to_limit_s(start_k: Real, end_k: Real, limit_k: Real, time_constant_s: Real) -> Real:
    """Time until a temperature on its way has risen to a limit; 0 if it stands there, inf if it never does.

    t = tau ln((Tend - T0) / (Tend - Tlim))        [incropera-2007]

    K and s. For a fall to a limit turn the signs of all three temperatures.
    """
    gap = np.maximum(np.subtract(limit_k, start_k), 0.0)
    share = gap / np.maximum(np.subtract(end_k, start_k), _LEAST_RISE_K)
    reached = share < 1.0
    wait = -np.log1p(-np.where(reached, share, 0.0))
    time: Real = np.where(reached, time_constant_s * wait, np.inf)[()]
    return time


def remaining_rise_k(rise_k: Real, over_s: Real, time_constant_s: Real) -> Real:
    """What a temperature that still rises has yet to rise.

    dT = tau (dT/dt)        slope of the exponential approach [incropera-2007]

    A rise in K over a time in s that is short against tau: over tau/10 the answer is 5 % high. Of either sign.
    """
    return rise_k / over_s * time_constant_s


def soak_s(time_constant_s: Real) -> Real:
    """Time to hold heat, flow and fans constant before a reading counts as steady.

    t = max(30 min, 5 tau)        common practice, no source

    s. The coolant is then within 1 % of its end; case and room are slower, so judge coolant minus air.
    """
    soak: Real = np.maximum(SOAK_LEAST_S, SOAK_CONSTANTS * time_constant_s)
    return soak


@dataclass(frozen=True)
class TwoMasses:
    """A block with its chip over a coolant that gives its heat to the air."""

    block_j_k: Real
    coolant_j_k: Real
    resistance_k_w: Real
    conductance_w_k: Real

    def time_constants_s(self) -> tuple[Real, Real]:
        """The fast time constant, of the block, and the slow one, of the loop.

        tau = 2 / (s -+ (s^2 - 4 a c)^0.5), s = a + b + c, a = 1/(R C1), b = 1/(R C2), c = G/C2        ours

        s. A loop without conductance has a slow one absurd but finite. Exact for two masses.
        """
        fast, slow = self._rates()
        return 1.0 / fast, 1.0 / slow

    def temps_k(
        self,
        time_s: Real,
        block_k: Real,
        coolant_k: Real,
        heat_w: Real,
        air_k: Real,
        coolant_heat_w: Real = 0.0,
    ) -> tuple[Real, Real]:
        """Temperatures of block and coolant a time after a start.

        C1 T1' = P - (T1 - T2)/R, C2 T2' = P2 + (T1 - T2)/R - G (T2 - Tair), solved in closed form        ours

        t >= 0 in s; start temperatures and air in K; P into the block, P2 straight into the coolant. A stopped pump is
        R = inf, stopped air G = 0; R > 0. Exact for two masses; a real block spreads its heat, error 10 % of the rise.
        """
        a, b, c = self._exchanges()
        fast, slow = self._rates()
        passed = (block_k - coolant_k) / self.resistance_k_w
        lost = self.conductance_w_k * (coolant_k - air_k)
        block_slope = (heat_w - passed) / self.block_j_k
        coolant_slope = (coolant_heat_w + passed - lost) / self.coolant_j_k
        first = _decayed(slow, time_s)
        second = (first - _decayed(fast, time_s)) / np.maximum(fast - slow, _TINY)
        block = first * block_slope + second * ((slow - a) * block_slope + a * coolant_slope)
        coolant = first * coolant_slope + second * (b * block_slope + (slow - b - c) * coolant_slope)
        return block_k + block, coolant_k + coolant

    def _exchanges(self) -> tuple[Real, Real, Real]:
        """What each mass passes on per kelvin, in 1/s: 1/(R C1), 1/(R C2) and G/C2."""
        a, b = 1.0 / (self.resistance_k_w * self.block_j_k), 1.0 / (self.resistance_k_w * self.coolant_j_k)
        return a, b, self.conductance_w_k / self.coolant_j_k

    def _rates(self) -> tuple[Real, Real]:
        """The fast and the slow rate, in 1/s."""
        a, b, c = self._exchanges()
        # the root of s^2 - 4 a c, written as a sum that cannot come out below zero
        fast: Real = 0.5 * (a + b + c + np.sqrt((a - c) ** 2 + b * (b + 2.0 * (a + c))))
        fast = np.maximum(fast, _LEAST_RATE_HZ)
        slow: Real = np.maximum(a * c / fast, _LEAST_RATE_HZ)
        return fast, slow


def _decayed(rate: Real, time_s: Real) -> Real:
    """(1 - exp(-r t)) / r, t at r = 0."""
    z = rate * time_s + _TINY
    value: Real = time_s * (-np.expm1(-z) / z)
    return value
