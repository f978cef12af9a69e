"""
The exponential of a small matrix.

Answers   exp(A), with which linear rates that hold for a while are followed exactly
Assumes   tens of rows; written with products alone, since solving systems this small wakes threads that cost more
Source    [moler-van-loan-2003] scaling and squaring
"""

from __future__ import annotations

import math

import numpy as np

from headrace.units import Array

_DEGREE = 13
_MOST_NORM = 0.5  # 0.5^14 / 14! = 7e-16 is left out


def expm(matrix: Array) -> Array:
    """The exponential of a square matrix.

    exp(A) = (sum of (A / 2^s)^k / k!, k = 0..13)^(2^s), s such that |A| / 2^s <= 0.5        [moler-van-loan-2003]

    Rounding grows with s: 1e-13 at a norm of 10, 1e-9 at a million.
    """
    norm = float(np.max(np.sum(np.abs(matrix), axis=0), initial=0.0))
    squarings = max(0, math.ceil(math.log2(norm / _MOST_NORM))) if norm > 0.0 else 0
    small = matrix / 2.0**squarings
    unit = np.eye(len(matrix))
    power = unit
    for term in range(_DEGREE, 0, -1):
        power = unit + small @ power / term
    for _ in range(squarings):
        power = power @ power
    return power
