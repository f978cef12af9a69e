"""A figure: one stated number in SI, with how well it is known and where it comes from.

Answers   what a person stated, ready to compute with, and nothing lost of what was typed
Assumes   the text was read by `parse`; a figure is made once and never changed
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from math import sqrt
from typing import Any, Literal, NoReturn, TypeAlias, get_args

from headrace.units.kinds import Kind

Shape: TypeAlias = Literal["normal", "lognormal", "rectangular"]
Origin: TypeAlias = Literal["measured", "maker's figure", "estimated", "assumed", "copied", "calculated"]
ORIGINS: tuple[str, ...] = get_args(Origin)
_SLOTS = ("kind", "sigma", "shape", "half_width", "origin", "text", "unit", "exact")


class Figure(float):
    """The SI value as a float, carrying its uncertainty, origin and typed text. Immutable; arithmetic gives floats.

    sigma       one standard uncertainty (k = 1), absolute, SI; None when none is stated
    shape       normal | lognormal (the value is the median, sigma / value the deviation of its logarithm) |
                rectangular (anything within half_width is equally likely; sigma = half_width / sqrt 3)
    half_width  absolute, SI; None unless rectangular
    origin      one of ORIGINS, or None when nothing is said
    text        as typed; unit: the unit it was typed in ("mm", "EUR"); exact: the decimal of a price, else None
    """

    __slots__ = _SLOTS
    kind: Kind
    sigma: float | None
    shape: Shape
    half_width: float | None
    origin: Origin | None
    text: str
    unit: str
    exact: Decimal | None

    def __new__(
        cls,
        value_si: float,
        kind: Kind,
        *,
        sigma: float | None = None,
        shape: Shape = "normal",
        half_width: float | None = None,
        origin: Origin | None = None,
        text: str = "",
        unit: str = "",
        exact: Decimal | None = None,
    ) -> Figure:
        """A figure from SI numbers; a half_width makes it rectangular and sets sigma."""
        self = float.__new__(cls, value_si)
        if half_width is not None:
            shape, sigma = "rectangular", half_width / sqrt(3.0)
        put = object.__setattr__
        put(self, "kind", kind)
        put(self, "sigma", sigma)
        put(self, "shape", shape)
        put(self, "half_width", half_width)
        put(self, "origin", origin)
        put(self, "text", text)
        put(self, "unit", unit)
        put(self, "exact", exact)
        return self

    @property
    def relative(self) -> float | None:
        """Sigma as a share of the value; None without sigma or at zero."""
        return None if self.sigma is None or self == 0.0 else self.sigma / abs(float(self))

    def with_origin(self, origin: Origin | None) -> Figure:
        """The same figure, said to come from `origin`. Raises ValueError for a word outside ORIGINS."""
        if origin is not None and origin not in ORIGINS:
            raise ValueError(f"{origin!r} is no origin; use one of {', '.join(ORIGINS)}")
        return Figure(float(self), **{**self._facts(), "origin": origin})

    def with_sigma(self, sigma: float | None, shape: Shape = "normal") -> Figure:
        """The same figure with another standard uncertainty, absolute in SI."""
        if shape == "rectangular" and sigma is not None:
            return Figure(float(self), **{**self._facts(), "half_width": sigma * sqrt(3.0)})
        return Figure(float(self), **{**self._facts(), "sigma": sigma, "shape": shape, "half_width": None})

    def _facts(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in _SLOTS}

    def __setattr__(self, name: str, value: object) -> NoReturn:
        raise AttributeError(f"a figure does not change; make a new one to set {name!r}")

    def __delattr__(self, name: str) -> NoReturn:
        raise AttributeError(f"a figure does not change; {name!r} stays")

    def __copy__(self) -> Figure:
        return self

    def __deepcopy__(self, memo: object) -> Figure:
        return self

    def __reduce__(self) -> tuple[Callable[[float, dict[str, Any]], Figure], tuple[float, dict[str, Any]]]:
        return _rebuild, (float(self), self._facts())


def _rebuild(value_si: float, facts: dict[str, Any]) -> Figure:
    return Figure(value_si, **facts)
