"""
Many small linear systems at once.

Answers   x in A x = b for every variant
Assumes   the unknowns stand in an order in which elimination needs no exchange of rows: a dominant or positive
          definite block first, as flow, heat and air balances have it
"""

from __future__ import annotations

import numpy as np

from headrace.units import Array

_MANY = 64  # from here on eliminating all variants together beats one call of LAPACK a variant
_SMALL = 12


def solve_small(matrix: Array, right: Array) -> Array:
    """Solve (variants, n, n) systems for (variants, n, m) right sides."""
    if len(matrix) < _MANY or matrix.shape[1] > _SMALL:
        return np.asarray(np.linalg.solve(matrix, right), dtype=np.float64)
    a = np.ascontiguousarray(np.moveaxis(matrix, 0, -1))
    x = np.ascontiguousarray(np.moveaxis(right, 0, -1))
    count = len(a)
    for k in range(count):
        per_pivot = 1.0 / a[k, k]
        for i in range(k + 1, count):
            share = a[i, k] * per_pivot
            a[i, k + 1 :] -= share * a[k, k + 1 :]
            x[i] -= share * x[k]
    for k in range(count - 1, -1, -1):
        for i in range(k + 1, count):
            x[k] -= a[k, i] * x[i]
        x[k] /= a[k, k]
    return np.moveaxis(x, -1, 0)
