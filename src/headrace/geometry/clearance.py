"""
How far two bodies are from one another, or how deep they stand in one another.

Answers   the clearance: the gap in millimetre truth, below zero the shortest way out of one another
Assumes   convex bodies. Closed forms for boxes, and for bars along an axis against boxes and one another; else exact to
          1e-7 m while they stand clear, and to 1e-5 m in one another
Source    [gilbert-1988] for the distance; clearance = max over unit ways d of (nearest of B - farthest of A)
"""

from __future__ import annotations

import math
from itertools import combinations, product

import numpy as np

from headrace.geometry.path import Point
from headrace.geometry.solid import Box, Cylinder, Solid
from headrace.units import Array

_TOUCHING_M = 1e-9
_CLOSE_M = 1e-9
_AROUND = 0.01  # four points count only where they hold the origin: a flat four is no nearer than three of it
_MOST_STEPS = 200
_STEP, _SMALLEST = 0.5, 1e-6
_STARTS: tuple[Point, ...] = tuple(
    (x / n, y / n, z / n)
    for x, y, z in product((-1.0, -0.5, 0.0, 0.5, 1.0), repeat=3)
    if (n := math.hypot(x, y, z)) > 0.0
)


def clearance_m(one: Solid, other: Solid) -> float:
    """
    Gap between two bodies, m; touching is 0, below zero they overlap by that much along the shortest way out.

    Where both stand clear it is their distance. Symmetric; moving a body away along the way out never lessens it.
    """
    found = _closed_form(one, other)
    if found is None:
        found = _closed_form(other, one)
    return _searched(one, other) if found is None else found


def overlap_m(one: Box, other: Box) -> Point | None:
    """How much two boxes share along x, y and z; None when they only touch or stand apart."""
    shared = tuple(
        min(a_high, b_high) - max(a_low, b_low)
        for a_low, a_high, b_low, b_high in zip(one.low, one.high, other.low, other.high, strict=True)
    )
    return (shared[0], shared[1], shared[2]) if min(shared) > 0.0 else None


def _closed_form(one: Solid, other: Solid) -> float | None:
    if isinstance(one, Box) and isinstance(other, Box):
        return _of_gaps([_gap(one, other, i) for i in range(3)])
    if isinstance(one, Cylinder):
        along = _axis(one)
        if along is None:
            return None
        if isinstance(other, Box):
            return _of_gaps([_gap(one.around(), other, along), _disc_gap(one, other, along)])
        if isinstance(other, Cylinder) and _axis(other) == along:
            apart = math.hypot(*(one.start[i] - other.start[i] for i in range(3) if i != along))
            return _of_gaps([_gap(one.around(), other.around(), along), apart - one.radius_m - other.radius_m])
    return None


def _axis(bar: Cylinder) -> int | None:
    """The axis a bar lies along, or None."""
    moved = [i for i in range(3) if bar.start[i] != bar.end[i]]
    return moved[0] if len(moved) == 1 else None


def _gap(one: Solid, other: Solid, along: int) -> float:
    a, b = one.around(), other.around()
    return max(a.low[along] - b.high[along], b.low[along] - a.high[along])


def _disc_gap(bar: Cylinder, box: Box, along: int) -> float:
    """Gap between the round of a bar and the rectangle of a box, seen along the bar."""
    across = [i for i in range(3) if i != along]
    return _of_gaps([max(box.low[i] - bar.start[i], bar.start[i] - box.high[i]) for i in across]) - bar.radius_m


def _of_gaps(gaps: list[float]) -> float:
    """Distance from gaps in directions at right angles: those above zero add up as squares, else the largest counts."""
    clear = [gap for gap in gaps if gap > 0.0]
    return math.hypot(*clear) if clear else max(gaps)


def _searched(one: Solid, other: Solid) -> float:
    """Their distance, or for bodies in one another the best way out."""
    apart = _distance_m(one, other)
    return apart if apart > _TOUCHING_M else _way_out_m(one, other)


def _distance_m(one: Solid, other: Solid) -> float:
    """Distance of two bodies by closest points of ever better inner bodies [gilbert-1988]; 0 where they overlap."""
    way = np.subtract(other.around().middle, one.around().middle)
    points = [_farthest(one, other, -way)]
    nearest = points[0]
    for _ in range(_MOST_STEPS):
        fresh = _farthest(one, other, nearest)
        square = float(nearest @ nearest)
        if square <= _TOUCHING_M**2 or square - float(nearest @ fresh) <= _CLOSE_M * math.sqrt(square):
            break
        points, nearest = _closest([*points, fresh])
        if len(points) > 3:
            return 0.0
    return float(np.sqrt(nearest @ nearest))


def _farthest(one: Solid, other: Solid, way: Array) -> Array:
    """The point of all differences other - one that lies farthest against `way`."""
    back = (float(-way[0]), float(-way[1]), float(-way[2]))
    return np.subtract(other.farthest(back), one.farthest((-back[0], -back[1], -back[2])))


def _closest(points: list[Array]) -> tuple[list[Array], Array]:
    """The point nearest the origin in the hull of up to four points, and those of them it hangs on."""
    best: tuple[float, list[Array], Array] = (np.inf, [], points[0])
    for count in range(1, len(points) + 1):
        for chosen in combinations(points, count):
            edges = np.array([p - chosen[0] for p in chosen[1:]]).reshape(-1, 3)
            shares = np.linalg.lstsq(edges @ edges.T, -edges @ chosen[0], rcond=None)[0]
            if np.all(shares >= 0.0) and np.sum(shares) <= 1.0:
                point = chosen[0] + shares @ edges
                square = float(point @ point)
                if square < (best[0] if count < 4 else _AROUND * best[0]):
                    best = (square, list(chosen), point)
    return best[1], best[2]


def _way_out_m(one: Solid, other: Solid) -> float:
    """How deep two bodies stand in one another: the best separating way by search, below zero; to 1e-5 m."""
    best, way = max((_separation(one, other, way), way) for way in _STARTS)
    step = _STEP
    while step > _SMALLEST:
        trials = [(way[0] + step * x, way[1] + step * y, way[2] + step * z) for x, y, z in _STARTS]
        units = [(x / n, y / n, z / n) for x, y, z in trials if (n := math.hypot(x, y, z)) > step * 1e-3]
        value, unit = max((_separation(one, other, unit), unit) for unit in units)
        if value > best:
            best, way = value, unit
        else:
            step /= 2.0
    return best


def _separation(one: Solid, other: Solid, way: Point) -> float:
    """How far `other` lies beyond `one` along a unit way."""
    back = (-way[0], -way[1], -way[2])
    return -_dot(other.farthest(back), back) - _dot(one.farthest(way), way)


def _dot(one: Point, other: Point) -> float:
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]
