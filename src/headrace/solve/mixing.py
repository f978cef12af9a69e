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
from headrace.solve.airpaths import CASE, ROOM, AirPath
from headrace.solve.cores import CoreAir
from headrace.solve.draws import LEAST_AIR_W_K, Draws
from headrace.solve.small import solve_small
from headrace.units import Array


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
    draws: Draws,
) -> AirTemps:
    """Solve the relations between all air temperatures; `capacity_w_k` is by path."""
    work = _Relations(paths, cores, capacity_w_k, backwards, room_k, draws)
    for row, core in enumerate(cores):
        work.core(row, core)
    work.case(case)
    solved = solve_small(work.a, work.b)
    return AirTemps(solved[:, :, 0], solved[:, :, 1:])


class _Relations:
    """Rows of A T = b + B q; unknown are the air into each core and, last, the case."""

    def __init__(
        self,
        paths: Sequence[AirPath],
        cores: Sequence[CoreAir],
        capacity: Array,
        backwards: NDArray[np.bool_],
        room_k: Array,
        draws: Draws,
    ) -> None:
        self.paths, self.capacity, self.backwards = paths, capacity, backwards
        self.room_k, self.draws = room_k, draws
        count, variants = len(cores) + 1, len(room_k)
        self.a = np.zeros((variants, count, count))
        self.b = np.zeros((variants, count, 1 + len(cores)))
        self.path_of = [core.path for core in cores]
        self.members = {path: [i for i, own in enumerate(self.path_of) if own == path] for path in set(self.path_of)}

    def core(self, row: int, core: CoreAir) -> None:
        self.a[:, row, row] += 1.0
        path, members = self.paths[core.path], self.members[core.path]
        back = (self.backwards[:, core.path] & (path.source != path.sink)).astype(np.float64)
        place = members.index(row)
        if place:
            self._behind(row, 1.0 - back, members[place - 1])
        else:
            self._inlet(row, 1.0 - back, core.path)
        if np.any(back):  # its air comes from the zone it should blow into, and meets the last core first
            if row == members[-1]:
                self._zone(row, back, path.sink)
            else:
                self._behind(row, back, members[place + 1])

    def _inlet(self, row: int, weight: Array, path: int) -> None:
        """The mixture a path breathes."""
        owner, draws = self.paths[path].owner, self.draws
        assert isinstance(owner, Stack)
        rise = sum(float(inlet.plus_k) for inlet in owner.inlets) * (1.0 - float(owner.recirculated_frac))
        self.b[:, row, 0] += weight * (rise + draws.room[:, path] * self.room_k)
        self._zone(row, weight * draws.case[:, path], CASE)
        self._exhaust(row, weight * draws.own[:, path], self.members[path][-1])
        for (into, source), share in draws.exhaust.items():
            if into == path:
                self._exhaust(row, weight * share, self.members[source][-1])

    def _behind(self, row: int, weight: Array, source: int) -> None:
        """Air from the core before; where it stands room air takes its place."""
        moves = self.capacity[:, self.path_of[source]] > LEAST_AIR_W_K
        self._exhaust(row, weight * moves, source)
        self._zone(row, weight * ~moves, ROOM)

    def _zone(self, row: int, weight: Array, zone: int) -> None:
        if zone == CASE:
            self.a[:, row, -1] -= weight
        else:
            self.b[:, row, 0] += weight * self.room_k

    def _exhaust(self, row: int, weight: Array, source: int) -> None:
        """Air as it leaves a core."""
        capacity = self.capacity[:, self.path_of[source]]
        self.a[:, row, source] -= weight
        self.b[:, row, 1 + source] += weight / np.maximum(capacity, LEAST_AIR_W_K)

    def case(self, case: CaseAir | None) -> None:
        """What comes into the case leaves it as case air."""
        self.a[:, -1, -1] = 1.0
        self.b[:, -1, 0] = self.room_k
        if case is None:
            return
        into = case.fresh_w_k + case.wall_w_k
        self.b[:, -1, 0] = into * self.room_k + case.heat_w
        for index, path in enumerate(self.paths):
            back = self.backwards[:, index]
            share = np.where(back, float(path.source == CASE), self.draws.left[:, index] * (path.sink == CASE))
            capacity = np.where(self.capacity[:, index] > LEAST_AIR_W_K, self.capacity[:, index] * share, 0.0)
            into = into + capacity
            if index not in self.members:
                self.b[:, -1, 0] += capacity * self.room_k
                continue
            first, last = self.members[index][0], self.members[index][-1]
            self.a[:, -1, last] -= np.where(back, 0.0, capacity)
            self.a[:, -1, first] -= np.where(back, capacity, 0.0)
            self.b[:, -1, 1 + last] += np.where(back, 0.0, share)
            self.b[:, -1, 1 + first] += np.where(back, share, 0.0)
        self.a[:, -1, -1] = into
