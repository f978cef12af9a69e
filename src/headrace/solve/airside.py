"""
The air of a loop: how much goes through every stack and vent, how warm it comes in, how strong the radiators are.

Answers   airflow, inlet temperature and strength of every radiator at the coolant as it is
Assumes   air has the density of where it comes in; what fans spend in the air warms the case, not a core
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from headrace.errors import Unknown
from headrace.fluids.air import Air, pressure_pa
from headrace.fluids.coolant import Coolant
from headrace.loop.model import Loop, Stack, State
from headrace.parts.radiator import Radiator
from headrace.physics.heat import capacity_w_k
from headrace.solve.airfaults import radiators_without_stack, unknown_air
from headrace.solve.airflow import LEAST_BACK_M3_S, AirFlow, MovingAir
from headrace.solve.airnetwork import AirNetwork, case_in_play
from headrace.solve.airpaths import CASE, AirPath, find_paths
from headrace.solve.airstate import AirState
from headrace.solve.assemble import Assembly
from headrace.solve.cores import CoreAir, Fluid, Streams
from headrace.solve.draws import find_draws
from headrace.solve.heat import HeatBalance
from headrace.solve.losses import Coolants
from headrace.solve.mixing import CaseAir, mix_air
from headrace.solve.stations import Stations
from headrace.solve.variants import Variants
from headrace.units import Array, Indices

FAN_VOLT = 12.0  # what fans run on at full speed
_SETTLED_FRAC = 1e-9
_LEAST_AIR_M3_S = 1e-9


@dataclass(frozen=True)
class AirModel:
    """The ways of the air and the radiators in them, for one state."""

    loop: Loop
    coolant: Coolant
    air: Air
    stations: Stations
    paths: tuple[AirPath, ...]
    cores: tuple[CoreAir, ...]
    network: AirNetwork | None
    case_heat_w: float | None  # None when the case plays no part

    @classmethod
    def of(cls, loop: Loop, state: State, assembly: Assembly, stations: Stations, air: Air) -> AirModel:
        """Read stacks and vents. Raises Unknown with every value that is missing."""
        paths = find_paths(loop, state)
        place_of = {assembly.passages[link].owner: i for i, link in enumerate(stations.places)}
        thin = float(pressure_pa(float(state.altitude_m)) / pressure_pa(0.0))
        cores = tuple(
            CoreAir.of(part, card, index, place_of.get(part, -1), path.live_frac, thin)
            for index, path in enumerate(paths)
            if isinstance(path.owner, Stack)
            for part, card in zip(path.owner.radiators, path.cores, strict=True)
        )
        faults = [*unknown_air(loop, state, paths, cores), *radiators_without_stack(loop)]
        if faults:
            raise Unknown(*faults)
        case = case_in_play(loop)
        lost = sum(passage.lost_w for passage in assembly.passages) if case else 0.0
        fans = sum(_fan_w(path) for path in paths if path.sink == CASE)
        heat = float(state.case_heat_w or 0.0) + lost + fans if case else None
        return cls(loop, loop.coolant.fluid(), air, stations, paths, cores, AirNetwork.of(loop, paths), heat)

    @cached_property
    def air_flow(self) -> AirFlow:
        """What finds the airflows."""
        return AirFlow(self.air, self.paths, tuple(core.path for core in self.cores), self.network)

    @cached_property
    def place(self) -> Indices:
        """Place of heat of every radiator that has water."""
        return np.array([core.place for core in self.cores if core.place >= 0], dtype=np.intp)

    @cached_property
    def live(self) -> Indices:
        """Index of every core that has water."""
        return np.array([i for i, core in enumerate(self.cores) if core.place >= 0], dtype=np.intp)

    def card(self, core: int) -> Radiator:
        """The card of a radiator."""
        path = self.paths[self.cores[core].path]
        first = next(i for i, other in enumerate(self.cores) if other.path == self.cores[core].path)
        return path.cores[core - first]

    def speeds_hz(self) -> Array:
        """Speed of the fans of every path; nan where it is not known."""
        return np.array([np.nan if path.speed_hz is None else path.speed_hz for path in self.paths])

    def start(self, variants: Variants) -> AirState:
        """Air before anything is known of it: all as warm as the room."""
        count = variants.count
        paths, cores, live = len(self.paths), len(self.cores), len(self.place)
        links = len(self.network.solver.network.links) if self.network else 0
        room = np.repeat(variants.room_k[:, None], cores + 1, axis=1)
        return AirState(
            place=self.place,
            live=self.live,
            flow_m3_s=np.zeros((count, paths)),
            capacity_w_k=np.zeros((count, paths)),
            strength_w_k=np.zeros((count, live)),
            base_k=room,
            per_watt_k_w=np.zeros((count, cores + 1, live)),
            temp_k=room.copy(),
            case_pa=np.zeros(count),
            link_flow=np.full((count, links), np.nan),
            given_pa=np.zeros(count),
            miss_pa=np.zeros(count),
            relax_frac=np.ones(count),
            shared_m3_s=np.zeros(count),
            settled=np.zeros(count, dtype=bool),
        )

    def step(
        self,
        state: AirState,
        variants: Variants,
        mass_flow_kg_s: Array,
        station_k: Array,
        coolants: Coolants,
        heat: HeatBalance,
    ) -> AirState:
        """Airflow, inlets and strengths anew, at the coolant and air as they were last found."""
        draws = find_draws(self.paths, state.capacity_w_k, variants.air_share, has_case=self.case_heat_w is not None)
        moving = self.air_flow.find(state, variants, draws)
        flow, inlet_k = moving.flow_m3_s, moving.inlet_k
        capacity = np.asarray(capacity_w_k(flow, moving.density_kg_m3, self.air.heat_capacity_j_kg_k(inlet_k)))
        draws = find_draws(self.paths, capacity, variants.air_share, has_case=self.case_heat_w is not None)
        case = self._case(variants, moving)
        back = flow < -LEAST_BACK_M3_S
        temps = mix_air(self.paths, self.cores, capacity, back, variants.room_k, case, draws)
        strength = self._strengths(variants, mass_flow_kg_s, station_k, coolants, state, moving, capacity)
        moved = np.abs(flow - state.flow_m3_s) <= _SETTLED_FRAC * np.abs(flow) + _LEAST_AIR_M3_S * 1e-3
        found = AirState(
            self.place,
            self.live,
            flow,
            capacity,
            strength,
            temps.base_k,
            temps.per_watt_k_w[:, :, self.live],
            state.temp_k,
            moving.case_pa,
            moving.link_flow,
            moving.coupling.case_pa,
            moving.coupling.miss_pa,
            moving.coupling.relax_frac,
            moving.coupling.shared_m3_s,
            np.all(moved, axis=1) & moving.coupling.settled,
        )
        return found.warmed(heat.heat_w)

    def _case(self, variants: Variants, moving: MovingAir) -> CaseAir | None:
        """What warms and cools the case besides the stacks."""
        if self.case_heat_w is None:
            return None
        heat = np.full(variants.count, self.case_heat_w) if variants.case_heat_w is None else variants.case_heat_w
        cp = float(self.air.heat_capacity_j_kg_k(float(variants.room_k[0])))
        return CaseAir(heat, float(self.loop.thresholds("assumed_case_wall")), moving.fresh_kg_s * cp)

    def _strengths(
        self,
        variants: Variants,
        mass: Array,
        station_k: Array,
        coolants: Coolants,
        state: AirState,
        moving: MovingAir,
        capacity: Array,
    ) -> Array:
        stretches, columns = len(self.stations.stretch_branch), []
        point_k = self.stations.at_points(station_k)
        for index in self.live:
            core = self.cores[index]
            point = stretches + core.place
            temp_k, density = point_k[:, point], coolants.density_kg_m3[:, point]
            cp = np.asarray(self.coolant.heat_capacity_j_kg_k(temp_k))
            through = np.abs(mass[:, self.stations.place_branch[core.place]])
            air = water = None
            thinned: Array | float = 1.0
            if core.core is not None:
                conductivity = np.asarray(self.coolant.conductivity_w_m_k(temp_k))
                water = Fluid(density, coolants.viscosity_pa_s[:, point], cp, conductivity)
                air = self._air_fluid(state.air_in_k[:, index])
                thinned = moving.density_kg_m3[:, core.path] / air.density_kg_m3  # warmed by the cores before
            streams = Streams(
                np.abs(moving.flow_m3_s[:, core.path]) * thinned,
                variants.speed_hz[:, core.path],
                capacity[:, core.path],
                air,
                through / density,
                through * cp,
                water,
            )
            factor = 1.0 if variants.strength is None else variants.strength[:, index]
            columns.append(core.strength_w_k(streams, factor))
        return np.stack(columns, axis=1) if columns else np.zeros((len(mass), 0))

    def _air_fluid(self, temp_k: Array) -> Fluid:
        air = self.air
        return Fluid(
            np.asarray(air.density_kg_m3(temp_k)),
            np.asarray(air.viscosity_pa_s(temp_k)),
            np.asarray(air.heat_capacity_j_kg_k(temp_k)),
            np.asarray(air.conductivity_w_m_k(temp_k)),
        )


def _fan_w(path: AirPath) -> float:
    """Electric power of the fans of a path that turn; 0 when no card states their current."""
    fan = path.fan
    if fan is None or fan.current_a is None or fan.full_speed_hz is None or path.speed_hz is None:
        return 0.0
    share = path.speed_hz / float(fan.full_speed_hz)
    return FAN_VOLT * float(fan.current_a) * share**3 * path.live_fans() * path.in_series
