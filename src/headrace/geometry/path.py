"""A tube's centreline given by its corner points: length, bends and corner saving.

Answers   how long the centreline of a run is and which bends it has
Assumes   straights joined by circular arcs that touch both of them; three equal neighbouring points are one
Source    plane geometry; arc length and set-back as in any bending handbook, common practice, no source
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

Point: TypeAlias = tuple[float, float, float]

_SAME_POINT_M = 1e-9  # two points closer than a nanometre are one; no drawing is that fine


@dataclass(frozen=True)
class Bend:
    """One arc of a centreline: its radius and the angle it turns through."""

    radius_m: float
    bend_rad: float


def distance_m(one: Point, other: Point) -> float:
    """Straight distance between two points, m."""
    return math.dist(one, other)


def set_back_m(radius_m: float, bend_rad: float) -> float:
    """Distance from the corner point to the tangent point of a bend.

    t = R tan(angle / 2)
    """
    return radius_m * math.tan(bend_rad / 2)


def corner_saving_m(radius_m: float, bend_rad: float) -> float:
    """How much shorter the rounded centreline is than the sharp corner.

    s = 2 R tan(angle / 2) - R angle
    """
    return 2 * set_back_m(radius_m, bend_rad) - radius_m * bend_rad


def turn_rad(before: Point, corner: Point, after: Point) -> float:
    """Angle by which the direction changes at `corner`, 0 (straight on) to pi (back on itself)."""
    one = [b - a for a, b in zip(before, corner, strict=True)]
    two = [b - a for a, b in zip(corner, after, strict=True)]
    cross = math.hypot(
        one[1] * two[2] - one[2] * two[1], one[2] * two[0] - one[0] * two[2], one[0] * two[1] - one[1] * two[0]
    )
    return math.atan2(cross, sum(a * b for a, b in zip(one, two, strict=True)))


def find_bends(points: tuple[Point, ...], radius_m: float) -> tuple[Bend, ...]:
    """The bends of a path through `points`, all of one radius; straight-on corners are none."""
    kept = [points[0], *(b for a, b in pairwise(points) if distance_m(a, b) > _SAME_POINT_M)] if points else []
    turns = (turn_rad(a, b, c) for a, b, c in zip(kept, kept[1:], kept[2:], strict=False))
    return tuple(Bend(radius_m, angle) for angle in turns if angle > 1e-9)


def path_length_m(points: tuple[Point, ...], radius_m: float) -> float:
    """Length along the rounded centreline through `points`, m."""
    sharp = sum(distance_m(a, b) for a, b in pairwise(points))
    return sharp - sum(corner_saving_m(bend.radius_m, bend.bend_rad) for bend in find_bends(points, radius_m))
