"""
Balance the flow of a network: the circuit flows at which every circuit's pressures sum to zero.

Answers   the flow and pressure of every link
Assumes   every link's dp rises with its flow. Then the flows are the minimum of the convex content
          sum of the integral of dp dQ, there is exactly one, and Newton's step with a line search finds it
Source    loop form of [todini-pilati-1988] and [cross-1936]; mass closes by construction
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from headrace.solve.laws import Bundle, bundle
from headrace.solve.network import Network
from headrace.units import Array, Indices

CLOSE_PA = 1e-5  # left over in the worst circuit; the promise is 0.01 Pa
MOST_STEPS = 120
START_M3_S = 5e-5  # 3 L/min, the flow of an ordinary loop
LEAST_M3_S = 1e-13  # a nanolitre in ten seconds: nothing
LEAST_SLOPE = 0.1  # Pa s/m3; far below any passage, so that a lossless circuit still has one solution
_STEP_FRAC, _STEP_M3_S = 1e-4, 1e-14  # width of the difference that gives the slope; at rest narrower than any kink
_SETTLED = 1e-9  # of the largest flow: a smaller step of Newton's no longer moves the answer
_LINE_STEPS = 30


@dataclass(frozen=True)
class FlowBalance:
    """
    Flows and pressures by link, shape (variants, links) each; what is left over; how many steps it took.

    `left_pa` and `worst` (the worst circuit) are per variant: a variant above CLOSE_PA did not close.
    """

    flow_m3_s: Array
    dp_pa: Array
    element_dp_pa: Array
    left_pa: Array
    worst: Indices
    steps: int


@dataclass(frozen=True)
class FlowSolver:
    """A network made ready: its laws bundled, its circuits found."""

    network: Network
    laws: Bundle
    first: Indices  # index of each link's first element

    @classmethod
    def of(cls, network: Network) -> FlowSolver:
        """Prepare `network`; every link has at least one law."""
        counts = [len(link.laws) for link in network.links]
        first = np.concatenate([[0], np.cumsum(counts)[:-1]]).astype(int) if counts else np.zeros(0, int)
        return cls(network, bundle([law for link in network.links for law in link.laws]), first)

    @property
    def link_of(self) -> Indices:
        """Index of the link each element belongs to."""
        return np.repeat(np.arange(len(self.network.links)), [len(link.laws) for link in self.network.links])

    def solve_flow(
        self, density_kg_m3: Array, viscosity_pa_s: Array, *, per_unit: Array | None = None, start: Array | None = None
    ) -> FlowBalance:
        """
        Balance all variants. Density and viscosity are by link, shape (variants, links).

        `per_unit` is the local volume flow per unit of circuit flow (reference density over local density), so that
        mass and not volume is kept. `start` are link flows to begin with.
        """
        wheel = self.network.circuits
        link_of = self.link_of
        state = _State(
            self.laws,
            self.first,
            link_of,
            density_kg_m3[:, link_of],
            viscosity_pa_s[:, link_of],
            np.ones_like(density_kg_m3)[:, link_of] if per_unit is None else per_unit[:, link_of],
        )
        unit = START_M3_S * np.ones(density_kg_m3.shape)
        circuit = _linear_start(state, wheel, unit) if start is None else start @ np.linalg.pinv(wheel).T
        circuit, steps = _newton(state, wheel, circuit)
        flow = circuit @ wheel.T
        element_dp = state.element_dp(flow)
        dp = state.sum_links(element_dp)
        left = np.abs(dp @ wheel)
        worst = np.argmax(left, axis=1) if left.shape[1] else np.zeros(len(left), int)
        most = left.max(axis=1) if left.shape[1] else np.zeros(len(left))
        return FlowBalance(flow, dp, element_dp, most, worst, steps)


@dataclass(frozen=True)
class _State:
    laws: Bundle
    first: Indices
    link_of: Indices
    density: Array
    viscosity: Array
    per_unit: Array

    def element_dp(self, flow: Array) -> Array:
        local = flow[..., self.link_of] * self.per_unit
        return self.laws.dp_pa(local, self.density, self.viscosity)

    def sum_links(self, element_dp: Array) -> Array:
        return np.add.reduceat(element_dp, self.first, axis=-1) if len(self.first) else element_dp

    def dp(self, flow: Array) -> Array:
        return self.sum_links(self.element_dp(flow))

    def dp_and_slope(self, flow: Array) -> tuple[Array, Array]:
        width = _STEP_FRAC * np.abs(flow) + _STEP_M3_S
        low, here, high = self.dp(np.stack([flow - width, flow, flow + width]))
        return here, np.maximum((high - low) / (2.0 * width), LEAST_SLOPE)


def _linear_start(state: _State, wheel: Array, unit: Array) -> Array:
    """Circuit flows of the network with every link replaced by its chord through +- the unit flow."""
    low, high = state.dp(np.stack([-unit, unit]))
    slope = np.maximum((high - low) / (2.0 * unit), LEAST_SLOPE)
    middle = 0.5 * (high + low)
    return -_solve(wheel, slope, middle @ wheel)


def _solve(wheel: Array, slope: Array, left: Array) -> Array:
    matrix = np.einsum("lc,vl,ld->vcd", wheel, slope, wheel)
    solved: Array = np.linalg.solve(matrix, left[..., None])[..., 0]
    return solved


def _newton(state: _State, wheel: Array, circuit: Array) -> tuple[Array, int]:
    if wheel.shape[1] == 0:
        return circuit, 0
    open_ = np.ones(len(circuit), dtype=bool)
    for step in range(MOST_STEPS):
        flow = circuit @ wheel.T
        dp, slope = state.dp_and_slope(flow)
        left = dp @ wheel
        change = np.where(open_[:, None], -_solve(wheel, slope, left), 0.0)
        most = np.max(np.abs(flow), axis=1)
        settled = np.max(np.abs(change @ wheel.T), axis=1) <= _SETTLED * most + LEAST_M3_S
        open_ &= ~(settled & np.all(np.abs(left) < CLOSE_PA, axis=1))
        if not np.any(open_):
            return circuit, step
        change = np.where(open_[:, None], change, 0.0)
        circuit = circuit + _line_search(state, wheel, circuit, change, left)[:, None] * change
    return circuit, MOST_STEPS


def _line_search(state: _State, wheel: Array, circuit: Array, change: Array, left: Array) -> Array:
    """
    How much of the Newton step to take, per variant: the slope of the content along it must shrink.

    The slope along the step is negative at 0 and rises; past its zero the step is too long. Bisection on that slope.
    """
    start = np.sum(left * change, axis=1)
    low, high = np.zeros(len(circuit)), np.ones(len(circuit))
    share = np.ones(len(circuit))
    for _ in range(_LINE_STEPS):
        tried = state.dp((circuit + share[:, None] * change) @ wheel.T) @ wheel
        slope = np.sum(tried * change, axis=1)
        bad = slope > 0.5 * np.abs(start)
        if not np.any(bad):
            break
        high = np.where(bad, share, high)
        low = np.where(bad, low, share)
        share = np.where(bad, 0.5 * (low + high), share)
    return share
