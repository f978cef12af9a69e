"""
Whether a number is past a limit by more than rounding.

Answers   is a value above, or below, a limit, where both come out of arithmetic
Assumes   nothing that is judged is known to a thousand-millionth part
"""

from __future__ import annotations

import math

_ROUNDING_REL = 1e-9


def above(value: float, limit: float) -> bool:
    """Whether a value is above a limit by more than rounding."""
    return value > limit and not math.isclose(value, limit, rel_tol=_ROUNDING_REL)


def below(value: float, limit: float) -> bool:
    """Whether a value is below a limit by more than rounding."""
    return above(limit, value)
