"""
What may differ between variants of one state, as arrays with one row a variant.

Answers   room, heat, speeds and the factors on uncertain inputs of every variant
Assumes   an array with one row holds for every variant
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields

import numpy as np

from headrace.units import Array, Indices


@dataclass(frozen=True)
class Variants:
    """
    Rows of conditions. `heat_w` is by place of heat, `speed_hz` by air path (fans), `pump_frac` by pump element.

    Factors multiply: `loss` by element of the network, `air_loss` by element of the air, `strength` by radiator,
    `air_flow` by air path, `viscosity` and `heat_capacity` of the coolant; 1 where nothing is said. `sound_db` is
    added to the level of every source of sound.
    """

    room_k: Array
    heat_w: Array
    speed_hz: Array
    pump_frac: Mapping[int, Array] = field(default_factory=dict)
    case_heat_w: Array | None = None
    loss: Array | None = None
    air_loss: Array | None = None
    strength: Array | None = None
    air_flow: Array | None = None
    air_share: Array | None = None
    viscosity: Array | None = None
    sound_db: Array | None = None
    heat_capacity: Array | None = None

    @property
    def count(self) -> int:
        """How many variants there are."""
        return max(len(value) for value in self._arrays().values())

    def _arrays(self) -> dict[str, Array]:
        named = {f.name: getattr(self, f.name) for f in fields(self) if f.name != "pump_frac"}
        return {name: value for name, value in named.items() if value is not None}

    def whole(self) -> Variants:
        """The same with a row for every variant in what the heat balance reads row by row."""
        count = self.count
        rows = {
            name: np.broadcast_to(getattr(self, name), (count, *getattr(self, name).shape[1:]))
            for name in ("room_k", "heat_w", "speed_hz")
        }
        return Variants(**{**self._arrays(), **rows, "pump_frac": self.pump_frac})  # type: ignore[arg-type]

    def take(self, rows: Indices) -> Variants:
        """Some of the variants."""

        def cut(value: Array) -> Array:
            return value[rows] if len(value) > 1 else value

        pumps = {element: cut(speed) for element, speed in self.pump_frac.items()}
        cuts = {name: cut(value) for name, value in self._arrays().items()}
        return Variants(**{**cuts, "pump_frac": pumps})  # type: ignore[arg-type]
