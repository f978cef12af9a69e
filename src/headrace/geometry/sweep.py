"""
The room an arm takes that turns about an axis: an elbow, with what is screwed into it.

Answers   in which of the ways round an arm stands clear of bodies and within a box
Assumes   an arm is a row of round bars from the axis outwards, at a fixed angle to it, seen as points on their skin no
          more than 1.9 mm apart along and with 36 around: no thin plate slips through, and a gap of 1 mm is right to
          0.1 mm to a face and to 0.7 mm to a corner
Source    rotation about an axis, analytic geometry
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from headrace.geometry.path import Point
from headrace.geometry.solid import Box, Cylinder, Solid
from headrace.geometry.turn import Axis, cross, unit
from headrace.units import Array

STEPS = 72  # ways round: every 5 degrees
QUARTERS = tuple(range(0, STEPS, STEPS // 4))
_AROUND = 36
_ALONG_M = 0.0019
_SLACK_M = 1e-9


@dataclass(frozen=True)
class Arm:
    """Bars (length, radius) in a row that start at `pivot` on the axis; `turn_rad` is their angle from the axis."""

    pivot: Point
    axis: Axis
    turn_rad: float
    bars: tuple[tuple[float, float], ...]

    @property
    def reach_m(self) -> float:
        """No point of it is farther from the pivot, m."""
        return math.hypot(sum(length for length, _ in self.bars), max(radius for _, radius in self.bars))

    def around(self) -> Box:
        """A box around all ways it may turn."""
        reach = self.reach_m
        low, high = ([p + sign * reach for p in self.pivot] for sign in (-1.0, 1.0))
        return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))


def clear_ways(
    arm: Arm, bodies: Sequence[Box | Cylinder], gap_m: float, within: Box | None, ways: Sequence[int] = range(STEPS)
) -> Array:
    """For each of some ways round: whether the arm is `gap_m` clear of all bodies and does not leave `within`."""
    points = _skin(arm, ways)
    clear = np.ones(len(ways), dtype=bool)
    for body in bodies:
        clear &= _distance_m(points, body).min(axis=1) >= gap_m - _SLACK_M
    if within is not None:
        inside = (points >= np.array(within.low) - _SLACK_M) & (points <= np.array(within.high) + _SLACK_M)
        clear &= inside.all(axis=(1, 2))
    return np.asarray(clear)


def _skin(arm: Arm, ways: Sequence[int]) -> Array:
    """Points on the skin of the arm, for each way round: array of ways x points x 3."""
    ez = unit(arm.axis)
    ex = (ez[1], ez[2], ez[0])  # across ez, as both look along an axis
    ey = cross(ez, ex)
    local = np.concatenate([_bar(start, length, radius) for start, length, radius in _bars(arm)])
    cos_t, sin_t = math.cos(arm.turn_rad), math.sin(arm.turn_rad)
    along, side, up = local.T  # along the arm; across it and across the axis; across both
    turns = np.array(ways)[:, None] * 2 * math.pi / STEPS
    out, height = along * sin_t - up * cos_t, along * cos_t + up * sin_t
    x = np.cos(turns) * out - np.sin(turns) * side
    y = np.sin(turns) * out + np.cos(turns) * side
    z = np.broadcast_to(height, x.shape)
    return np.asarray(np.stack([x, y, z], axis=-1) @ np.array([ex, ey, ez]) + np.array(arm.pivot))


def _bars(arm: Arm) -> list[tuple[float, float, float]]:
    starts = np.cumsum([0.0, *(length for length, _ in arm.bars)])
    return [(float(start), *bar) for start, bar in zip(starts, arm.bars, strict=False)]


def _bar(start: float, length: float, radius: float) -> Array:
    """Points on the skin of one bar: rings along it, and a ring of half the radius and the middle on its far end."""
    rings = np.linspace(start, start + length, 1 + math.ceil(length / _ALONG_M))
    alongs = np.append(rings, [start + length] * 2)[:, None]
    radii = np.append(np.full(len(rings), radius), [radius / 2, 0.0])[:, None]
    turns = np.arange(_AROUND) * 2 * math.pi / _AROUND
    shape = (len(alongs), _AROUND)
    points = np.stack([np.broadcast_to(alongs, shape), radii * np.cos(turns), radii * np.sin(turns)], axis=-1)
    return np.asarray(points.reshape(-1, 3))


def _distance_m(points: Array, body: Solid) -> Array:
    """Distance of points from a box or a bar; zero within."""
    if isinstance(body, Box):
        beyond = np.maximum(np.maximum(np.array(body.low) - points, points - np.array(body.high)), 0.0)
        return np.asarray(np.sqrt((beyond**2).sum(axis=-1)))
    start, end = np.array(body.start), np.array(body.end)
    length = max(float(np.linalg.norm(end - start)), 1e-12)
    way = (end - start) / length
    along = (points - start) @ way
    across = np.sqrt(np.maximum(((points - start) ** 2).sum(axis=-1) - along**2, 0.0))
    ends = np.maximum(np.maximum(-along, along - length), 0.0)
    return np.asarray(np.hypot(ends, np.maximum(across - body.radius_m, 0.0)))
