"""
The four reference networks: as plain numbers for every library, and solved by Headrace with a law of choice.

Answers   flow of every piece, for the network as it is and for variants of pump speed and tube length
Assumes   one coolant everywhere; static head cancels
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any, Protocol

import numpy as np

from benchmarks.laws import EpanetTube, RoughTube
from headrace.physics.friction import reynolds
from headrace.physics.pump import quadratic_pump
from headrace.solve.flow import FlowSolver
from headrace.solve.laws import Coefficient, Curve, Law, Pumping, Straight
from headrace.solve.network import Link, Network
from headrace.units import Array

FILE = Path(__file__).parents[1] / "tests" / "published" / "solve" / "networks.json"
L_MIN = 1.0 / 60000.0
ROWS_AT_ONCE = 1000  # of a batch: more makes BLAS use threads for tiny products, which cost more than they save


@dataclass(frozen=True)
class Piece:
    """A tube with fittings, a part with the loss a Q^2 + b Q, or a pump with the head H0 s^2 - B Q^2."""

    name: str
    start: str
    end: str
    kind: str
    length_m: float = 0.0
    bore_m: float = 0.0
    k: float = 0.0
    a_pa_s2_m6: float = 0.0
    b_pa_s_m3: float = 0.0
    shutoff_pa: float = 0.0
    fall_pa_s2_m6: float = 0.0
    speed_frac: float = 1.0


@dataclass(frozen=True)
class Case:
    """One network with its coolant. The node RES is open to the air."""

    name: str
    pieces: tuple[Piece, ...]
    density_kg_m3: float
    viscosity_pa_s: float
    roughness_m: float

    @cached_property
    def nodes(self) -> tuple[str, ...]:
        """Every node, RES first."""
        ends = (node for piece in self.pieces for node in (piece.start, piece.end))
        return tuple(dict.fromkeys(("RES", *ends)))

    def of_kind(self, kind: str) -> tuple[int, ...]:
        """Indices of the tubes, curves or pumps."""
        return tuple(i for i, piece in enumerate(self.pieces) if piece.kind == kind)

    def tube_re(self, flow_m3_s: Array) -> Array:
        """Reynolds number of every tube."""
        tubes = self.of_kind("tube")
        bore = np.array([self.pieces[i].bore_m for i in tubes])
        return np.asarray(reynolds(flow_m3_s[..., tubes], bore, self.density_kg_m3, self.viscosity_pa_s))


@dataclass(frozen=True)
class Variation:
    """Variants of a network: every pump's speed scaled, shape (n,), and every tube's length, shape (n, tubes)."""

    speed: Array
    length: Array

    def __len__(self) -> int:
        return len(self.speed)

    def take(self, rows: slice) -> Variation:
        """Some of the variants."""
        return Variation(self.speed[rows], self.length[rows])


class Rival(Protocol):
    """
    Another way to solve a case.

    `same` names the laws it holds, as a key of TUBES, or is None; `own` says whether its friction is meant to be that
    of smooth tubes, so that Headrace's own must come near it.
    """

    name: str
    same: str | None
    own: bool

    def flow_m3_s(self, speed: float, length: Array) -> Array:
        """Flow of every piece with all pump speeds and each tube's length scaled."""
        ...


TUBES: dict[str, Callable[[float, float, float], Law]] = {
    "own": Straight,
    "EPANET": EpanetTube,
    "pandapipes": RoughTube,
}


def load_cases(file: Path = FILE) -> tuple[Case, ...]:
    """The networks of networks.json."""
    data = json.loads(file.read_text(encoding="utf-8"))
    density, viscosity = data["fluid"]["rho_kg_m3"], data["fluid"]["mu_Pa_s"]
    pa_per_m = density * data["g_m_s2"]
    return tuple(
        Case(
            name,
            tuple(_piece(raw, pa_per_m) for raw in net["links"]),
            density,
            viscosity,
            data["tube_roughness_m"],
        )
        for name, net in data["networks"].items()
    )


def _piece(raw: dict[str, Any], pa_per_m: float) -> Piece:
    named = (raw["name"], raw["from_node"], raw["to_node"], raw["kind"])
    if raw["kind"] == "tube":
        return Piece(*named, length_m=raw["L_m"], bore_m=raw["D_m"], k=raw["K"])
    if raw["kind"] == "curve":
        return Piece(*named, a_pa_s2_m6=raw["a"] * 1e3 / L_MIN**2, b_pa_s_m3=raw["b"] * 1e3 / L_MIN)
    fall = raw["B_m_per_Lmin2"] * pa_per_m / L_MIN**2
    return Piece(*named, shutoff_pa=raw["H0_m"] * pa_per_m, fall_pa_s2_m6=fall, speed_frac=raw["speed"])


def vary(case: Case, count: int, seed: int = 1) -> Variation:
    """Random variants: pumps at 70 to 100 % of their speed, tubes at 80 to 125 % of their length."""
    rng = np.random.default_rng(seed)
    return Variation(rng.uniform(0.7, 1.0, count), rng.uniform(0.8, 1.25, (count, len(case.of_kind("tube")))))


@dataclass(frozen=True)
class Ours:
    """Headrace's flow solver on a case."""

    case: Case
    solver: FlowSolver
    pumps: tuple[int, ...]  # element of each pump
    tubes: tuple[int, ...]  # element of each tube's friction

    @classmethod
    def of(cls, case: Case, laws: str = "own") -> Ours:
        """Prepare a case with one of TUBES."""
        nodes = {node: i for i, node in enumerate(case.nodes)}
        links = tuple(Link(p.name, nodes[p.start], nodes[p.end], _laws(p, case, laws)) for p in case.pieces)
        first = np.cumsum([0, *(len(link.laws) for link in links)])
        pumps, tubes = (tuple(int(first[at]) for at in case.of_kind(kind)) for kind in ("pump", "tube"))
        return cls(case, FlowSolver.of(Network(len(nodes), links)), pumps, tubes)

    def coolant(self, count: int) -> tuple[Array, Array]:
        """Density and viscosity in every link."""
        shape = (count, len(self.case.pieces))
        return np.full(shape, self.case.density_kg_m3), np.full(shape, self.case.viscosity_pa_s)

    def flow_m3_s(self) -> Array:
        """Flow of every piece of the network as it is."""
        flow: Array = self.solver.solve_flow(*self.coolant(1)).flow_m3_s[0]
        return flow

    def varied_m3_s(self, variation: Variation) -> Array:
        """Flow of every piece, shape (variants, pieces)."""
        starts = range(0, len(variation), ROWS_AT_ONCE)
        return np.concatenate([self._chunk(variation.take(slice(i, i + ROWS_AT_ONCE))) for i in starts])

    def _chunk(self, variation: Variation) -> Array:
        return self.varied(variation).solve_flow(*self.coolant(len(variation))).flow_m3_s

    def varied(self, variation: Variation) -> FlowSolver:
        """The solver with the pumps and tubes of some variants."""
        losses = self.solver.losses
        factor = np.ones((len(variation), losses.laws.count))
        factor[:, self.tubes] = variation.length
        stated = (self.case.pieces[i].speed_frac for i in self.case.of_kind("pump"))
        speeds = {pump: speed * variation.speed for pump, speed in zip(self.pumps, stated, strict=True)}
        return replace(self.solver, losses=losses.with_settings(speeds).with_factor(factor))


def _laws(piece: Piece, case: Case, laws: str) -> tuple[Law, ...]:
    if piece.kind == "tube":
        friction = TUBES[laws](piece.length_m, piece.bore_m, case.roughness_m)
        return friction, Coefficient(piece.bore_m, 0.0, piece.k)
    if piece.kind == "curve":
        return (Curve(piece.a_pa_s2_m6, piece.b_pa_s_m3, case.density_kg_m3, case.viscosity_pa_s),)
    curve = quadratic_pump(piece.shutoff_pa, piece.fall_pa_s2_m6)
    return (Pumping(curve, piece.speed_frac, case.density_kg_m3),)


def worst_apart(ours: Array, theirs: Array) -> float:
    """The largest relative difference of any flow."""
    return float(np.max(np.abs(ours / theirs - 1.0), initial=0.0))
