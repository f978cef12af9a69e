"""
How far two convex bodies are apart, found another way than in headrace.geometry.clearance.

Between the bodies: a point of each walks to the nearest point of the other (projections in turn, with momentum). Every step
gives an upper bound, the distance of the two points, and a lower bound, the room between two parallel planes that touch the
bodies at right angles to that line. Nothing is taken from the package but the numbers of a body: projections and planes are
written anew, after a drawing each.
"""

import math

from headrace.geometry.solid import Box, Capsule

STEPS = 1500


def bounds_m(one, other):
    """(lower, upper) bound of the distance of two bodies; both 0 when they meet."""
    return closest(one, other)[:2]


def closest(one, other, close_m=1e-9):
    """Lower and upper bound of the distance, and the unit way from one body to the other; None when they meet."""
    near = before = nearest(one, _inside(other))
    lower, upper, way, momentum = 0.0, math.inf, None, 1.0
    for _ in range(STEPS):
        other_near = nearest(other, near)
        fresh = nearest(one, other_near)
        gap = math.dist(fresh, other_near)
        if gap < 1e-12:
            return 0.0, 0.0, None
        upper = min(upper, gap)
        way = tuple((b - a) / gap for a, b in zip(fresh, other_near, strict=True))
        lower = max(lower, between_planes_m(one, other, way))
        if upper - lower < close_m:
            break
        following = (1.0 + math.sqrt(1.0 + 4.0 * momentum**2)) / 2.0
        push = (momentum - 1.0) / following
        if math.dist(other_near, fresh) > math.dist(other_near, before) or push < 0.0:
            push, following = 0.0, 1.0
        near = tuple(f + push * (f - b) for f, b in zip(fresh, before, strict=True))
        before, momentum = fresh, following
    return lower, upper, way


def between_planes_m(one, other, way):
    """Room between two planes across a unit `way`: one behind all of `one`, one before all of `other`."""
    back = tuple(-w for w in way)
    return -reach_m(other, back) - reach_m(one, way)


def reach_m(body, way):
    """How far a body reaches along a unit way, from the origin."""
    if isinstance(body, Box):
        return sum(max(w * a, w * b) for w, a, b in zip(way, body.low, body.high, strict=True))
    ends = max(_dot(body.start, way), _dot(body.end, way))
    if isinstance(body, Capsule):
        return ends + body.radius_m
    axis = _axis(body)
    return ends + body.radius_m * math.sqrt(max(0.0, 1.0 - _dot(axis, way) ** 2))


def nearest(body, point):
    """The point of a body nearest to a point."""
    if isinstance(body, Box):
        return tuple(min(max(p, a), b) for p, a, b in zip(point, body.low, body.high, strict=True))
    length = math.dist(body.start, body.end)
    axis = _axis(body)
    from_start = tuple(p - s for p, s in zip(point, body.start, strict=True))
    along = min(max(_dot(from_start, axis), 0.0), length)
    on_axis = tuple(s + along * a for s, a in zip(body.start, axis, strict=True))
    if isinstance(body, Capsule):
        return _towards(on_axis, point, body.radius_m)
    foot = tuple(s + _dot(from_start, axis) * a for s, a in zip(body.start, axis, strict=True))
    across = tuple(p - f for p, f in zip(point, foot, strict=True))
    out = math.hypot(*across)
    share = 1.0 if out <= body.radius_m else body.radius_m / out
    return tuple(c + share * a for c, a in zip(on_axis, across, strict=True))


def _towards(centre, point, radius):
    away = math.dist(centre, point)
    share = 1.0 if away <= radius else radius / away
    return tuple(c + share * (p - c) for c, p in zip(centre, point, strict=True))


def _inside(body):
    if isinstance(body, Box):
        return tuple((a + b) / 2 for a, b in zip(body.low, body.high, strict=True))
    return tuple((a + b) / 2 for a, b in zip(body.start, body.end, strict=True))


def _axis(body):
    length = math.dist(body.start, body.end)
    if length == 0.0:
        return (1.0, 0.0, 0.0)
    return tuple((e - s) / length for s, e in zip(body.start, body.end, strict=True))


def _dot(one, other):
    return sum(a * b for a, b in zip(one, other, strict=True))
