"""
Water that warms in a closed vessel, and water that stands on water.

Answers   how far the pressure of a sealed loop rises when it warms, and what a column of water weighs
Assumes   the vessel does not stretch, the air is an ideal gas as warm as the water; vapour and dissolved air neglected
Source    ideal gas, conservation of mass
"""

from __future__ import annotations

import math

ATMOSPHERE_PA = 101325.0
GRAVITY_M_S2 = 9.80665  # conventional, exact by definition


def expanded_m3(water_m3: float, cold_kg_m3: float, warm_kg_m3: float) -> float:
    """How much more room a mass of water takes when its density falls.

    dV = V (rho_cold / rho_warm - 1)        conservation of mass

    m3 and kg/m3; below zero when it cools.
    """
    return water_m3 * (cold_kg_m3 / warm_kg_m3 - 1.0)


def sealed_rise_pa(
    air_m3: float,
    expansion_m3: float,
    cold_k: float,
    warm_k: float,
    closed_pa: float = ATMOSPHERE_PA,
) -> float:
    """Rise of pressure in a sealed loop whose water takes room from its air and warms it.

    dp = p0 (Va / (Va - dV)) (T2 / T1) - p0        ideal gas

    m3, K and Pa; p0 is the pressure it was closed at. Infinite where the water takes all the room. An upper bound:
    soft tube stretches.
    """
    left = air_m3 - expansion_m3
    if left <= 0.0:
        return math.inf
    return closed_pa * (air_m3 / left * warm_k / cold_k - 1.0)


def column_pa(height_m: float, density_kg_m3: float) -> float:
    """Pressure of a column of water.

    dp = rho g h        hydrostatics

    m and kg/m3.
    """
    return density_kg_m3 * GRAVITY_M_S2 * height_m
