"""
Balance flow, heat and air of a state together, for one variant or for many.

Answers   flows, temperatures and airflows at which everything closes, and which variants did not close
Assumes   flow and heat pull on each other only through properties: each pass of one after the other shrinks what is
          left about a hundredfold, so both are taken one Newton step a pass
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from headrace.solve.airstate import AirState
from headrace.solve.balanced import Balanced
from headrace.solve.flow import CLOSE_PA, newton_change
from headrace.solve.heat import HeatBalance, exchanged_w, solve_heat
from headrace.solve.losses import Coolants, Losses
from headrace.solve.prepared import Prepared
from headrace.solve.variants import Variants
from headrace.units import Array, Indices

CHUNK = 4000  # variants balanced at a time: enough to make the calls cheap, few enough for the processor's cache
MOST_PASSES = 120
CLOSE_K = 1e-8
MAD_K = 2000.0  # where a variant is given up: nothing here is a liquid, and the flow would follow into nonsense
LEAST_FLOW_M3_S = 1e-10  # 0.4 mL/h: changes of a flow this small do not matter
_CLOSE_FLOW = 1e-10
_CLOSE_ENERGY = 1e-7
_START_RISE_K = 10.0
_FRESH_SLOPES = 3  # passes that find the slopes of the losses anew; after these they no longer change
_ROUGH = 1e-2  # the first balance, at guessed temperatures, need not be closer
_SLOW = 0.5  # what is left must shrink to this share each pass, else the flow is balanced with care
_NEAR_K = 1e-7  # flow and air hold the temperatures of the pass before: to 1e-9 of them when they moved no more
_SHRINKS = 0.1


def balance(prepared: Prepared, variants: Variants, start: Balanced | None = None) -> Balanced:
    """
    Balance all variants, from `start` (one variant, already balanced) or from scratch.

    Never raises for a variant without an answer: it is left with `closed` False.
    """
    variants = variants.whole()
    if variants.count > CHUNK:
        rows = np.arange(variants.count)
        parts = [_balance(prepared, variants.take(rows[i : i + CHUNK]), start) for i in range(0, len(rows), CHUNK)]
        return Balanced.join(parts, variants, _losses(prepared, variants))
    return _balance(prepared, variants, start)


def _balance(prepared: Prepared, variants: Variants, start: Balanced | None) -> Balanced:
    with np.errstate(all="ignore"):  # a variant that leaves all reason is told by `closed`, not by warnings
        work = _Work.of(prepared, variants, start)
        rows = np.arange(variants.count)
        while work.passes < MOST_PASSES and len(rows):
            work.run_pass(rows if len(rows) < variants.count else None)
            rows = np.flatnonzero(~work.closed & work.sane)  # a row that closed stays as it is, whatever others need
        return work.result()


def _losses(prepared: Prepared, variants: Variants) -> Losses:
    losses = prepared.solver.losses.with_settings(variants.pump_frac)
    return losses if variants.loss is None else losses.with_factor(variants.loss)


@dataclass
class _Work:
    """The balance under way: arrays with a row for every variant."""

    prepared: Prepared
    variants: Variants
    losses: Losses
    reference: float
    station_k: Array
    flow: Array | None
    slope: Array
    left: Array
    moved: Array
    last_change: Array
    last_move: Array
    closed: NDArray[np.bool_]
    sane: NDArray[np.bool_]
    coolants: Coolants
    heat: HeatBalance
    air: AirState
    passes: int = 0

    @classmethod
    def of(cls, prepared: Prepared, variants: Variants, start: Balanced | None) -> _Work:
        count, stations = variants.count, prepared.stations
        room_k = float(prepared.state.room_k)
        reference = float(prepared.coolant.density_kg_m3(room_k + _START_RISE_K))
        losses = _losses(prepared, variants)
        branches = len(stations.branches.chains)
        if start is None:
            station_k = np.repeat(variants.room_k[:, None] + _START_RISE_K, stations.count, axis=1)
        else:
            station_k = start.heat.station_k + (variants.room_k - room_k)[:, None]
        station_k[:, -1] = variants.room_k
        flow = None if start is None else np.repeat(start.flow_m3_s, count, axis=0)
        radiators = len(prepared.air_model.place)
        nothing = np.zeros((count, stations.points))
        return cls(
            prepared,
            variants,
            losses,
            reference,
            station_k,
            flow,
            np.ones((count, branches)),
            np.full(count, np.inf),
            np.full(station_k.shape, np.inf),
            np.full(count, np.inf),
            np.full(count, np.inf),
            np.zeros(count, dtype=bool),
            np.ones(count, dtype=bool),
            Coolants(nothing, nothing, nothing),
            HeatBalance(station_k, np.zeros((count, radiators)), np.zeros(count)),
            prepared.air_model.start(variants),
        )

    def run_pass(self, rows: Indices | None) -> None:
        """One pass over all variants, or over some."""
        if rows is None:
            self._pass()
            return
        part = replace(
            self,
            variants=self.variants.take(rows),
            losses=self.losses.take(rows),
            station_k=self.station_k[rows],
            flow=None if self.flow is None else self.flow[rows],
            slope=self.slope[rows],
            left=self.left[rows],
            last_change=self.last_change[rows],
            last_move=self.last_move[rows],
            air=self.air.take(rows),
            heat=self.heat.take(rows),
        )
        part._pass()
        self.passes = part.passes
        self._put(rows, part)

    def _put(self, rows: Indices, part: _Work) -> None:
        assert self.flow is not None
        assert part.flow is not None
        for mine, theirs in (
            (self.station_k, part.station_k),
            (self.flow, part.flow),
            (self.slope, part.slope),
            (self.left, part.left),
            (self.moved, part.moved),
            (self.last_change, part.last_change),
            (self.last_move, part.last_move),
            (self.closed, part.closed),
            (self.sane, part.sane),
            (self.coolants.density_kg_m3, part.coolants.density_kg_m3),
            (self.coolants.viscosity_pa_s, part.coolants.viscosity_pa_s),
            (self.coolants.per_unit, part.coolants.per_unit),
            (self.heat.heat_w, part.heat.heat_w),
            (self.heat.left_w, part.heat.left_w),
        ):
            mine[rows] = theirs
        self.air = self.air.put(rows, part.air)
        self.heat = replace(self.heat, station_k=self.station_k)

    def _pass(self) -> None:
        prepared, stations, variants = self.prepared, self.prepared.stations, self.variants
        self.passes += 1
        change = self._step_flow()
        assert self.flow is not None
        mass = self.flow * self.reference
        factor = 1.0 if variants.heat_capacity is None else variants.heat_capacity[:, None]
        carried = mass * factor
        self.air = prepared.air_model.step(self.air, variants, carried, self.station_k, self.coolants, self.heat)
        heat = solve_heat(
            stations, carried, variants.heat_w, self.air.side, prepared.coolant, variants.room_k, self.station_k
        )
        self.moved = np.abs(heat.station_k - self.station_k)
        self.station_k, self.heat, self.air = heat.station_k, heat, self.air.warmed(heat.heat_w)
        most = np.max(np.abs(self.flow), axis=1, initial=LEAST_FLOW_M3_S)
        changed = np.max(np.abs(change), axis=1, initial=0.0) / most
        moved = np.max(self.moved, axis=1, initial=0.0)
        put_in = np.sum(variants.heat_w, axis=1)
        self.closed = (
            (_still_to_come(changed, self.last_change) <= _CLOSE_FLOW)
            & (_still_to_come(moved, self.last_move) <= CLOSE_K)
            & (moved <= _NEAR_K)
            & (np.abs(heat.left_w) <= _CLOSE_ENERGY * exchanged_w(put_in, heat.heat_w))
            & self.air.settled
        )
        if np.any(self.closed):
            self.closed &= self._pressures_close()
        self.last_change, self.last_move = changed, moved
        within = np.all(np.abs(self.station_k) < MAD_K, axis=1)  # nan is not within either
        self.sane = within & np.all(np.isfinite(self.flow), axis=1)

    def _pressures_close(self) -> NDArray[np.bool_]:
        """Whether the pressures of each variant sum to nothing around every circuit, at the flows just found."""
        assert self.flow is not None
        dp = self.losses.ready(self.coolants).dp_pa(self.flow)
        left = np.max(np.abs(dp @ self.prepared.stations.branches.wheel), axis=1, initial=0.0)
        close: NDArray[np.bool_] = left < np.maximum(CLOSE_PA, 1e-12 * np.max(np.abs(dp), axis=1, initial=0.0))
        return close

    def _step_flow(self) -> Array:
        """Take the flow one Newton step on, or balance it with care where a step would not do; what it changed."""
        prepared, stations = self.prepared, self.prepared.stations
        point_k = stations.at_points(self.station_k)
        density = np.asarray(prepared.coolant.density_kg_m3(point_k))
        viscosity = np.asarray(prepared.coolant.viscosity_pa_s(point_k))
        if self.variants.viscosity is not None:
            viscosity = viscosity * self.variants.viscosity[:, None]
        self.coolants = Coolants(density, viscosity, self.reference / density)
        ready = self.losses.ready(self.coolants)
        wheel = stations.branches.wheel
        if self.flow is None:
            self.flow, _ = prepared.solver.balance(ready, len(density), settled=_ROUGH)
            return np.asarray(self.flow)
        dp = ready.dp_pa(self.flow)
        if self.passes <= _FRESH_SLOPES:
            self.slope = ready.slope(self.flow, dp)
        left = np.max(np.abs(dp @ wheel), axis=1, initial=0.0)
        careful = (left > _SLOW * self.left) & (left > CLOSE_PA) & np.isfinite(left)
        self.left = left
        change = newton_change(wheel, self.slope, dp)
        if np.any(careful):
            rows = np.flatnonzero(careful)
            found, _ = prepared.solver.balance(self.losses.take(rows).ready(self.coolants.take(rows)), len(rows),
                                               self.flow[rows])  # fmt: skip
            change[rows] = found - self.flow[rows]
        self.flow = self.flow + change
        return change

    def result(self) -> Balanced:
        """What was found."""
        assert self.flow is not None
        return Balanced(
            self.prepared,
            self.variants,
            self.losses,
            self.coolants,
            self.reference,
            self.flow,
            self.heat,
            self.air,
            self.moved,
            self.closed,
            self.passes,
        )


def _still_to_come(step: Array, before: Array) -> Array:
    """
    How far the next step will go: steps shrink by their ratio, once they do.

    A step is only trusted to foretell the next when it is at least ten times smaller than the one before it.
    """
    ratio = step / before
    foretold: Array = np.where((ratio < _SHRINKS) & np.isfinite(before), step * ratio, step)
    return foretold
