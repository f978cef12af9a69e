"""
How much pressure a loop can see.

Answers   the pressure of all pumps at full speed without flow, and the height of its water column
Assumes   all pumps in series; a tank open to the air; a loop that does not say where its parts are has a usual height
"""

from __future__ import annotations

from headrace.checks.build import Build
from headrace.checks.heights import span_m
from headrace.checks.wetted import pumps
from headrace.geometry.posture import UPRIGHT
from headrace.parts.pump import Pump
from headrace.physics.expansion import column_pa

COLD_K = 293.15


def shut_off_pa(build: Build, water: frozenset[str]) -> float | None:
    """
    The most all pumps of a loop can add: the sum of their heads at full speed and no flow; None without a pump.

    dp = sum dp_0 rho / rho_test        an upper bound; pumps side by side do not add up

    rho of the cold coolant.
    """
    here = [part.card for part in pumps(build.loop) if part.id in water and isinstance(part.card, Pump)]
    if not here:
        return None
    density = float(build.loop.coolant.fluid().density_kg_m3(COLD_K))
    return sum(card.fit().shutoff_pa * density / card.curve[0].with_.density_kg_m3() for card in here)


def most_pa(build: Build, water: frozenset[str]) -> float:
    """
    The most pressure a part of a loop can see: pumps and water column; without a pump the column alone.

    p = dp_pumps + rho g h        hydrostatics, an upper bound
    """
    return (shut_off_pa(build, water) or 0.0) + static_pa(build, water)


def static_pa(build: Build, water: frozenset[str]) -> float:
    """
    Pressure of the water column from the top to the bottom of a loop, upright.

    dp = rho g h        hydrostatics

    Where a part does not say where it stands, h is at least the usual height of a loop (`assumed_loop_height`).
    """
    spans = [span_m(part, UPRIGHT) for part in build.loop.parts if part.id in water]
    known = [span for span in spans if span is not None]
    height = max(high for _, high in known) - min(low for low, _ in known) if known else 0.0
    if len(known) < len(spans):
        height = max(height, build.loop.thresholds("assumed_loop_height"))
    return column_pa(height, float(build.loop.coolant.fluid().density_kg_m3(COLD_K)))
