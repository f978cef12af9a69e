"""
How a case stands: upright, lying or tilted, and what is high and what is low in it then.

Answers   the height of any point of the case in any posture
Assumes   the case turns as one body; heights count from the origin of the case frame
Source    rotation of the vertical into the frame of the case, plane geometry
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from headrace.geometry.path import Point

PostureName: TypeAlias = Literal[
    "upright", "on its left side", "on its right side", "on its back", "on its front", "upside down"
]


@dataclass(frozen=True)
class Posture:
    """A posture by the way up in the frame of the case, a unit vector."""

    name: str
    up: Point

    @classmethod
    def tilted(cls, front_up_rad: float, right_up_rad: float) -> Posture:
        """The front edge lifted by an angle, then the right side (seen from the front) by another."""
        sin_f, cos_f = math.sin(front_up_rad), math.cos(front_up_rad)
        sin_r, cos_r = math.sin(right_up_rad), math.cos(right_up_rad)
        name = f"front up {math.degrees(front_up_rad):.0f}°, right side up {math.degrees(right_up_rad):.0f}°"
        return cls(name, (sin_f * cos_r, sin_r, cos_f * cos_r))

    def height_m(self, point: Point) -> float:
        """Height of a point above the origin of the case frame, m; below it is negative."""
        return sum(u * p for u, p in zip(self.up, point, strict=True))


UPRIGHT = Posture("upright", (0.0, 0.0, 1.0))
POSTURES: dict[str, Posture] = {
    posture.name: posture
    for posture in (
        UPRIGHT,
        Posture("on its left side", (0.0, 1.0, 0.0)),
        Posture("on its right side", (0.0, -1.0, 0.0)),
        Posture("on its back", (1.0, 0.0, 0.0)),
        Posture("on its front", (-1.0, 0.0, 0.0)),
        Posture("upside down", (0.0, 0.0, -1.0)),
    )
}
