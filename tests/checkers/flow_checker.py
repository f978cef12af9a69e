"""Independent check of the flow solver: another formulation, other code, other physics text.

Answers   the flows of a network from NODE pressures (the solver works on circuit flows), and how well any set of flows
          closes mass at every node and pressure around every circuit
Assumes   every branch takes more pressure the more flows through it, lossless branches excepted

Each branch is inverted alone: scipy's brentq finds the flow at which it takes the pressure between its two ends. The
node pressures at which all flows add up are found by scipy.optimize.root; if it stalls, by Newton steps shortened
with brentq on the slope of the convex co-content. Where a branch's loss is level, its pressure does not tell its flow:
then scipy.optimize.root takes flows and pressures together as unknowns. Circuits come from networkx.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import networkx as nx
import numpy as np
from checkers.flow_physics import LOSSES, Element, Loss
from scipy.optimize import brentq, root

UNIT_PA, UNIT_M3_S = 1e4, 1e-5
MASS_REL = 1e-10
_TINY_FLOW = 1e-16


@dataclass(frozen=True)
class Branch:
    """One way between two nodes; positive from start to end. `per_unit` is the local flow per unit counted."""

    id: str
    start: int
    end: int
    elements: tuple[Element, ...]
    density: float
    viscosity: float
    per_unit: float = 1.0
    closed: bool = False

    def loss(self) -> Loss:
        """Pressure it takes as a function of the flow counted."""
        parts = [LOSSES[e.kind](self.density, self.viscosity, **e.numbers) for e in self.elements]
        return lambda flow: sum(part(flow * self.per_unit) for part in parts)

    @property
    def has_pump(self) -> bool:
        return any(e.kind.startswith("pump") for e in self.elements)


@dataclass
class Checked:
    """Flows by branch, which method found them, and how well they close."""

    flow: np.ndarray
    method: str
    mass_rel: float
    pressure_pa: float


@dataclass
class _Way:
    """A branch that takes part in the node balance."""

    index: int
    start: int
    end: int
    loss: Loss
    flow: float = 1e-5
    slope: float = field(default=1.0)

    def invert(self, pressure):
        """Flow at which the branch takes `pressure`; widens a bracket around the last flow, then brentq."""

        def left(flow):
            return self.loss(flow) - pressure

        if left(0.0) == 0.0:
            low = high = 0.0
        else:
            sign = -1.0 if left(0.0) > 0.0 else 1.0
            near, far = 0.0, max(abs(self.flow) * 1.1, _TINY_FLOW)
            while left(sign * far) * sign < 0.0:
                near, far = far, 4.0 * far
            low, high = sorted((sign * near, sign * far))
        flow = brentq(left, low, high, xtol=1e-26, rtol=9e-16, maxiter=300) if low < high else 0.0
        width = 1e-5 * abs(flow) + 1e-12
        self.flow = flow
        self.slope = max((self.loss(flow + width) - self.loss(flow - width)) / (2.0 * width), 1.0)
        return flow


def circuits(branches: Sequence[Branch]) -> list[list[tuple[int, int]]]:
    """Independent circuits of the open branches, each a list of (branch, +-1)."""
    graph = nx.Graph()
    for i, b in enumerate(branches):
        if not b.closed:  # two nodes inside every branch: parallel ones and those back to their own start stay apart
            nx.add_path(graph, [("node", b.start), ("from", i), ("to", i), ("node", b.end)])
    found = []
    for ring in nx.cycle_basis(graph):
        pairs = zip(ring, [*ring[1:], ring[0]], strict=True)
        found.append(
            [(i, 1 if kind == "from" else -1) for (kind, i), (other, _) in pairs if {kind, other} == {"from", "to"}]
        )
    return found


def closure(branches: Sequence[Branch], flow) -> tuple[float, float]:
    """(mass left over at the worst node against the largest flow, pressure left over around the worst circuit)."""
    balance: dict[int, float] = {}
    for b, q in zip(branches, flow, strict=True):
        balance[b.start] = balance.get(b.start, 0.0) - q
        balance[b.end] = balance.get(b.end, 0.0) + q
    most = max((abs(q) for q in flow), default=0.0)
    mass = max(map(abs, balance.values()), default=0.0) / most if most > 0.0 else 0.0
    dp = [b.loss()(q) for b, q in zip(branches, flow, strict=True)]
    pressure = max((abs(sum(sign * dp[i] for i, sign in ring)) for ring in circuits(branches)), default=0.0)
    return mass, pressure


def live_branches(branches: Sequence[Branch]) -> set[int]:
    """Branches that lie in at least one circuit."""
    return {i for ring in circuits(branches) for i, _ in ring}


def driven_branches(branches: Sequence[Branch]) -> set[int]:
    """Branches a running pump can reach: those in one block (no cut node within) with a branch that has one."""
    graph = nx.Graph()
    for i, b in enumerate(branches):
        if not b.closed:
            nx.add_path(graph, [("node", b.start), ("from", i), ("to", i), ("node", b.end)])
    driven = set()
    for block in nx.biconnected_components(graph):
        inside = {i for kind, i in block if kind == "from" and ("to", i) in block}
        if len(block) > 2 and any(branches[i].loss()(0.0) != 0.0 for i in inside):
            driven |= inside
    return driven


def solve_nodes(branches: Sequence[Branch]) -> Checked:
    """The flows, from node pressures. Branches outside every circuit and lossless ones are set aside first."""
    flow = np.zeros(len(branches))
    live = sorted(driven_branches(branches))
    losses = {i: branches[i].loss() for i in live}
    lossless = [i for i in live if losses[i](1e-4) == 0.0 and losses[i](-1e-4) == 0.0]
    merged = nx.utils.UnionFind()
    for i in live:
        merged.union(branches[i].start) if i not in lossless else merged.union(branches[i].start, branches[i].end)
    ways = [_Way(i, merged[branches[i].start], merged[branches[i].end], losses[i]) for i in live if i not in lossless]
    method = _balance(ways) if ways else "nothing flows"
    for way in ways:
        flow[way.index] = way.flow
    _fill_lossless(branches, lossless, flow)
    return Checked(flow, method, *closure(branches, flow))


def _fill_lossless(branches, lossless, flow):
    """Lossless branches carry what the others leave over; that is one answer as long as they form no circuit."""
    if not lossless:
        return
    nodes = {n: k for k, n in enumerate({n for b in branches for n in (b.start, b.end)})}
    matrix, right = np.zeros((len(nodes), len(lossless))), np.zeros(len(nodes))
    for k, i in enumerate(lossless):
        matrix[nodes[branches[i].start], k] -= 1.0
        matrix[nodes[branches[i].end], k] += 1.0
    for b, q in zip(branches, flow, strict=True):
        right[nodes[b.start]] += q
        right[nodes[b.end]] -= q
    flow[lossless] = np.linalg.lstsq(matrix, right, rcond=None)[0]


class _Nodes:
    """Mass left over at every free node as a function of the pressures there."""

    def __init__(self, ways):
        self.ways = ways
        graph = nx.Graph((w.start, w.end) for w in ways)
        held = {min(piece) for piece in nx.connected_components(graph)}
        self.free = {n: k for k, n in enumerate(sorted(set(graph) - held))}
        self.jacobian = np.zeros((len(self.free), len(self.free)))

    def left(self, pressure):
        out, matrix = np.zeros(len(self.free)), np.zeros_like(self.jacobian)
        for way in self.ways:
            a, b = self.free.get(way.start), self.free.get(way.end)
            ends = [(k, sign) for k, sign in ((a, -1.0), (b, 1.0)) if k is not None]
            high = pressure[a] if a is not None else 0.0
            low = pressure[b] if b is not None else 0.0
            q = way.invert((high - low) * UNIT_PA) / UNIT_M3_S
            ease = UNIT_PA / UNIT_M3_S / way.slope
            for k, sign in ends:
                out[k] += sign * q
                for other, opposite in ends:
                    matrix[k, other] -= sign * opposite * ease
        self.jacobian = matrix
        return out

    def slopes(self, pressure):
        self.left(pressure)
        return self.jacobian

    def mass_rel(self, left):
        most = max((abs(w.flow) for w in self.ways), default=0.0) / UNIT_M3_S
        return float(np.max(np.abs(left), initial=0.0)) / most if most > 0.0 else 0.0


def _start(nodes):
    """Node pressures of the linear network in which every branch is its chord through rest and 2 L/min."""
    matrix, right = np.zeros_like(nodes.jacobian), np.zeros(len(nodes.free))
    for way in nodes.ways:
        chord = max((way.loss(3.3e-5) - way.loss(0.0)) / 3.3e-5, 1e2)
        ease, push = UNIT_PA / UNIT_M3_S / chord, -way.loss(0.0) / chord / UNIT_M3_S
        for node, sign in ((way.start, -1.0), (way.end, 1.0)):
            if node in nodes.free:
                right[nodes.free[node]] += sign * push
                for other, opposite in ((way.start, 1.0), (way.end, -1.0)):
                    if other in nodes.free:
                        matrix[nodes.free[node], nodes.free[other]] += sign * opposite * ease
    return np.linalg.solve(matrix, -right) if len(right) else right


def _balance(ways):
    """Find the node pressures; the flows stay in `ways`. Returns the name of the method that did it."""
    nodes = _Nodes(ways)
    pressure = _start(nodes)
    if not len(pressure):
        nodes.left(pressure)
        return "one branch"
    found = root(nodes.left, pressure, jac=nodes.slopes, method="hybr", options={"xtol": 1e-14, "maxfev": 60})
    pressure, method = _polish(nodes, found.x), "scipy root"
    if nodes.mass_rel(nodes.left(pressure)) > MASS_REL:
        pressure, method = _descend(nodes, pressure), "co-content"
    if nodes.mass_rel(nodes.left(pressure)) > MASS_REL:
        _solve_both(nodes, pressure)
        method = "flows and pressures"
    return method


def _polish(nodes, pressure, steps=6):
    """Plain Newton steps for as long as they help."""
    left = nodes.left(pressure)
    for _ in range(steps):
        change = np.linalg.lstsq(nodes.jacobian, -left, rcond=None)[0]
        tried = nodes.left(pressure + change)
        if not np.max(np.abs(tried)) < np.max(np.abs(left)):
            break
        pressure, left = pressure + change, tried
    return pressure


def _descend(nodes, pressure, steps=200):
    """Newton on the co-content, which is convex in the node pressures; each step ends where its slope is zero."""
    for _ in range(steps):
        left = nodes.left(pressure)
        if nodes.mass_rel(left) < MASS_REL:
            break
        change = np.linalg.lstsq(nodes.jacobian, -left, rcond=None)[0]

        def slope(share, base=pressure, along=change):
            return float(nodes.left(base + share * along) @ along)

        first = slope(0.0)
        far = 1.0
        while slope(far) * first > 0.0 and far < 1e3:
            far *= 2.0
        try:
            share = brentq(slope, 0.0, far, rtol=1e-3) if slope(far) * first < 0.0 else far
        except ValueError:
            break  # the sign at an end changed from one call to the next: only the noise of the inversion is left
        pressure = pressure + share * change
    return _polish(nodes, pressure)


def _solve_both(nodes, pressure):
    """Flows of the ways and pressures of the nodes as one system, from what the node balance left."""
    ways, count = nodes.ways, len(nodes.ways)
    matrix = np.zeros((count + len(pressure), count + len(pressure)))
    for i, way in enumerate(ways):
        for node, sign in ((way.start, 1.0), (way.end, -1.0)):
            if node in nodes.free:
                matrix[i, count + nodes.free[node]] += sign
                matrix[count + nodes.free[node], i] -= sign

    def left(unknown):
        out = matrix @ unknown
        out[:count] -= [way.loss(q * UNIT_M3_S) / UNIT_PA for way, q in zip(ways, unknown, strict=False)]
        return out

    def slopes(unknown):
        full = matrix.copy()
        for i, way in enumerate(ways):
            q = unknown[i] * UNIT_M3_S
            width = 1e-5 * abs(q) + 1e-12
            full[i, i] = (way.loss(q - width) - way.loss(q + width)) / (2.0 * width) * UNIT_M3_S / UNIT_PA
        return full

    unknown = np.append([way.flow / UNIT_M3_S for way in ways], pressure)
    unknown = root(left, unknown, jac=slopes, method="hybr", options={"xtol": 1e-14, "maxfev": 500}).x
    for _ in range(6):
        change = np.linalg.lstsq(slopes(unknown), -left(unknown), rcond=None)[0]
        if not np.max(np.abs(left(unknown + change))) < np.max(np.abs(left(unknown))):
            break
        unknown = unknown + change
    for way, q in zip(ways, unknown, strict=False):
        way.flow = q * UNIT_M3_S
