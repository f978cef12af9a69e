"""The air of all variants as it was last found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from headrace.solve.heat import AirSide
from headrace.units import Array, Indices

_MISS_PA = 1e-6
_FIRST_RELAX, _LEAST_RELAX = 0.3, 0.01


@dataclass(frozen=True)
class Coupling:
    """
    What mixtures of air feel of the case: each balance is given a pressure of the case and comes out with another.

    The step towards it is scaled by how the last miss answered to the last step (Aitken). `case_pa`, `miss_pa` and
    `relax_frac` have shape (variants,); `shared_m3_s` is what left the case shared out.
    """

    case_pa: Array
    miss_pa: Array
    relax_frac: Array
    shared_m3_s: Array

    @property
    def settled(self) -> NDArray[np.bool_]:
        """True for the variants whose miss is nothing."""
        return np.asarray(np.abs(self.miss_pa) <= _MISS_PA)

    def next(self, found_pa: Array, shared_m3_s: Array) -> Coupling:
        """The next pressure to give, from the one a balance came out with."""
        miss = found_pa - self.case_pa
        turn = miss - self.miss_pa
        aitken = -self.relax_frac * self.miss_pa / np.where(turn == 0.0, 1.0, turn)
        relax = np.where((self.miss_pa == 0.0) | (turn == 0.0), _FIRST_RELAX, np.clip(aitken, _LEAST_RELAX, 1.0))
        return Coupling(self.case_pa + relax * miss, miss, relax, shared_m3_s)


@dataclass(frozen=True)
class AirState:
    """
    The air of all variants: flow and capacity by path, strength by radiator, temperatures by core and of the case.

    Air into each core, and last that of the case, is `base_k` plus `per_watt_k_w` for each watt the radiators give
    off. `live` are the cores that have water, `place` their places of heat. `link_flow` are the flows of the air
    network, `case_pa` the pressure in the case over the room. What follows it is the `coupling`.
    """

    place: Indices
    live: Indices
    flow_m3_s: Array
    capacity_w_k: Array
    strength_w_k: Array
    base_k: Array
    per_watt_k_w: Array
    temp_k: Array
    case_pa: Array
    link_flow: Array
    given_pa: Array
    miss_pa: Array
    relax_frac: Array
    shared_m3_s: Array
    settled: NDArray[np.bool_]

    @property
    def coupling(self) -> Coupling:
        """What mixtures of air feel of the case."""
        return Coupling(self.given_pa, self.miss_pa, self.relax_frac, self.shared_m3_s)

    @property
    def air_in_k(self) -> Array:
        """Air into each core."""
        return self.temp_k[:, :-1]

    @property
    def case_k(self) -> Array:
        """Air of the case; the room's where the case plays no part."""
        return self.temp_k[:, -1]

    @property
    def side(self) -> AirSide:
        """What the heat balance wants to know of the air."""
        return AirSide(self.place, self.strength_w_k, self.base_k[:, self.live], self.per_watt_k_w[:, self.live])

    def warmed(self, heat_w: Array) -> AirState:
        """The same air when the radiators give off this heat."""
        return replace(self, temp_k=self.base_k + np.matmul(self.per_watt_k_w, heat_w[:, :, None])[:, :, 0])

    @classmethod
    def join(cls, parts: Sequence[AirState]) -> AirState:
        """The variants of all parts, one after the other."""
        rows = (np.concatenate([getattr(part, name) for part in parts]) for name in _ROWS)
        return cls(parts[0].place, parts[0].live, *rows)

    def take(self, rows: Indices) -> AirState:
        """Some of the variants."""
        return AirState(self.place, self.live, *(getattr(self, name)[rows] for name in _ROWS))

    def put(self, rows: Indices, part: AirState) -> AirState:
        """The same with some variants replaced."""
        for name in _ROWS:
            getattr(self, name)[rows] = getattr(part, name)
        return self


_ROWS = tuple(f.name for f in fields(AirState) if f.name not in ("place", "live"))
