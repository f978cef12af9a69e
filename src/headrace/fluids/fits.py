"""The coefficient table of the coolant fits, read once, and the short polynomials it collapses to.

Answers   which polynomial in temperature stands for one property of one mixture
Assumes   one mass fraction for the whole loop; outside its range each law goes on along its tangent
Source    [coolprop-2014] for the fitted values, [melinder-2010] and [iapws-r6-95] behind them
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from headrace.units import Range, Real, read_rows

VALID_K = Range(278.15, 338.15)
VALID_MASS_FRAC = Range(0.0, 0.6)
_CENTRE_K, _SPAN_K = 303.15, 100.0  # the fits run in u = (T - 303.15 K) / 100 K
_TINY = 1e-300  # keeps log1p(n) / n at its limit 1 for n = 0
_MOST_LN = 60.0  # reached only below 0 K or above 2000 K; keeps a wild solver step finite


@cache
def _table() -> dict[tuple[str, str], dict[tuple[int, int], float]]:
    table: dict[tuple[str, str], dict[tuple[int, int], float]] = {}
    for row in read_rows("headrace.fluids", "fits.csv"):
        terms = table.setdefault((row["base"], row["property"]), {})
        terms[int(row["x_power"]), int(row["t_power"])] = float(row["coefficient"])
    return table


def worst_frac(base: str, name: str) -> float:
    """Largest relative distance between the fit of property `name` and the values it was fitted to."""
    rows = read_rows("headrace.fluids", "fits.csv")
    return next(float(row["worst_frac"]) for row in rows if (row["base"], row["property"]) == (base, name))


def _in_fraction(power: int, x: float) -> float:
    """x^power, gone on along its tangent beyond the fitted mass fractions."""
    inside = min(max(x, VALID_MASS_FRAC.low), VALID_MASS_FRAC.high)
    slope = power * inside ** (power - 1) if power else 0.0
    return inside**power + slope * (x - inside)


def _horner(coefficients: tuple[float, ...], u: Real) -> Real:
    total: Real = coefficients[-1]
    for coefficient in coefficients[-2::-1]:
        total = total * u + coefficient
    return total


@dataclass(frozen=True)
class Law:
    """One property of one mixture: a polynomial in u, with the value and slope it has at both ends."""

    terms: tuple[float, ...]
    low: float
    low_slope: float
    high: float
    high_slope: float

    def beyond(self, temp_k: Real) -> tuple[Real, Real, Real]:
        """Kelvin above the range, kelvin below it (negative), and u held inside it."""
        above = np.maximum(temp_k - VALID_K.high, 0.0)
        below = np.minimum(temp_k - VALID_K.low, 0.0)
        return above, below, (temp_k - above - below - _CENTRE_K) / _SPAN_K

    def linear(self, temp_k: Real) -> Real:
        """The property itself; outside, its tangent, bent where it falls so that it stays above zero."""
        if _all_inside(temp_k):
            return _horner(self.terms, (temp_k - _CENTRE_K) / _SPAN_K)
        above, below, u = self.beyond(temp_k)
        growth = above * (self.high_slope / self.high) + below * (self.low_slope / self.low)
        return _horner(self.terms, u) * _bent(growth)

    def logarithmic(self, temp_k: Real) -> Real:
        """The exponential of the polynomial; outside, of its tangent."""
        if _all_inside(temp_k):
            inside: Real = np.exp(_horner(self.terms, (temp_k - _CENTRE_K) / _SPAN_K))
            return inside
        above, below, u = self.beyond(temp_k)
        more = np.minimum(np.maximum(above * self.high_slope + below * self.low_slope, -_MOST_LN), _MOST_LN)
        value: Real = np.exp(_horner(self.terms, u) + more)
        return value

    def integral(self, temp_k: Real) -> Real:
        """Integral of `linear` from the low end of the range to `temp_k`."""
        return self.integral_and_value(temp_k)[0]

    def integral_and_value(self, temp_k: Real) -> tuple[Real, Real]:
        """`integral` and `linear` together, for a Newton step."""
        start = (VALID_K.low - _CENTRE_K) / _SPAN_K
        if _all_inside(temp_k):
            u = (temp_k - _CENTRE_K) / _SPAN_K
            return _SPAN_K * (_primitive(self.terms, u) - _primitive(self.terms, start)), _horner(self.terms, u)
        above, below, u = self.beyond(temp_k)
        inside = _primitive(self.terms, u) - _primitive(self.terms, start)
        growth = above * (self.high_slope / self.high) + below * (self.low_slope / self.low)
        outside = (self.high * above + self.low * below) * _mean_bent(growth)
        return _SPAN_K * inside + outside, _horner(self.terms, u) * _bent(growth)


def _all_inside(temp_k: Real) -> bool:
    """True where no tangent is needed, which saves most of the work; the value is the same either way."""
    if isinstance(temp_k, np.ndarray) and temp_k.size:
        return bool(temp_k.min() >= VALID_K.low and temp_k.max() <= VALID_K.high)
    return False


def _bent(growth: Real) -> Real:
    """1 + g where the tangent rises, 1 / (1 - g) where it falls: same slope at 0, never below 0."""
    value: Real = (1.0 + np.maximum(growth, 0.0)) / (1.0 - np.minimum(growth, 0.0))
    return value


def _mean_bent(growth: Real) -> Real:
    """Mean of `_bent` over 0..g, which turns the tangent into its integral."""
    fall = np.maximum(-growth, 0.0) + _TINY
    value: Real = 0.5 * np.maximum(growth, 0.0) + np.log1p(fall) / fall
    return value


def _primitive(terms: tuple[float, ...], u: Real) -> Real:
    return u * _horner(tuple(term / (power + 1) for power, term in enumerate(terms)), u)


@cache
def find_law(base: str, name: str, mass_frac: float) -> Law:
    """The law of property `name` for one mixture; the powers of the mass fraction are summed here, once."""
    table = _table()[base, name]
    terms = [0.0] * (1 + max(power for _, power in table))
    for (x_power, t_power), coefficient in table.items():
        terms[t_power] += coefficient * _in_fraction(x_power, mass_frac)
    slopes = tuple(power * term / _SPAN_K for power, term in enumerate(terms) if power)
    ends = [(edge - _CENTRE_K) / _SPAN_K for edge in (VALID_K.low, VALID_K.high)]
    values = [float(_horner(tuple(terms), u)) for u in ends]
    rises = [float(_horner(slopes, u)) for u in ends]
    return Law(tuple(terms), values[0], rises[0], values[1], rises[1])
