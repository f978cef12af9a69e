"""
How far it is from a point to a box, and where something that falls from a point meets one.

Answers   the shortest way to a box straight and along the axes, the gap between a line and a box, the way down to it
Assumes   boxes along the axes; a cable lies between the straight way and the one along the axes
Source    plane geometry: gaps at right angles add up as squares, along the axes as they are; slabs for the fall
"""

from __future__ import annotations

import math
from itertools import pairwise

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


def line_gap_m(start: Point, end: Point, box: Box) -> float:
    """Distance from the straight line between two points to a box, m; 0 where it enters.

    d^2 = sum of (start + t (end - start) - face)^2 over the axes on which t lies outside, least over t in 0 to 1

    Between the t where the line passes a plane of a face this is one parabola, so its ends and vertices are enough.
    """
    steps = [b - a for a, b in zip(start, end, strict=True)]
    axes = list(zip(start, steps, box.low, box.high, strict=True))
    planes = ((face - at) / step for at, step, low, high in axes if step != 0.0 for face in (low, high))
    ends = sorted({0.0, 1.0, *(t for t in planes if 0.0 < t < 1.0)})
    vertices = (_vertex(axes, (one + other) / 2.0) for one, other in pairwise(ends))
    shares = (*ends, *(min(max(t, 0.0), 1.0) for t in vertices))
    return min(straight_m(_between(start, end, t), box) for t in shares)


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


def _vertex(axes: list[tuple[float, float, float, float]], middle: float) -> float:
    """Where the parabola that holds at `middle` has its lowest point; `middle` where it has none."""
    slope, curve = 0.0, 0.0
    for at, step, low, high in axes:
        here = at + middle * step
        if not low <= here <= high:
            slope += step * (at - (low if here < low else high))
            curve += step * step
    return -slope / curve if curve > 0.0 else middle


def _between(start: Point, end: Point, share: float) -> Point:
    x, y, z = (a + share * (b - a) for a, b in zip(start, end, strict=True))
    return (x, y, z)


def _gaps(point: Point, box: Box) -> list[float]:
    return [max(low - at, at - high, 0.0) for at, low, high in zip(point, box.low, box.high, strict=True)]
