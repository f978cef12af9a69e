"""Networks for the tests of the flow solver: random ones, files, and their translation to headrace.

Answers   one description (the checker's Branch) for both sides of a comparison
Assumes   lossless branches never form a circuit of their own: there any flow would be right
"""

import json
import math
from dataclasses import replace
from pathlib import Path
from random import Random

import networkx as nx
import numpy as np
from checkers.flow_checker import Branch
from checkers.flow_physics import Element

from headrace.physics.pump import fit_pump, quadratic_pump
from headrace.solve.flow import FlowSolver
from headrace.solve.laws import Coefficient, Curve, Curved, Pumping, Step, Straight, Valve
from headrace.solve.network import Link, Network

L_MIN = 1.0 / 60000.0
WATER = (995.65, 7.972e-4)
CLASS_L = ((0, 38.0), (4, 37.0), (8, 33.5), (12, 28.0), (16, 20.0), (20, 9.5), (22.5, 0.0))
CLASS_C = ((0, 52.0), (3, 49.0), (6, 44.0), (9, 36.5), (12, 27.0), (15, 14.0), (17.5, 0.0))


# ---------------------------------------------------------------- to headrace


def _pump_law(n):
    return Pumping(quadratic_pump(n["shutoff_pa"], n["fall"]), n["speed"], n["test_density"])


def _pump_points(n):
    return Pumping(fit_pump(n["flows"], n["heads"]), n["speed"], n["test_density"])


LAWS = {
    "tube": lambda n: Straight(n["length_m"], n["bore_m"], n["roughness_m"]),
    "bend": lambda n: Curved(n["bore_m"], n["bend_rad"], n["radius_m"], n["roughness_m"]),
    "fitting": lambda n: Coefficient(n["bore_m"], n["k_laminar"], n["k_turbulent"]),
    "step": lambda n: Step(n["bore_from_m"], n["bore_to_m"]),
    "curve": lambda n: Curve(n["a"], n["b"], n["test_density"], n["test_viscosity"]),
    "valve": lambda n: Valve(n["kv"]),
    "pump_law": _pump_law,
    "pump_points": _pump_points,
}


def network_of(branches):
    """The same network as headrace writes it."""
    nodes = 1 + max(max(b.start, b.end) for b in branches)
    links = [Link(b.id, b.start, b.end, tuple(LAWS[e.kind](e.numbers) for e in b.elements), b.closed) for b in branches]
    return Network(nodes, tuple(links))


def solve(*variants, **options):
    """headrace's balance; several variants share graph and laws and differ in their coolant."""
    solver = FlowSolver.of(network_of(variants[0]))
    rows = [
        np.array([[getattr(b, name) for b in v] for v in variants]) for name in ("density", "viscosity", "per_unit")
    ]
    return solver.solve_flow(rows[0], rows[1], per_unit=rows[2], **options)


# ---------------------------------------------------------------- the four reference networks


def load_networks(path: Path):
    """(branches, node names, raw links) of each network of a file like published/solve/networks.json."""
    data = json.loads(path.read_text(encoding="utf-8"))
    density, viscosity = data["fluid"]["rho_kg_m3"], data["fluid"]["mu_Pa_s"]
    head_pa, rough = density * data["g_m_s2"], data["tube_roughness_m"]
    loaded = {}
    for name, net in data["networks"].items():
        nodes = {"RES": 0}
        branches = []
        for raw in net["links"]:
            ends = [nodes.setdefault(raw[key], len(nodes)) for key in ("from_node", "to_node")]
            branches.append(
                Branch(raw["name"], *ends, _elements(raw, density, viscosity, head_pa, rough), density, viscosity)
            )
        loaded[name] = (branches, list(nodes), net["links"])
    return data, loaded


def _elements(raw, density, viscosity, head_pa, rough):
    if raw["kind"] == "tube":
        tube = {"length_m": raw["L_m"], "bore_m": raw["D_m"], "roughness_m": rough}
        extra = {"bore_m": raw["D_m"], "k_laminar": 0.0, "k_turbulent": raw["K"]}
        return (Element("tube", tube), Element("fitting", extra))
    if raw["kind"] == "curve":
        return (loss_curve(raw["a"], raw["b"], density, viscosity),)
    return (law_pump(raw["H0_m"] * head_pa, raw["B_m_per_Lmin2"] * head_pa / L_MIN**2, raw["speed"], density),)


def loss_curve(a_kpa, b_kpa, density=WATER[0], viscosity=WATER[1]):
    """dp = a Q^2 + b Q with kPa and L/min."""
    fluid = {"test_density": density, "test_viscosity": viscosity}
    return Element("curve", {"a": a_kpa * 1e3 / L_MIN**2, "b": b_kpa * 1e3 / L_MIN, **fluid})


def law_pump(shutoff_pa, fall, speed=1.0, density=WATER[0]):
    """A pump from its law H0 s^2 - B Q^2."""
    return Element("pump_law", {"shutoff_pa": shutoff_pa, "fall": fall, "speed": speed, "test_density": density})


def points_pump(points, speed=1.0, density=WATER[0]):
    """A pump from points in L/min and kPa."""
    flows, heads = [q * L_MIN for q, _ in points], [h * 1e3 for _, h in points]
    return Element("pump_points", {"flows": flows, "heads": heads, "speed": speed, "test_density": density})


# ---------------------------------------------------------------- random networks


class Drawn(list):
    """The branches of a random network; prints as the call that draws it again."""

    def __init__(self, branches, call):
        super().__init__(branches)
        self.call = call

    def __repr__(self):
        return self.call


def random_network(seed, most=40, pumps=4):
    """A connected network of 3..`most` branches: a ring grown by splits, parallels, bridges, dead ends and rings."""
    rng = Random(seed)
    ends = [(0, 1), (1, 0)]
    count = rng.randint(3, most)
    while len(ends) < count:
        _grow(rng, ends)
    ends = [(b, a) if rng.random() < 0.3 else (a, b) for a, b in ends]
    with_pump = set(rng.sample(range(len(ends)), min(rng.randint(1, pumps), len(ends))))
    density, viscosity = rng.uniform(980.0, 1080.0), math.exp(rng.uniform(math.log(4e-4), math.log(6e-3)))
    same_everywhere = rng.random() < 0.5
    lossless, branches = nx.utils.UnionFind(), []
    for i, (a, b) in enumerate(ends):
        elements = [random_loss(rng) for _ in range(rng.randint(1, 3))]
        if i in with_pump:
            elements.insert(rng.randint(0, len(elements)), random_pump(rng))
        elif rng.random() < 0.06 and lossless[a] != lossless[b]:
            elements = [Element("fitting", {"bore_m": 0.01, "k_laminar": 0.0, "k_turbulent": 0.0})]
            lossless.union(a, b)
        warm = 1.0 if same_everywhere else rng.uniform(0.97, 1.03)
        closed = rng.random() < (0.02 if i in with_pump else 0.08)
        fluid = (density * warm, viscosity * warm**-8, 1.0 / warm)
        branches.append(Branch(f"l{i}", a, b, tuple(elements), *fluid, closed))
    return Drawn(branches, f"random_network({seed}, {most}, {pumps})")


def _grow(rng, ends):
    node = 1 + max(map(max, ends))
    a, b = ends[rng.randrange(len(ends))]
    way = rng.choice(("split", "split", "split", "parallel", "bridge", "bridge", "dead end", "ring"))
    if way == "split":
        ends[ends.index((a, b))] = (a, node)
        ends.append((node, b))
    elif way == "parallel":
        ends.append((a, b))
    elif way == "bridge":
        other = rng.randrange(node)
        ends.append((a, other) if other != a else (a, node))
    elif way == "dead end":
        ends.append((a, node))
    else:
        ends += [(a, node), (node, node + 1), (node + 1, a)]


def _between(rng, low, high):
    """Evenly in the logarithm, so that the small sizes get their share."""
    return math.exp(rng.uniform(math.log(low), math.log(high)))


def random_loss(rng):
    """One passive element, from free tube to memory block, some of it rather extreme."""
    kind = rng.choice(("tube", "tube", "tube", "bend", "fitting", "step", "curve", "curve", "valve"))
    bore, rough = _between(rng, 0.002, 0.025), rng.choice((0.0, 1.5e-6, 7e-6, 5e-5))
    if kind == "tube":
        return Element(kind, {"length_m": _between(rng, 0.005, 3.0), "bore_m": bore, "roughness_m": rough})
    if kind == "bend":
        radius, angle = bore * rng.uniform(1.0, 10.0), rng.uniform(0.1, math.pi)
        return Element(kind, {"bore_m": bore, "bend_rad": angle, "radius_m": radius, "roughness_m": rough})
    if kind == "fitting":
        k = {"k_laminar": rng.choice((0.0, 500.0, 1000.0)), "k_turbulent": _between(rng, 0.01, 40.0)}
        return Element(kind, {"bore_m": bore, **k})
    if kind == "step":
        pair = [bore, min(bore * _between(rng, 1.05, 4.0), 0.026)]
        rng.shuffle(pair)
        return Element(kind, {"bore_from_m": pair[0], "bore_to_m": pair[1]})
    if kind == "curve":
        a, b = _between(rng, 0.001, 3.0), _between(rng, 0.001, 3.0)
        which = rng.choice(("both", "both", "square", "line"))
        return loss_curve(0.0 if which == "line" else a, 0.0 if which == "square" else b)
    return Element(kind, {"kv": _between(rng, 0.2, 5.0)})


def random_pump(rng):
    """A pump of either form; one in eight stands still, one in four runs at full speed."""
    speed, tested = rng.choice((0.0, 1.0, 1.0, *(rng.uniform(0.02, 1.0) for _ in range(5)))), rng.uniform(990.0, 1000.0)
    strong, wide = _between(rng, 0.2, 2.5), _between(rng, 0.3, 2.0)
    form = rng.choice(("law", "points", "points", "cut short", "level"))
    if form == "law":
        shutoff, free = 40e3 * strong, 18.0 * wide * L_MIN
        return law_pump(shutoff, shutoff / free**2, speed, tested)
    points = [(q * wide, h * strong) for q, h in rng.choice((CLASS_L, CLASS_C))]
    if form == "cut short":
        points = points[: rng.randint(2, 6)]
    if form == "level":
        points[1] = (points[1][0], points[0][1])
    return points_pump(points, speed, tested)


def mirrored(branch):
    """The same passage written the other way round: ends, order and steps change, pumps are not for this."""
    swapped = {"bore_from_m": "bore_to_m", "bore_to_m": "bore_from_m"}
    elements = tuple(
        Element(e.kind, {swapped.get(k, k): v for k, v in e.numbers.items()}) for e in reversed(branch.elements)
    )
    return replace(branch, start=branch.end, end=branch.start, elements=elements)


def agree(branches, one, other, flow_rel=1e-6, dp_pa=0.01):
    """Worst of the branches' deviations against what is allowed; 1 or less is agreement.

    Where a branch is so free that its flow cannot be told within the promised pressure, its pressure counts instead.
    """
    most = max(np.max(np.abs(other)), 1e-12)
    worst = 0.0
    for b, p, q in zip(branches, one, other, strict=True):
        in_flow = abs(p - q) / (flow_rel * most)
        in_dp = abs(b.loss()(p) - b.loss()(q)) / dp_pa if in_flow > 1.0 else 0.0
        worst = max(worst, min(in_flow, in_dp) if in_flow > 1.0 else in_flow)
    return worst
