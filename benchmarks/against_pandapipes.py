"""
pandapipes on a case.

Answers   flow of every piece by pandapipes, with its default friction or with Colebrook's
Assumes   with the default friction, 64 / Re plus a constant, a part with the loss a Q^2 + b Q is a pipe that takes
          exactly that; a pump's polynomial of second degree is exactly H0 - B Q^2

What its components cannot say:
- a loss with a linear part beside tubes by Colebrook: one friction model holds for every pipe of a net, and Colebrook's
  has no laminar branch. There a part is a valve whose coefficient is set to (a Q^2 + b Q) / Q^2 at the flow last
  found, until it rests: some ten runs for one answer;
- a pump that resists: beyond its free flow and backwards it lets water pass without loss;
- many variants at once: each is a run of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandapipes
from pandapipes.properties.fluids import create_constant_fluid

from benchmarks.laws import like_tube, nikuradse
from benchmarks.networks import Case, Piece
from headrace.units import Array

_BAR, _HOUR_S = 1e5, 3600.0
_LUMP_M = 0.05  # bore of the pipe or valve that stands for a part
_MOST_RUNS, _AT_REST = 60, 1e-9
_CLOSE = {"tol_p": 1e-10, "tol_m": 1e-10, "tol_res": 1e-10, "max_iter_hyd": 100}
_COLEBROOK = {"friction_model": "colebrook", "tolerance_colebrook": 1e-12, "max_iter_colebrook": 100}


@dataclass
class Pandapipes:
    """A net with the default friction. Each piece has its own number in the table it belongs to."""

    case: Case
    net: Any
    name: str = "pandapipes"
    same: str | None = "pandapipes"
    own: bool = False

    @classmethod
    def of(cls, case: Case) -> Pandapipes:
        """Build the net."""
        net = _tubes_and_pumps(case)
        for at in case.of_kind("curve"):
            part = case.pieces[at]
            length, k = like_tube(part.a_pa_s2_m6, part.b_pa_s_m3, _LUMP_M, case.density_kg_m3, case.viscosity_pa_s)
            k -= float(nikuradse(case.roughness_m / _LUMP_M)) * length / _LUMP_M
            _add_pipe(net, case, at, length, _LUMP_M, k)
        return cls(case, net)

    def flow_m3_s(self, speed: float, length: Array) -> Array:
        """Flow of every piece with all pump speeds and each tube's length scaled."""
        _scale(self.case, self.net, speed, length)
        pandapipes.pipeflow(self.net, **_CLOSE)
        return _read(self.case, self.net)


@dataclass
class Colebrook:
    """A net with Colebrook's friction and its parts as valves."""

    case: Case
    net: Any
    name: str = "pandapipes, Colebrook"
    same: str | None = None
    own: bool = True

    @classmethod
    def of(cls, case: Case) -> Colebrook:
        """Build the net."""
        net = _tubes_and_pumps(case)
        for at in case.of_kind("curve"):
            pandapipes.create_valve(net, *_ends(case, at), "ju", _LUMP_M * 1e3, index=at)
        return cls(case, net)

    def flow_m3_s(self, speed: float, length: Array) -> Array:
        """Flow of every piece with all pump speeds and each tube's length scaled."""
        _scale(self.case, self.net, speed, length)
        parts, flow = self.case.of_kind("curve"), np.full(len(self.case.pieces), 5e-5)
        for _ in range(_MOST_RUNS):
            self.net.valve["loss_coefficient"] = [self._coefficient(at, abs(flow[at])) for at in parts]
            pandapipes.pipeflow(self.net, **_COLEBROOK, **_CLOSE)
            last, flow = flow, _read(self.case, self.net)
            if np.all(np.abs(flow - last) < _AT_REST * np.abs(flow)):
                return flow
        raise RuntimeError("the valves of a net do not come to rest")

    def _coefficient(self, at: int, flow_m3_s: float) -> float:
        """Of a valve that takes at this flow what the part takes."""
        part, case = self.case.pieces[at], self.case
        square = part.a_pa_s2_m6 + part.b_pa_s_m3 / flow_m3_s
        return like_tube(square, 0.0, _LUMP_M, case.density_kg_m3, case.viscosity_pa_s)[1]


def _tubes_and_pumps(case: Case) -> Any:  # noqa: ANN401 - pandapipes has no types
    fluid = {"density": case.density_kg_m3, "viscosity": case.viscosity_pa_s, "heat_capacity": 4180.0}
    net = pandapipes.create_empty_network(fluid=create_constant_fluid("coolant", "liquid", **fluid))
    for _ in case.nodes:
        pandapipes.create_junction(net, pn_bar=1.0, tfluid_k=303.15)
    pandapipes.create_ext_grid(net, 0, p_bar=1.0, t_k=303.15)
    for at in case.of_kind("tube"):
        tube = case.pieces[at]
        _add_pipe(net, case, at, tube.length_m, tube.bore_m, tube.k)
    for at in case.of_kind("pump"):
        pump = case.pieces[at]
        law = _polynomial(pump, pump.speed_frac)
        pandapipes.create_pump_from_parameters(net, *_ends(case, at), pump.name, poly_coefficents=law, index=at)
    return net


def _add_pipe(net: Any, case: Case, at: int, length_m: float, bore_m: float, k: float) -> None:  # noqa: ANN401
    sizes = {"length_km": length_m / 1e3, "inner_diameter_mm": bore_m * 1e3, "k_mm": case.roughness_m * 1e3}
    pandapipes.create_pipe_from_parameters(net, *_ends(case, at), **sizes, loss_coefficient=k, index=at)


def _ends(case: Case, at: int) -> tuple[int, int]:
    return case.nodes.index(case.pieces[at].start), case.nodes.index(case.pieces[at].end)


def _polynomial(pump: Piece, speed: float) -> list[float]:
    """Head in bar over flow in m3/h, highest power first."""
    return [-pump.fall_pa_s2_m6 / _BAR / _HOUR_S**2, 0.0, pump.shutoff_pa * speed**2 / _BAR]


def _scale(case: Case, net: Any, speed: float, length: Array) -> None:  # noqa: ANN401
    tubes = list(case.of_kind("tube"))
    net.pipe.loc[tubes, "length_km"] = length * np.array([case.pieces[at].length_m / 1e3 for at in tubes])
    for at in case.of_kind("pump"):
        pump = case.pieces[at]
        net.std_types["pump"][pump.name].reg_par = _polynomial(pump, pump.speed_frac * speed)


def _read(case: Case, net: Any) -> Array:  # noqa: ANN401
    flow = np.empty(len(case.pieces))
    for table in ("res_pipe", "res_valve", "res_pump"):
        if table in net:
            flow[net[table].index] = net[table]["vdot_m3_per_s"]
    return flow
