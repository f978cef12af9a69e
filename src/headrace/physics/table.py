"""Smooth values between points of a table, without overshoot.

Answers   what a measured or stated table says between and beyond its points
Assumes   points in rising order of x; beyond the ends the table goes on with its end slope
Source    [fritsch-carlson-1980]
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

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

    slopes by weighted harmonic means of the neighbouring chords        [fritsch-carlson-1980]
    """
    from scipy.interpolate import PchipInterpolator

    cubic = PchipInterpolator(np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64))
    rows = cubic.c[::-1].T
    return Pchip(tuple(float(v) for v in x), tuple((float(a), float(b), float(c), float(d)) for a, b, c, d in rows))


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
