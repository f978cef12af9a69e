"""
O-rings in their grooves.

Answers   how far a cord is squeezed
Assumes   the groove is as deep as stated when the joint is closed; stretch of the ring is left out (1 to 3 % is usual)
Source    [seal-guide-01]
"""

from __future__ import annotations

from headrace.units import Real


def squeeze_frac(cord_m: Real, groove_m: Real) -> Real:
    """Share of its thickness by which an O-ring is squeezed; below zero it does not touch.

    s = (d - t) / d        [seal-guide-01], by definition: d the cord, t the depth of the groove when closed

    m, d above zero.
    """
    return (cord_m - groove_m) / cord_m
