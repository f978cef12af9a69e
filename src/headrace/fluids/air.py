"""Room and case air: pressure at an altitude, humid density, heat capacity, viscosity, conductivity, dew point.

Answers   what one cubic metre of the air that meets a radiator weighs and carries
Assumes   ideal gases; the vapour content is that of the room and stays as it is while the air warms
Source    [ussa-1976] pressure and viscosity, [sonntag-1990] vapour, [coolprop-2014] conductivity
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from headrace.units import Range, Real

VALID_ALTITUDE_M = Range(-500.0, 11000.0)
VALID_K = Range(253.15, 353.15)
VALID_DEW_K = Range(228.15, 333.15)

_GAS_J_MOL_K = 8.314462618  # exact since 2019
_DRY_KG_MOL = 0.0289647  # dry air
_VAPOUR_KG_MOL = 0.01801528
_DRY_CP = 1006.5  # J/kg K; 1006.1 at 293 K, 1008.0 at 333 K computed with CoolProp 8.0.0
_VAPOUR_CP = 1875.0  # J/kg K near 300 K, from memory of steam tables; 1 % of it moves humid cp by 0.02 %
_MAGNUS = (611.2, 17.62, 243.12)  # Pa, 1, K over water
_ICE_K = 273.15


def pressure_pa(altitude_m: Real) -> Real:
    """Air pressure at an altitude above the sea.

    p = 101325 (1 - 0.0065 H / 288.15)^5.2559, H = 6356766 z / (6356766 + z)        [ussa-1976]

    z in m within VALID_ALTITUDE_M, H the geopotential height; outside the pressure falls off exponentially
    with the slope it has at the end. Weather moves it by 3 %.
    """
    inside = np.minimum(np.maximum(altitude_m, VALID_ALTITUDE_M.low), VALID_ALTITUDE_M.high)
    geopotential = 6356766.0 * inside / (6356766.0 + inside)
    ratio = 1.0 - 0.0065 * geopotential / 288.15
    fall = 5.25588 * 0.0065 / 288.15 / ratio  # -d ln p / dz at the end
    beyond = np.minimum(np.maximum(fall * (altitude_m - inside), -30.0), 600.0)  # keeps a wild altitude finite
    pressure: Real = 101325.0 * ratio**5.25588 * np.exp(-beyond)
    return pressure


def saturation_pa(temp_k: Real) -> Real:
    """Vapour pressure over water at saturation.

    e = 611.2 exp(17.62 t / (243.12 + t)), t in degrees Celsius        [sonntag-1990]

    T in K within VALID_DEW_K, error 0.3 % above freezing; outside it goes on along the tangent of ln e.
    """
    base_pa, slope, offset_k = _MAGNUS
    inside = np.minimum(np.maximum(temp_k, VALID_DEW_K.low), VALID_DEW_K.high)
    celsius = inside - _ICE_K
    tangent = slope * offset_k / (offset_k + celsius) ** 2
    beyond = np.minimum(np.maximum(tangent * (temp_k - inside), -30.0), 30.0)
    pressure: Real = base_pa * np.exp(slope * celsius / (offset_k + celsius) + beyond)
    return pressure


def dew_point_k(temp_k: Real, humidity_frac: Real) -> Real:
    """Temperature at which a surface in this air grows wet.

    g = ln(RH) + 17.62 t / (243.12 + t);  Td = 243.12 g / (17.62 - g), t in degrees Celsius        [sonntag-1990]

    T in K within VALID_DEW_K, RH 0..1. Error 0.1 K. Over water, also below freezing.
    """
    _, slope, offset_k = _MAGNUS
    inside = np.minimum(np.maximum(temp_k, VALID_DEW_K.low), VALID_DEW_K.high) - _ICE_K
    pull = np.log(np.maximum(humidity_frac, 1e-6)) + slope * inside / (offset_k + inside)
    pull = np.minimum(pull, 0.9 * slope)
    dew: Real = _ICE_K + offset_k * pull / (slope - pull) + (temp_k - _ICE_K - inside)
    return dew


@dataclass(frozen=True)
class Air:
    """Air of one pressure and one vapour content (`vapour_frac`, mole fraction of water vapour)."""

    pressure_pa: float
    vapour_frac: float

    @classmethod
    def at(cls, altitude_m: float = 0.0, humidity_frac: float = 0.5, temp_k: float = 295.15) -> Air:
        """The air of a room at this altitude, whose relative humidity is `humidity_frac` at `temp_k`.

        x = RH e(T) / p        Dalton, with e of [sonntag-1990] and p of [ussa-1976]
        """
        pressure = float(pressure_pa(altitude_m))
        return cls(pressure, min(humidity_frac * float(saturation_pa(temp_k)) / pressure, 1.0))

    @property
    def mol_mass_kg(self) -> float:
        """Mass of one mole of this air, in kg."""
        return _DRY_KG_MOL + (_VAPOUR_KG_MOL - _DRY_KG_MOL) * self.vapour_frac

    def density_kg_m3(self, temp_k: Real) -> Real:
        """Density of humid air.

        rho = p M / (R T), M = (1 - x) M_air + x M_vapour        [ussa-1976]

        T in K within VALID_K; ideal gas, error 0.05 %. Colder than 50 K it stays at its value there.
        """
        density: Real = self.pressure_pa * self.mol_mass_kg / (_GAS_J_MOL_K * np.maximum(temp_k, 50.0))
        return density

    def heat_capacity_j_kg_k(self, temp_k: Real) -> Real:
        """Heat capacity per kilogram of humid air.

        cp = (1 - w) 1006.5 + w 1875, w the mass share of vapour        dry part from [coolprop-2014]

        T in K within VALID_K; taken as constant there, error 0.1 % dry, 0.4 % in hot damp air.
        """
        share = self.vapour_frac * _VAPOUR_KG_MOL / self.mol_mass_kg
        return (_DRY_CP + (_VAPOUR_CP - _DRY_CP) * share) * (1.0 + 0.0 * temp_k)

    def viscosity_pa_s(self, temp_k: Real) -> Real:
        """Dynamic viscosity of air.

        mu = 1.458e-6 T^1.5 / (T + 110.4)        [ussa-1976]

        T in K within VALID_K. Dry air, 0.3 to 0.7 % below CoolProp; damp air is thinner, by 1 % at 308 K and 90 %.
        """
        warm = np.maximum(temp_k, 50.0)
        viscosity: Real = 1.458e-6 * warm**1.5 / (warm + 110.4)
        return viscosity

    def conductivity_w_m_k(self, temp_k: Real) -> Real:
        """Thermal conductivity of air.

        k = 0.025856 (T / 293.15)^0.845        own fit to [coolprop-2014]

        T in K within VALID_K. Dry air; fit error 0.14 %.
        """
        conductivity: Real = 0.025856 * (np.maximum(temp_k, 50.0) / 293.15) ** 0.84478
        return conductivity
