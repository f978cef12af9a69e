"""Smooth values between points of a table, without overshoot.

Answers   what a measured or stated table says between and beyond its points
Assumes   points in rising order of x; beyond the ends the table goes on with its end slope
Source    [fritsch-carlson-1980]
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from headrace.units import Array, Real

_LEAST_SHARE = 1e-9  # a log-log table stays level below this share of its first x

_MOST_LN = 300.0  # keeps the end of a very steep table finite


@dataclass(frozen=True)
class Pchip:
    """Piecewise cubics; `cubics[i]` holds c0..c3 of c0 + c1 d + c2 d^2 + c3 d^3 with d = x - knots[i]."""

    knots: tuple[float, ...]
    cubics: tuple[tuple[float, float, float, float], ...]

    @cached_property
    def _arrays(self) -> tuple[Array, Array]:
        return np.asarray(self.knots), np.asarray(self.cubics).T.copy()

    @cached_property
    def low_slope(self) -> float:
        """Slope at the first knot, and of everything before it."""
        return self.cubics[0][1]

    @cached_property
    def high_slope(self) -> float:
        """Slope at the last knot, and of everything beyond it."""
        d = self.knots[-1] - self.knots[-2]
        _, c1, c2, c3 = self.cubics[-1]
        return c1 + d * (2.0 * c2 + 3.0 * c3 * d)

    def value(self, x: Real) -> Real:
        """Value at x.

        y = c0 + c1 d + c2 d^2 + c3 d^3, d = x - x_i; straight on beyond the ends        [fritsch-carlson-1980]
        """
        above = np.maximum(x - self.knots[-1], 0.0)
        below = np.minimum(x - self.knots[0], 0.0)
        return self.inside(np.minimum(np.maximum(x, self.knots[0]), self.knots[-1])) + (
            above * self.high_slope + below * self.low_slope
        )

    def inside(self, x: Real) -> Real:
        """Value at x between the end knots; the caller sees to that."""
        knots, cubics = self._arrays
        piece = np.searchsorted(knots[1:-1], x, side="right")
        c0, c1, c2, c3 = cubics[0][piece], cubics[1][piece], cubics[2][piece], cubics[3][piece]
        d = x - knots[piece]
        value: Real = c0 + d * (c1 + d * (c2 + d * c3))
        return value


def fit_pchip(x: Sequence[float], y: Sequence[float]) -> Pchip:
    """The cubics through points of strictly rising x, at least two, monotone wherever the points are.

    d_i = (w1 + w2) / (w1 / m_(i-1) + w2 / m_i), w1 = 2 h_i + h_(i-1), w2 = h_i + 2 h_(i-1)
    [fritsch-butland-1984]

    m the chords, h their widths; a slope between chords of unlike sign is 0. The end slopes are those of the parabola
    through three points, held to the sign of the end chord and to three times it.
    """
    knots, values = [float(v) for v in x], [float(v) for v in y]
    width = [b - a for a, b in pairwise(knots)]
    chord = [(b - a) / h for (a, b), h in zip(pairwise(values), width, strict=True)]
    inner = [_slope(*pair) for pair in zip(pairwise(width), pairwise(chord), strict=True)]
    slopes = [_end_slope(width[:2], chord[:2]), *inner, _end_slope(width[:-3:-1], chord[:-3:-1])]
    cubics = [
        (c0, d0, (3.0 * m - 2.0 * d0 - d1) / h, (d0 + d1 - 2.0 * m) / (h * h))
        for c0, m, h, (d0, d1) in zip(values[:-1], chord, width, pairwise(slopes), strict=True)
    ]
    return Pchip(tuple(knots), tuple(cubics))


def _slope(width: tuple[float, float], chord: tuple[float, float]) -> float:
    if chord[0] * chord[1] <= 0.0:
        return 0.0
    w1, w2 = 2.0 * width[1] + width[0], width[1] + 2.0 * width[0]
    return (w1 + w2) / (w1 / chord[0] + w2 / chord[1])


def _end_slope(width: Sequence[float], chord: Sequence[float]) -> float:
    if len(chord) == 1:
        return chord[0]
    slope = ((2.0 * width[0] + width[1]) * chord[0] - width[0] * chord[1]) / (width[0] + width[1])
    if slope * chord[0] <= 0.0:
        return 0.0
    turns = chord[0] * chord[1] <= 0.0
    return 3.0 * chord[0] if turns and abs(slope) > 3.0 * abs(chord[0]) else slope


@dataclass(frozen=True)
class LogTable:
    """Straight lines through points on log-log paper; one point is a constant."""

    log_x: tuple[float, ...]
    log_y: tuple[float, ...]

    @cached_property
    def _arrays(self) -> tuple[Array, Array, Array]:
        x, y = np.asarray(self.log_x), np.asarray(self.log_y)
        slopes = np.diff(y) / np.diff(x) if x.size > 1 else np.zeros(1)
        return x, y, slopes

    @cached_property
    def low_slope(self) -> float:
        """Exponent of x before the first point."""
        return float(self._arrays[2][0])

    def value(self, x: Real) -> Real:
        """Value at x.

        ln y straight in ln x between points; beyond the ends the end slope goes on        ours

        Level below a billionth of the first x and beyond a billion times the last, so that it is finite at 0.
        """
        knots, values, slopes = self._arrays
        least, most = np.exp(knots[0]) * _LEAST_SHARE, np.exp(knots[-1]) / _LEAST_SHARE
        at = np.log(np.minimum(np.maximum(x, least), most))
        piece = np.searchsorted(knots[1:-1], at, side="right")
        log_value = values[piece] + slopes[piece] * (at - knots[piece])
        value: Real = np.exp(np.minimum(np.maximum(log_value, -_MOST_LN), _MOST_LN))
        return value


def fit_log_table(x: Sequence[float], y: Sequence[float]) -> LogTable:
    """A log-log table through points with x rising and x, y above zero."""
    return LogTable(tuple(float(np.log(v)) for v in x), tuple(float(np.log(v)) for v in y))
