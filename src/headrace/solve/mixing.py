"""
What air every radiator breathes: room, case, the exhaust of another stack, its own, or a mixture.

Answers   temperature of the air into each radiator and of the case, as a base plus a rise for each watt given off
Assumes   streams mix fully; the case loses a little heat through its walls; an airflow that goes backwards breathes
          from the zone it would blow into
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from headrace.loop.model import Stack
from headrace.solve.airpaths import CASE, AirPath
from headrace.solve.cores import CoreAir
from headrace.solve.small import solve_small
from headrace.units import Array

LEAST_AIR_W_K = 1e-3  # 3 litres of air an hour: less is air at rest


@dataclass(frozen=True)
class CaseAir:
    """What the case does to its air: heat of parts without a block, walls, and room air besides that of stacks."""

    heat_w: Array
    wall_w_k: float
    fresh_w_k: Array


@dataclass(frozen=True)
class AirTemps:
    """T = base + per_watt q: air into each core, then the case; shapes (variants, n) and (variants, n, cores)."""

    base_k: Array
    per_watt_k_w: Array


def mix_air(
    paths: Sequence[AirPath],
    cores: Sequence[CoreAir],
    capacity_w_k: Array,
    backwards: NDArray[np.bool_],
    room_k: Array,
    case: CaseAir | None,
    share_factor: Array | None = None,
) -> AirTemps:
    """Solve the relations between all air temperatures; `capacity_w_k` is by path."""
    work = _Relations(paths, cores, capacity_w_k, backwards, room_k, share_factor)
    for index, core in enumerate(cores):
        work.core(index, core, case is not None)
    work.case(case)
    return work.solve()


class _Relations:
    """Rows of A T = b + B q; unknown are the air into each core and, last, the case."""

    def __init__(
        self,
        paths: Sequence[AirPath],
        cores: Sequence[CoreAir],
        capacity: Array,
        backwards: NDArray[np.bool_],
        room_k: Array,
        share_factor: Array | None,
    ) -> None:
        self.paths, self.cores, self.capacity, self.backwards = paths, cores, capacity, backwards
        self.room_k, self.share_factor = room_k, share_factor
        count, variants = len(cores) + 1, len(room_k)
        self.a = np.zeros((variants, count, count))
        self.b = np.zeros((variants, count, 1 + len(cores)))
        self.last = {core.path: index for index, core in enumerate(cores)}
        self.index = {path.id: index for index, path in enumerate(paths)}

    def core(self, row: int, core: CoreAir, has_case: bool) -> None:
        self.a[:, row, row] += 1.0
        if row and self.cores[row - 1].path == core.path:
            moves = self._exhaust(row, np.ones(len(self.room_k)), row - 1)
            self.b[:, row, 0] += (1.0 - moves) * self.room_k
            return
        path = self.paths[core.path]
        assert isinstance(path.owner, Stack)
        own = float(path.owner.recirculated_frac)
        rest = np.full(len(self.room_k), 1.0 - own)
        for inlet in path.owner.inlets:
            self.b[:, row, 0] += (1.0 - own) * float(inlet.plus_k)
            if inlet.from_ == "room":
                continue
            share = self._share(float(inlet.share_frac), core.path) * (1.0 - own)
            if inlet.from_ == "case":
                case_share = share if has_case else 0.0 * share
                self.a[:, row, -1] -= case_share
                rest = rest - case_share
            else:
                rest = rest - self._exhaust(row, share, self.last[self.index[inlet.from_]])
        if own:
            rest = rest + own - self._exhaust(row, np.full(len(self.room_k), own), self.last[core.path])
        if has_case and path.source != path.sink:
            rest = self._turn_round(row, path, core.path, rest)
        self.b[:, row, 0] += rest * self.room_k

    def _turn_round(self, row: int, path: AirPath, at: int, rest: Array) -> Array:
        """Air that goes backwards comes from the zone the path should blow into."""
        back = self.backwards[:, at]
        if not np.any(back):
            return rest
        self.a[back, row, :] = 0.0
        self.b[back, row, :] = 0.0
        self.a[back, row, row] = 1.0
        if path.sink == CASE:
            self.a[back, row, -1] = -1.0
        return np.where(back, 0.0 if path.sink == CASE else 1.0, rest)

    def _share(self, stated: float, path: int) -> Array:
        factor = 1.0 if self.share_factor is None else self.share_factor[:, path]
        return np.broadcast_to(np.minimum(stated * factor, 1.0), self.room_k.shape)

    def _exhaust(self, row: int, share: Array, source: int) -> Array:
        """Air from behind a core; from a stack that stands still comes none, and room air takes its place."""
        capacity = self.capacity[:, self.cores[source].path]
        moves = capacity > LEAST_AIR_W_K
        share = np.where(moves, share, 0.0)
        self.a[:, row, source] -= share
        self.b[:, row, 1 + source] += share / np.maximum(capacity, LEAST_AIR_W_K)
        return share

    def case(self, case: CaseAir | None) -> None:
        if case is None:
            self.a[:, -1, -1] = 1.0
            self.b[:, -1, 0] = self.room_k
            return
        into = case.fresh_w_k + case.wall_w_k
        self.b[:, -1, 0] = (case.fresh_w_k + case.wall_w_k) * self.room_k + case.heat_w
        for path_index, path in enumerate(self.paths):
            forward = ~self.backwards[:, path_index]
            enters = np.where(forward, path.sink == CASE, path.source == CASE) & (path.source != path.sink)
            capacity = np.where(enters, self.capacity[:, path_index], 0.0)
            into = into + capacity
            if path_index in self.last:
                core = self.last[path_index]
                self.a[:, -1, core] -= capacity
                members = [i for i, other in enumerate(self.cores) if other.path == path_index]
                self.b[:, -1, 1 + members[-1]] += enters
            else:
                self.b[:, -1, 0] += capacity * self.room_k
        self.a[:, -1, -1] += into

    def solve(self) -> AirTemps:
        solved = solve_small(self.a, self.b)
        return AirTemps(solved[:, :, 0], solved[:, :, 1:])
