"""
How high water stands in a box that is partly full, in any posture.

Answers   the height of the surface for a share of the box that is filled
Assumes   the water lies still, the box is all hollow, its edges along the axes of the case
Source    share below a plane: sum over the corners of the cut pyramids, by inclusion and exclusion; plane geometry
"""

from __future__ import annotations

from itertools import product
from math import factorial, prod

from headrace.geometry.posture import Posture
from headrace.geometry.solid import Box

_FLAT = 1e-4  # an edge that rises less than this share of the steepest counts as level
_HALVINGS = 60


def surface_m(box: Box, posture: Posture, full_frac: float) -> float:
    """Height of the surface above the origin of the case frame, with `full_frac` (0 to 1) of the box filled."""
    rises = [abs(up) * size for up, size in zip(posture.up, box.size, strict=True)]
    lowest = min(posture.height_m((x, y, z)) for x, y, z in product(*zip(box.low, box.high, strict=True)))
    steep = [rise for rise in rises if rise > _FLAT * max(rises)]
    low, high = 0.0, sum(steep)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if share_below_frac(steep, middle) < full_frac:
            low = middle
        else:
            high = middle
    return lowest + (sum(rises) - sum(steep)) / 2 + (low + high) / 2


def share_below_frac(rises_m: list[float], level_m: float) -> float:
    """The share of a box that lies below a level.

    V = sum over the subsets S of the n edges of (-1)^|S| max(0, h - sum of S)^n / (n! product of all edges)

    `rises_m` is how much each edge that is not level rises, `level_m` the height h over the lowest corner, up to
    the sum of all.
    """
    if not rises_m:
        return 1.0
    total = 0.0
    for chosen in product((0, 1), repeat=len(rises_m)):
        left = level_m - sum(rise for rise, taken in zip(rises_m, chosen, strict=True) if taken)
        total += (-1) ** sum(chosen) * max(0.0, left) ** len(rises_m)
    return total / (factorial(len(rises_m)) * prod(rises_m))
