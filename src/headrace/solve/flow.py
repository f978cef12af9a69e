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

from headrace.solve.branches import Branches
from headrace.solve.losses import LEAST_SLOPE, Coolants, Losses, Ready
from headrace.solve.network import Network
from headrace.solve.small import solve_small
from headrace.units import Array, Indices

CLOSE_PA = 1e-5  # left over in the worst circuit; the promise is 0.01 Pa
MOST_STEPS = 120
START_M3_S = 5e-5  # 3 L/min, the flow of an ordinary loop
LEAST_M3_S = 1e-13  # a nanolitre in ten seconds: nothing
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
    """A network made ready: its branches found, its laws bundled. Each link has a point where its coolant is known."""

    network: Network
    branches: Branches
    losses: Losses
    link_of: Indices  # link of each element
    point_of_link: Indices

    @classmethod
    def of(
        cls,
        network: Network,
        branches: Branches | None = None,
        point_of_link: Indices | None = None,
        points: int | None = None,
    ) -> FlowSolver:
        """Prepare `network`; every link has at least one law. Without points every link is its own."""
        branches = Branches.of(network) if branches is None else branches
        own = np.arange(len(network.links)) if point_of_link is None else point_of_link
        count = len(network.links) if points is None else points
        link_of = np.repeat(np.arange(len(network.links)), [len(link.laws) for link in network.links])
        return cls(network, branches, Losses.of(branches, own, count), link_of, own)

    def solve_flow(
        self, density_kg_m3: Array, viscosity_pa_s: Array, *, per_unit: Array | None = None, start: Array | None = None
    ) -> FlowBalance:
        """
        Balance all variants. Density and viscosity are by point, shape (variants, points).

        `per_unit` is the local volume flow per unit of circuit flow (reference density over local density), so that
        mass and not volume is kept. `start` are link flows to begin with.
        """
        per_unit = np.ones_like(density_kg_m3) if per_unit is None else per_unit
        coolants = Coolants(density_kg_m3, viscosity_pa_s, per_unit)
        begin = None if start is None else self.branches.from_links(start)
        flow, steps = self.balance(self.losses.ready(coolants), len(density_kg_m3), begin)
        return self.finish(self.losses, coolants, flow, steps)

    def balance(
        self, ready: Ready, variants: int, start: Array | None = None, *, settled: float = _SETTLED
    ) -> tuple[Array, int]:
        """
        Flows by branch at which all circuits close, and how many steps they took.

        `settled` is the share of the largest flow below which a step no longer counts; a rough balance takes a larger.
        """
        wheel = self.branches.wheel
        circuit = _linear_start(ready, wheel, variants) if start is None else start @ self.branches.unwheel.T
        circuit, steps = _newton(ready, wheel, circuit, settled)
        flow: Array = circuit @ wheel.T
        return flow, steps

    def finish(self, losses: Losses, coolants: Coolants, flow: Array, steps: int) -> FlowBalance:
        """Everything about a balance by link and element."""
        by_link = self.branches.to_links(flow)
        where = self.point_of_link[self.link_of]
        density, viscosity = coolants.density_kg_m3[:, where], coolants.viscosity_pa_s[:, where]
        local = by_link[:, self.link_of] * coolants.per_unit[:, where]
        element_dp = losses.laws.dp_pa(local, density, viscosity) * losses.factor
        first = np.searchsorted(self.link_of, np.arange(len(self.network.links)))
        dp = np.add.reduceat(element_dp, first, axis=-1) if len(first) else element_dp
        left = np.abs(dp @ self.network.circuits)
        worst = np.argmax(left, axis=1) if left.shape[1] else np.zeros(len(left), np.intp)
        most = left.max(axis=1) if left.shape[1] else np.zeros(len(left))
        return FlowBalance(by_link, dp, element_dp, most, worst, steps)


def newton_change(wheel: Array, slope: Array, dp: Array) -> Array:
    """Newton's change of the branch flows, shape (variants, branches)."""
    change: Array = -_solve(wheel, slope, dp @ wheel) @ wheel.T
    return change


def _linear_start(ready: Ready, wheel: Array, variants: int) -> Array:
    """Circuit flows of the network with every branch replaced by its chord through +- an ordinary flow."""
    unit = START_M3_S * np.ones((variants, len(wheel)))
    low, high = ready.dp_pa(np.stack([-unit, unit]))
    slope = np.maximum((high - low) / (2.0 * unit), LEAST_SLOPE)
    middle = 0.5 * (high + low)
    return -_solve(wheel, slope, middle @ wheel)


def _solve(wheel: Array, slope: Array, left: Array) -> Array:
    if wheel.shape[1] == 0:
        return left
    matrix = np.einsum("lc,vl,ld->vcd", wheel, slope, wheel)
    return solve_small(matrix, left[..., None])[..., 0]


def _newton(ready: Ready, wheel: Array, circuit: Array, settled: float) -> tuple[Array, int]:
    if wheel.shape[1] == 0:
        return circuit, 0
    rough = settled > _SETTLED
    open_ = np.ones(len(circuit), dtype=bool)
    dp = ready.dp_pa(circuit @ wheel.T)
    for step in range(MOST_STEPS):
        flow = circuit @ wheel.T
        slope = ready.slope(flow, dp)
        left = dp @ wheel
        change = np.where(open_[:, None], -_solve(wheel, slope, left), 0.0)
        most = np.max(np.abs(flow), axis=1)
        still = np.max(np.abs(change @ wheel.T), axis=1) <= settled * most + LEAST_M3_S
        open_ &= ~(still & (rough | np.all(np.abs(left) < CLOSE_PA, axis=1)))
        if not np.any(open_):
            return circuit + change if rough else circuit, step
        change = np.where(open_[:, None], change, 0.0)
        share, dp = _line_search(ready, wheel, circuit, change, left)
        circuit = circuit + share[:, None] * change
    return circuit, MOST_STEPS


def _line_search(ready: Ready, wheel: Array, circuit: Array, change: Array, left: Array) -> tuple[Array, Array]:
    """
    How much of the Newton step to take, per variant, and the pressures there: the content's slope along it must shrink.

    The slope along the step is negative at 0 and rises; past its zero the step is too long. Bisection on that slope.
    """
    start = np.sum(left * change, axis=1)
    low, high = np.zeros(len(circuit)), np.ones(len(circuit))
    share = np.ones(len(circuit))
    for _ in range(_LINE_STEPS):
        dp = ready.dp_pa((circuit + share[:, None] * change) @ wheel.T)
        slope = np.sum((dp @ wheel) * change, axis=1)
        bad = slope > 0.5 * np.abs(start)
        if not np.any(bad):
            break
        high = np.where(bad, share, high)
        low = np.where(bad, low, share)
        share = np.where(bad, 0.5 * (low + high), share)
    return share, dp
