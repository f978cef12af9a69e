"""
How far two bodies are from one another, or how deep they stand in one another.

Answers   the clearance: the gap in millimetre truth, below zero the shortest way out of one another
Assumes   convex bodies. Closed forms for boxes, and for bars along an axis against boxes and one another; else exact to
          1e-7 m while they stand clear, and for capsules and boxes in one another. How deep a leaning bar with flat
          ends stands in another body is searched for, to 1e-5 m in all cases tried
Source    [gilbert-1988] for the distance; clearance = max over unit ways d of (nearest of B - farthest of A)
"""

from __future__ import annotations

import math
from itertools import combinations, product

import numpy as np

from headrace.geometry.path import Point
from headrace.geometry.solid import Box, Capsule, Cylinder, Solid
from headrace.geometry.turn import cross
from headrace.units import Array

_TOUCHING_M = 1e-9
_AXES: tuple[Point, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
_CLOSE_M = 1e-9
_AROUND = 0.01  # four points count only where they hold the origin: a flat four is no nearer than three of it
_MOST_STEPS = 200
_STEP, _SMALLEST = 0.1, 1e-7
_GAIN_M = 1e-9  # less is rounding, and a climb that lives on rounding never ends
_SIDES, _OTHER_SIDE = 8, 0.97  # a search begins at most at eight ways, no two within 14 degrees of one another
_STEPS = np.array([p for p in product((-1.0, -0.5, 0.0, 0.5, 1.0), repeat=3) if any(p)])
_STARTS = np.array(
    [p for p in product((-1.0, -0.75, -0.5, -0.25, 0.0, 0.25, 0.5, 0.75, 1.0), repeat=3) if max(map(abs, p)) == 1.0]
)
_STARTS /= np.linalg.norm(_STARTS, axis=1)[:, None]


def clearance_m(one: Solid, other: Solid) -> float:
    """
    Gap between two bodies, m; touching is 0, below zero they overlap by that much along the shortest way out.

    Where both stand clear it is their distance. Symmetric; moving a body away along the way out never lessens it.
    """
    for bar, body in ((one, other), (other, one)):
        if isinstance(bar, Capsule) and bar.radius_m > 0.0:  # all within a radius of a line
            return clearance_m(Capsule(bar.start, bar.end, 0.0), body) - bar.radius_m
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
    return (shared[0], shared[1], shared[2]) if min(shared) > _TOUCHING_M else None


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
    if apart > _TOUCHING_M:
        return apart
    if isinstance(one, Cylinder) or isinstance(other, Cylinder):
        return _way_out_m(one, other)
    return float(np.max(_separations(one, other, _face_ways(one, other))))


def _face_ways(one: Solid, other: Solid) -> Array:
    """
    The ways two bodies without round sides can part, which end in a face of the one or in an edge of each.

    The shortest way out of two such bodies is always one of them. For bars they are good ways to start a search from.
    """
    lines = dict.fromkeys((*_AXES, *_edges(one), *_edges(other)))  # with all axes, parallel bars have a way across too
    ways = [*lines, *(cross(a, b) for a, b in combinations(lines, 2))]
    units = [(x / n, y / n, z / n) for x, y, z in ways if (n := math.hypot(x, y, z)) > 1e-9]
    return np.array([*units, *((-x, -y, -z) for x, y, z in units)])


def _edges(body: Solid) -> tuple[Point, ...]:
    """The directions of the straight edges of a body; of a bar that of its axis."""
    if isinstance(body, Box):
        return _AXES
    (ax, ay, az), (bx, by, bz) = body.start, body.end
    length = math.dist(body.start, body.end)
    return (((bx - ax) / length, (by - ay) / length, (bz - az) / length),) if length > 0.0 else ((1.0, 0.0, 0.0),)


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
    """How deep two bodies stand in one another: the best separating way by search from several sides, below zero."""
    ways = np.concatenate([_STARTS, _face_ways(one, other)])
    values = _separations(one, other, ways)
    begun: list[int] = []
    for index in np.argsort(-values):
        if all(float(ways[index] @ ways[other_index]) < _OTHER_SIDE for other_index in begun):
            begun.append(int(index))
        if len(begun) == _SIDES:
            break
    return max(_climbed(one, other, float(values[index]), ways[index]) for index in begun)


def _climbed(one: Solid, other: Solid, best: float, way: Array) -> float:
    """The best separation that is found from one way by ever smaller steps."""
    step = _STEP
    while step > _SMALLEST:
        trials = way + step * _STEPS
        trials /= np.linalg.norm(trials, axis=1)[:, None]
        values = _separations(one, other, trials)
        index = int(np.argmax(values))
        if values[index] > best + _GAIN_M:
            best, way = float(values[index]), trials[index]
        else:
            step /= 2.0
    return best


def _separations(one: Solid, other: Solid, ways: Array) -> Array:
    """How far `other` lies beyond `one` along each unit way."""
    return -_reach(other, -ways) - _reach(one, ways)


def _reach(body: Solid, ways: Array) -> Array:
    """How far a body reaches along each unit way, counted from the origin."""
    if isinstance(body, Box):
        return np.asarray(np.maximum(ways * np.array(body.low), ways * np.array(body.high)).sum(axis=1))
    ends = np.maximum(ways @ np.array(body.start), ways @ np.array(body.end))
    if isinstance(body, Capsule):
        return np.asarray(ends + body.radius_m)
    along = ways @ np.array(_edges(body)[0])
    return np.asarray(ends + body.radius_m * np.sqrt(np.maximum(0.0, 1.0 - along * along)))
