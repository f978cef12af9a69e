"""A tube's centreline given by its corner points: length, bends, corner saving, straights between the bends.

Answers   how long the centreline of a run is, which bends it has, what stays straight and which radius still fits
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
_STRAIGHT_ON_RAD = 1e-9


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
    return tuple(Bend(radius_m, angle) for angle in turns if angle > _STRAIGHT_ON_RAD)


def path_length_m(points: tuple[Point, ...], radius_m: float) -> float:
    """Length along the rounded centreline through `points`, m."""
    sharp = sum(distance_m(a, b) for a, b in pairwise(points))
    return sharp - sum(corner_saving_m(bend.radius_m, bend.bend_rad) for bend in find_bends(points, radius_m))


def straights_m(points: tuple[Point, ...], radius_m: float) -> tuple[float, ...]:
    """What stays straight of each leg of a path once its bends are in, m; below zero where two arcs overlap.

    s = L - t1 - t2        L from corner to corner, t the set-back of the bend at either end, none at an end of the path
    """
    kept = _corners(points)
    turns = _turns(kept)
    back = [0.0, *(set_back_m(radius_m, turn) for turn in turns), 0.0]
    legs = [distance_m(a, b) for a, b in pairwise(kept)]
    return tuple(leg - one - other for leg, one, other in zip(legs, back, back[1:], strict=False))


def largest_radius_m(points: tuple[Point, ...]) -> float:
    """The largest radius with which all bends of a path still fit between its corners, m; infinite without a bend.

    R = min over legs of L / (tan(angle 1 / 2) + tan(angle 2 / 2))        both arcs touch, nothing straight is left
    """
    kept = _corners(points)
    tangents = [0.0, *(math.tan(turn / 2) for turn in _turns(kept)), 0.0]
    legs = [distance_m(a, b) for a, b in pairwise(kept)]
    sums = [one + other for one, other in pairwise(tangents)]
    return min((leg / both for leg, both in zip(legs, sums, strict=False) if both > 0.0), default=math.inf)


def _corners(points: tuple[Point, ...]) -> list[Point]:
    """The ends of a path and the points where it turns; equal neighbours and straight-on points left out."""
    kept: list[Point] = []
    for point in points:
        if kept and distance_m(kept[-1], point) <= _SAME_POINT_M:
            continue
        if len(kept) > 1 and turn_rad(kept[-2], kept[-1], point) <= _STRAIGHT_ON_RAD:
            kept.pop()
        kept.append(point)
    return kept


def _turns(kept: list[Point]) -> list[float]:
    return [turn_rad(a, b, c) for a, b, c in zip(kept, kept[1:], kept[2:], strict=False)]
