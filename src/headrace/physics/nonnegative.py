"""
Least squares for laws of two parts, neither of which may be negative.

Answers   how much of each of two shapes makes up given points
Assumes   two columns: then the answer is the free optimum, or it has one part at zero
Source    [lawson-hanson-1974]
"""

from __future__ import annotations

import numpy as np

from headrace.units import Array


def fit_two_parts(first: Array, second: Array) -> tuple[float, float, float]:
    """The parts a, b and the misfit |a x + b y - 1|.

    minimise |a x + b y - 1|^2 with a, b >= 0        [lawson-hanson-1974], by cases for two columns

    Columns of equal length, of values above zero; scaled here, so that their units may be far apart. Error 1e-12.
    """
    wide, high = float(np.max(first)), float(np.max(second))
    x, y = first / wide, second / high
    xx, xy, yy, xs, ys = (float(np.dot(p, q)) for p, q in ((x, x), (x, y), (y, y), (x, np.ones_like(x)),
                                                           (y, np.ones_like(y))))  # fmt: skip
    found = [(max(xs / xx, 0.0), 0.0), (0.0, max(ys / yy, 0.0))]
    determinant = xx * yy - xy * xy
    if determinant > 1e-14 * xx * yy:
        both = ((xs * yy - ys * xy) / determinant, (ys * xx - xs * xy) / determinant)
        found += [both] if min(both) >= 0.0 else []
    misfit = [float(np.linalg.norm(a * x + b * y - 1.0)) for a, b in found]
    best = int(np.argmin(misfit))
    return found[best][0] / wide, found[best][1] / high, misfit[best]
