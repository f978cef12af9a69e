"""Plain numbers: the type of a formula's argument, and the range a formula was made for.

A formula in this package is elementwise numpy: the same text serves one loop (floats) and many variants (arrays).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Real: TypeAlias = float | Array
Indices: TypeAlias = NDArray[np.intp]


@dataclass(frozen=True)
class Range:
    """The closed span of one argument for which a formula was fitted or measured, in SI."""

    low: float
    high: float

    def covers(self, value: Real) -> bool:
        """True when every element of `value` lies within the span."""
        if isinstance(value, float):
            return self.low <= value <= self.high
        return bool(np.all((np.asarray(value) >= self.low) & (np.asarray(value) <= self.high)))
