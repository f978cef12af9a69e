"""The air of all variants as it was last found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from headrace.solve.heat import AirSide
from headrace.units import Array, Indices


@dataclass(frozen=True)
class AirState:
    """
    The air of all variants: flow and capacity by path, the radiators' side, temperatures by core and of the case.

    `link_flow` are the flows of the air network, `case_pa` the pressure in the case over the room.
    """

    flow_m3_s: Array
    capacity_w_k: Array
    side: AirSide
    air_in_k: Array
    case_k: Array
    case_pa: Array
    link_flow: Array
    settled: NDArray[np.bool_]

    def _arrays(self) -> tuple[Array, ...]:
        side = self.side
        mine = (self.flow_m3_s, self.capacity_w_k, self.air_in_k, self.case_k, self.case_pa, self.link_flow)
        return (*mine, side.strength_w_k, side.base_air_k, side.preheat_k_w)

    @classmethod
    def join(cls, parts: Sequence[AirState]) -> AirState:
        """The variants of all parts, one after the other."""
        joined = (np.concatenate(arrays) for arrays in zip(*(part._arrays() for part in parts), strict=True))
        flow, capacity, air_in, case_k, case_pa, link, *side = joined
        settled = np.concatenate([part.settled for part in parts])
        return cls(flow, capacity, AirSide(parts[0].side.place, *side), air_in, case_k, case_pa, link, settled)

    def take(self, rows: Indices) -> AirState:
        """Some of the variants."""
        flow, capacity, air_in, case_k, case_pa, link, *side = (a[rows] for a in self._arrays())
        place = AirSide(self.side.place, *side)
        return AirState(flow, capacity, place, air_in, case_k, case_pa, link, self.settled[rows])

    def put(self, rows: Indices, part: AirState) -> AirState:
        """The same with some variants replaced."""
        for mine, theirs in zip(self._arrays(), part._arrays(), strict=True):
            mine[rows] = theirs
        self.settled[rows] = part.settled
        return self
