"""
Bodies that take room in a case: boxes along the axes, cylinders and capsules of any direction.

Answers   which point of a body lies farthest in any direction, and the box around it
Assumes   convex bodies; sizes in metres in the frame of the case
Source    support functions of convex bodies, any textbook of convex geometry
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from headrace.geometry.path import Point

_ALONG = 1e-8  # a way that leans less from an axis is along it: what is left across it is rounding


@dataclass(frozen=True)
class Box:
    """A box along the axes between two corners, low first."""

    low: Point
    high: Point

    @classmethod
    def between(cls, one: Point, other: Point) -> Box:
        """The box between any two opposite corners."""
        pairs = [sorted(pair) for pair in zip(one, other, strict=True)]
        return cls((pairs[0][0], pairs[1][0], pairs[2][0]), (pairs[0][1], pairs[1][1], pairs[2][1]))

    @property
    def size(self) -> Point:
        """Edges along x, y and z, m."""
        return (self.high[0] - self.low[0], self.high[1] - self.low[1], self.high[2] - self.low[2])

    @property
    def middle(self) -> Point:
        """The point in the middle."""
        return tuple((a + b) / 2 for a, b in zip(self.low, self.high, strict=True))  # type: ignore[return-value]

    def moved(self, by: Point) -> Box:
        """The same box elsewhere."""
        return Box(_sum(self.low, by), _sum(self.high, by))

    def around(self) -> Box:
        """The box around it: itself."""
        return self

    def farthest(self, way: Point) -> Point:
        """The point that lies farthest along `way`."""
        (ax, ay, az), (bx, by, bz) = self.low, self.high
        return (bx if way[0] > 0.0 else ax, by if way[1] > 0.0 else ay, bz if way[2] > 0.0 else az)


@dataclass(frozen=True)
class Cylinder:
    """A round bar with flat ends from `start` to `end`."""

    start: Point
    end: Point
    radius_m: float

    def around(self) -> Box:
        """The box around it."""
        axis = _along(self.start, self.end)
        across = [self.radius_m * math.sqrt(max(0.0, 1.0 - a * a)) for a in axis]
        box = Box.between(self.start, self.end)
        return Box(_less(box.low, across), _sum(box.high, across))

    def farthest(self, way: Point) -> Point:
        """A point that lies farthest along `way`."""
        axis = _along(self.start, self.end)
        dot = sum(a * w for a, w in zip(axis, way, strict=True))
        across = [w - dot * a for a, w in zip(axis, way, strict=True)]
        length = math.hypot(*across)
        end = self.end if dot > 0.0 else self.start
        if length <= _ALONG * math.hypot(*way):
            return end
        return _sum(end, [self.radius_m * c / length for c in across])


@dataclass(frozen=True)
class Capsule:
    """A round bar with round ends: all within `radius_m` of the line from `start` to `end`. A tube is a row of them."""

    start: Point
    end: Point
    radius_m: float

    def around(self) -> Box:
        """The box around it."""
        box, r = Box.between(self.start, self.end), (self.radius_m,) * 3
        return Box(_less(box.low, r), _sum(box.high, r))

    def farthest(self, way: Point) -> Point:
        """The point that lies farthest along `way`."""
        length = math.hypot(*way)
        dot = sum(w * (b - a) for w, a, b in zip(way, self.start, self.end, strict=True))
        end = self.end if dot > 0.0 else self.start
        return _sum(end, [self.radius_m * w / length for w in way]) if length > 0.0 else end


Solid = Box | Cylinder | Capsule


def _along(start: Point, end: Point) -> Point:
    """Unit vector from start to end; along x for a bar without length."""
    length = math.dist(start, end)
    if length == 0.0:
        return (1.0, 0.0, 0.0)
    return ((end[0] - start[0]) / length, (end[1] - start[1]) / length, (end[2] - start[2]) / length)


def _sum(one: Point, other: Point | list[float]) -> Point:
    return (one[0] + other[0], one[1] + other[1], one[2] + other[2])


def _less(one: Point, other: Point | list[float]) -> Point:
    return (one[0] - other[0], one[1] - other[1], one[2] - other[2])
