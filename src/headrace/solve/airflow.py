"""
How much air goes each way: as stated, or where fans, cores, screens and the pressure in the case balance.

Answers   airflow, density and inlet temperature of every path, the pressure in the case, fresh air through openings
Assumes   a fan feels the pressure of the case by the share of its air that comes from there
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from headrace.fluids.air import Air
from headrace.loop.model import Stack
from headrace.solve.airnetwork import AirNetwork
from headrace.solve.airpaths import CASE, AirPath
from headrace.solve.airstate import AirState, Coupling
from headrace.solve.draws import Draws
from headrace.solve.losses import Losses
from headrace.solve.variants import Variants
from headrace.units import Array

LEAST_BACK_M3_S = 1e-6  # 4 litres an hour: less is no air that goes backwards, but what a stated airflow misses by


@dataclass(frozen=True)
class MovingAir:
    """Airflow, inlet temperature and density by path; flows of the network by link; the case and its fresh air."""

    flow_m3_s: Array
    inlet_k: Array
    density_kg_m3: Array
    link_flow: Array
    case_pa: Array
    fresh_kg_s: Array
    coupling: Coupling


@dataclass(frozen=True)
class AirFlow:
    """Finds the airflows; `path_of_core` says in which path each core stands."""

    air: Air
    paths: tuple[AirPath, ...]
    path_of_core: tuple[int, ...]
    network: AirNetwork | None

    def find(self, state: AirState, variants: Variants, draws: Draws) -> MovingAir:
        """The airflows at the temperatures last found."""
        inlet_k = self._inlets(state, variants)
        density = np.asarray(self.air.density_kg_m3(inlet_k))
        columns = [path.stated_m3_s(variants.speed_hz[:, i]) for i, path in enumerate(self.paths)]
        flow = np.stack(columns, axis=1) if columns else np.zeros((variants.count, 0))
        if variants.air_flow is not None:
            flow = flow * variants.air_flow
        if self.network is None:
            nothing = np.zeros(variants.count)
            return MovingAir(flow, inlet_k, density, state.link_flow, state.case_pa, nothing, state.coupling)
        given = MovingAir(flow, inlet_k, density, state.link_flow, state.case_pa, state.case_pa, state.coupling)
        return self._balanced(self.network, state, variants, draws, given)

    def _inlets(self, state: AirState, variants: Variants) -> Array:
        """Temperature of the air into each path: that of the core it meets first, else of the zone it comes from."""
        columns = []
        for index, path in enumerate(self.paths):
            mine = [core for core, own in enumerate(self.path_of_core) if own == index]
            if mine:
                ends = state.air_in_k[:, mine[0]], state.air_in_k[:, mine[-1]]
            else:
                zones = (state.case_k if zone == CASE else variants.room_k for zone in (path.source, path.sink))
                here, there = zones
                ends = here, there
            columns.append(np.where(state.flow_m3_s[:, index] < -LEAST_BACK_M3_S, ends[1], ends[0]))
        return np.stack(columns, axis=1) if columns else np.zeros((variants.count, 0))

    def _balanced(
        self, network: AirNetwork, state: AirState, variants: Variants, draws: Draws, given: MovingAir
    ) -> MovingAir:
        reference = np.asarray(self.air.density_kg_m3(variants.room_k))[:, None]
        link_k = self._link_inlets(network, state, variants, given.inlet_k)
        density, viscosity = np.asarray(self.air.density_kg_m3(link_k)), np.asarray(self.air.viscosity_pa_s(link_k))
        begin = None if np.any(np.isnan(state.link_flow)) else state.link_flow
        shared = given.coupling.shared_m3_s
        for _ in range(2 if network.shared is not None else 1):  # the second with what the first shared out
            losses = self._losses(network, variants, given, draws, shared)
            solver = replace(network.solver, losses=losses)
            found = solver.solve_flow(density, viscosity, per_unit=reference / density, start=begin)
            begin, flow = found.flow_m3_s, given.flow_m3_s.copy()
            for path, link in network.link_of.items():
                flow[:, path] = (found.flow_m3_s * reference / density)[:, link]
            if network.shared is not None:
                shared = draws.from_case(self.paths, flow * given.density_kg_m3 / reference)
        fresh = np.sum(np.maximum(found.flow_m3_s[:, list(network.openings)], 0.0), axis=1) * reference[:, 0]
        case_pa = network.solver.network.node_pressure_pa(found.dp_pa, [0])[:, CASE]
        coupling = given.coupling if network.shared is None else given.coupling.next(case_pa, shared)
        return MovingAir(flow, given.inlet_k, given.density_kg_m3, found.flow_m3_s, case_pa, fresh, coupling)

    def _link_inlets(self, network: AirNetwork, state: AirState, variants: Variants, inlet_k: Array) -> Array:
        """Temperature of the air in each link, where it comes in; case air where it goes out through an opening."""
        link_k = np.stack([variants.room_k] * len(network.solver.network.links), axis=1)
        for path, link in network.link_of.items():
            link_k[:, link] = inlet_k[:, path]
        for link in network.openings:
            link_k[:, link] = np.where(state.link_flow[:, link] < 0.0, state.case_k, variants.room_k)
        return link_k

    def _losses(self, network: AirNetwork, variants: Variants, given: MovingAir, draws: Draws, shared: Array) -> Losses:
        """The laws of the network at these speeds, stated airflows and shares of the air of the case."""
        settings, stated = {}, given.flow_m3_s
        case_pa = given.coupling.case_pa
        for path in network.link_of:
            owner = self.paths[path]
            first = network.elements(path)[0]
            if owner.stated:
                settings[first] = stated[:, path]
            elif owner.speed_hz:
                settings[first] = owner.speed_ratio() * variants.speed_hz[:, path] / owner.speed_hz
            if network.shared is not None and not owner.stated and isinstance(owner.owner, Stack):
                settings[network.elements(path)[-1]] = case_pa * draws.beyond_source(self.paths, path)
        if network.shared is not None:
            settings[network.link_elements(network.shared)[0]] = shared
        losses = network.solver.losses.with_settings(settings)
        return losses if variants.air_loss is None else losses.with_factor(variants.air_loss)
