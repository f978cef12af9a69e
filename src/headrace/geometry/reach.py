"""
How far it is from a point to a box, and where something that falls from a point meets one.

Answers   the shortest way to a box straight and along the axes, and the way down to it
Assumes   boxes along the axes; a cable lies between the straight way and the one along the axes
Source    plane geometry: gaps at right angles add up as squares, along the axes as they are; slabs for the fall
"""

from __future__ import annotations

import math

from headrace.geometry.path import Point
from headrace.geometry.solid import Box


def straight_m(point: Point, box: Box) -> float:
    """Distance from a point to the nearest point of a box; 0 inside.

    d = sqrt(gx^2 + gy^2 + gz^2)
    """
    return math.hypot(*_gaps(point, box))


def along_axes_m(point: Point, box: Box) -> float:
    """Way from a point to the nearest point of a box, turning at right angles only; 0 inside.

    d = gx + gy + gz
    """
    return sum(_gaps(point, box))


def find_fall_m(point: Point, way: Point, box: Box) -> float | None:
    """How far something goes from `point` along the unit vector `way` until it enters a box.

    0 for a point inside; None when it misses. What only grazes an edge misses.
    """
    enters, leaves = 0.0, math.inf
    for at, step, low, high in zip(point, way, box.low, box.high, strict=True):
        if step == 0.0:
            if not low < at < high:
                return None
            continue
        near, far = sorted(((low - at) / step, (high - at) / step))
        enters, leaves = max(enters, near), min(leaves, far)
    return enters if enters < leaves else None


def _gaps(point: Point, box: Box) -> list[float]:
    return [max(low - at, at - high, 0.0) for at, low, high in zip(point, box.low, box.high, strict=True)]
