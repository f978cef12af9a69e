"""
Which bodies come near one another, and how far one must move to leave room.

Answers   the pairs of boxes that are less than a reach apart along every axis; the least shift along an axis
Assumes   boxes along the axes, such as stand around bodies: a pair left out is at least the reach apart
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from headrace.geometry.solid import Box
from headrace.geometry.turn import AXES, Axis
from headrace.units import Array


def pairs_within(ones: Sequence[Box], others: Sequence[Box], reach_m: float) -> list[tuple[int, int]]:
    """The (one, other) indices of boxes with less than `reach_m` between them along every axis."""
    if not ones or not others:
        return []
    (low, high), (other_low, other_high) = _corners(ones), _corners(others)
    close = (other_low[None] - high[:, None] < reach_m) & (low[:, None] - other_high[None] < reach_m)
    return [(int(i), int(j)) for i, j in np.argwhere(close.all(axis=2))]


def _corners(boxes: Sequence[Box]) -> tuple[Array, Array]:
    return np.array([box.low for box in boxes]), np.array([box.high for box in boxes])


def shift_apart(moved: Box, still: Box, gap_m: float) -> tuple[Axis, float]:
    """The axis and the least distance, m, along which `moved` goes until `gap_m` lies between it and `still`."""
    ways = []
    for axis in AXES:
        i = "xyz".index(axis[1])
        far = still.high[i] - moved.low[i] if axis[0] == "+" else moved.high[i] - still.low[i]
        ways.append((axis, far + gap_m))
    return min(ways, key=lambda way: way[1])
