"""
EPANET 2.2 on a case: through wntr as most people call it, and its engine alone.

Answers   flow of every piece by EPANET's own friction
Assumes   a part with the loss a Q^2 + b Q is a wide pipe, laminar whatever flows, with a loss coefficient: EPANET then
          takes exactly that; three points at 0, q and 2 q make its pump exactly H0 - B Q^2
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import wntr
from wntr.epanet.toolkit import ENepanet

from benchmarks.laws import like_tube
from benchmarks.networks import L_MIN, Case, Piece
from headrace.units import Array

_FOOT_M = 0.3048
_GRAVITY = 32.2 * _FOOT_M  # its own, in both heads and losses
_BASE_M = 100.0  # keeps every head above zero
_WIDE_M = 1.0  # bore of a pipe that is laminar up to 75 L/min of water
_LENGTH, _SPEED, _FLOW = 1, 5, 8  # its codes of link values
_NEW_FLOWS = 10  # start from its own first flows, save nothing


def write_case(case: Case) -> str:
    """The case in EPANET's input format, in litres a minute, metres and millimetres."""
    per_m = case.density_kg_m3 * _GRAVITY
    junctions = [f"{node} 0 0" for node in case.nodes if node != "RES"]
    pipes = [_pipe(piece, case) for piece in case.pieces if piece.kind != "pump"]
    pumps = [f"{p.name} {p.start} {p.end} HEAD c-{p.name} SPEED {p.speed_frac!r}" for p in _pumps(case)]
    curves = [line for pump in _pumps(case) for line in _curve(pump, per_m)]
    viscosity = case.viscosity_pa_s / case.density_kg_m3 / (1.1e-5 * _FOOT_M**2)  # relative to 1.1e-5 ft2/s
    options = ["UNITS LPM", "HEADLOSS D-W", f"VISCOSITY {viscosity!r}", "ACCURACY 0.00001", "TRIALS 500"]
    options += ["FLOWCHANGE 0.0000001", "HEADERROR 0.0000001", "QUALITY NONE"]
    sections = {
        "JUNCTIONS": junctions,
        "RESERVOIRS": [f"RES {_BASE_M}"],
        "PIPES": pipes,
        "PUMPS": pumps,
        "CURVES": curves,
        "OPTIONS": options,
        "TIMES": ["DURATION 0"],
        "REPORT": ["STATUS NO", "SUMMARY NO", "MESSAGES NO"],
        "END": [],
    }
    return "\n".join(line for name, lines in sections.items() for line in (f"[{name}]", *lines, ""))


def _written(case: Case, folder: TemporaryDirectory[str]) -> str:
    file = Path(folder.name) / "net.inp"
    file.write_text(write_case(case), encoding="utf-8")
    return str(file)


def _pumps(case: Case) -> tuple[Piece, ...]:
    return tuple(case.pieces[i] for i in case.of_kind("pump"))


def _pipe(piece: Piece, case: Case) -> str:
    length, bore, k = piece.length_m, piece.bore_m, piece.k
    if piece.kind == "curve":
        bore = _WIDE_M
        length, k = like_tube(piece.a_pa_s2_m6, piece.b_pa_s_m3, bore, case.density_kg_m3, case.viscosity_pa_s)
    sizes = f"{length!r} {bore * 1e3!r} {case.roughness_m * 1e3!r} {k!r}"
    return f"{piece.name} {piece.start} {piece.end} {sizes} OPEN"


def _curve(pump: Piece, per_m: float) -> list[str]:
    middle = 0.5 * sqrt(pump.shutoff_pa / pump.fall_pa_s2_m6)
    heads = ((q, pump.shutoff_pa - pump.fall_pa_s2_m6 * q * q) for q in (0.0, 0.8 * middle, 1.6 * middle))
    return [f"c-{pump.name} {q / L_MIN!r} {head / per_m!r}" for q, head in heads]


@dataclass
class Engine:
    """EPANET's engine kept open, called through its toolkit: the least work that gives the flows."""

    case: Case
    engine: Any
    links: list[int]
    folder: TemporaryDirectory[str]
    name: str = "EPANET engine"
    same: str | None = "EPANET"
    own: bool = True

    @classmethod
    def of(cls, case: Case) -> Engine:
        """Open the case."""
        folder = TemporaryDirectory()
        engine = ENepanet(version=2.2)
        engine.ENopen(_written(case, folder), f"{folder.name}/net.rpt", f"{folder.name}/net.bin")
        engine.ENopenH()
        return cls(case, engine, [engine.ENgetlinkindex(piece.name) for piece in case.pieces], folder)

    def flow_m3_s(self, speed: float, length: Array) -> Array:
        """Flow of every piece with all pump speeds and each tube's length scaled."""
        for at, factor in zip(self.case.of_kind("tube"), length, strict=True):
            self.engine.ENsetlinkvalue(self.links[at], _LENGTH, self.case.pieces[at].length_m * factor)
        for at in self.case.of_kind("pump"):
            self.engine.ENsetlinkvalue(self.links[at], _SPEED, self.case.pieces[at].speed_frac * speed)
        self.engine.ENinitH(_NEW_FLOWS)
        self.engine.ENrunH()
        return np.array([self.engine.ENgetlinkvalue(link, _FLOW) for link in self.links]) * L_MIN


@dataclass
class Wntr:
    """wntr's model of the case and its EPANET simulator, a file written and read for each run."""

    case: Case
    model: Any
    folder: TemporaryDirectory[str]
    name: str = "wntr, EPANET"
    same: str | None = "EPANET"
    own: bool = True

    @classmethod
    def of(cls, case: Case) -> Wntr:
        """Read the case."""
        folder = TemporaryDirectory()
        return cls(case, wntr.network.WaterNetworkModel(_written(case, folder)), folder)

    def flow_m3_s(self, speed: float, length: Array) -> Array:
        """Flow of every piece with all pump speeds and each tube's length scaled."""
        for at, factor in zip(self.case.of_kind("tube"), length, strict=True):
            piece = self.case.pieces[at]
            self.model.get_link(piece.name).length = piece.length_m * factor
        for at in self.case.of_kind("pump"):
            piece = self.case.pieces[at]
            self.model.get_link(piece.name).base_speed = piece.speed_frac * speed
        results = wntr.sim.EpanetSimulator(self.model).run_sim(file_prefix=f"{self.folder.name}/run", version=2.2)
        return np.asarray(results.link["flowrate"].iloc[0][[p.name for p in self.case.pieces]], dtype=np.float64)
