"""Coolant: water, or water with propylene or ethylene glycol, at one temperature.

Answers   density, heat capacity, enthalpy, viscosity, conductivity and freezing point of the liquid
Assumes   0.1 MPa; plain glycol and water (an inhibited commercial mix differs by a few %)
Source    fits to [coolprop-2014], which holds [melinder-2010]; water from [iapws-r6-95] and [iapws-r12-08]
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal, TypeAlias

import numpy as np

from headrace.fluids.fits import VALID_K, VALID_MASS_FRAC, Law, find_law
from headrace.units import Range, Real

__all__ = ["VALID_K", "VALID_MASS_FRAC", "Base", "Coolant", "glycol_mass", "glycol_volume", "mass_frac", "volume_frac"]

Base: TypeAlias = Literal["water", "propylene glycol", "ethylene glycol"]
BASES: tuple[Base, ...] = ("water", "propylene glycol", "ethylene glycol")

# Pure liquids at 293.15 K, from memory of handbook values; they only turn a label's volume % into mass %.
GLYCOL_KG_M3: dict[str, float] = {"propylene glycol": 1036.0, "ethylene glycol": 1113.0}
WATER_KG_M3 = 998.2

# Freezing point depression in K = sum a x^i, i = 1..4; own least squares on CoolProp 8.0.0, x 0.01..0.6.
# Worst distance 0.04 K (propylene) and 0.004 K (ethylene).
_FREEZING: dict[str, tuple[float, ...]] = {
    "water": (0.0, 0.0, 0.0, 0.0),
    "propylene glycol": (-19.61461768, -109.87112827, 215.02042788, -348.49461374),
    "ethylene glycol": (-30.71746013, -10.17817112, -194.47232332, 99.50795568),
}
_ICE_K = 273.15
_MOST_STEPS = 60
_CLOSE = 1e-8  # Newton squares the error: after such a step 1e-3 (1e-8 T)^2 K is left

VALID_ENTHALPY_J_KG = Range(0.0, 3.0e5)


@dataclass(frozen=True)
class Coolant:
    """One mixture; `mass_frac` is the glycol's share of the mass, 0 for water."""

    base: Base
    mass_frac: float

    @cached_property
    def _density(self) -> Law:
        return find_law(self.base, "density_kg_m3", self.mass_frac)

    @cached_property
    def _heat_capacity(self) -> Law:
        return find_law(self.base, "heat_capacity_j_kg_k", self.mass_frac)

    @cached_property
    def _viscosity(self) -> Law:
        return find_law(self.base, "ln_viscosity_pa_s", self.mass_frac)

    @cached_property
    def _conductivity(self) -> Law:
        return find_law(self.base, "conductivity_w_m_k", self.mass_frac)

    @cached_property
    def _zero_j_kg(self) -> float:
        return float(self._heat_capacity.integral(_ICE_K))

    def density_kg_m3(self, temp_k: Real) -> Real:
        """Density of the coolant.

        rho = sum c x^i u^j, u = (T - 303.15) / 100        [coolprop-2014]

        T in K within VALID_K. Fit error: water 5e-6, glycol mixes 5e-4; 9e-4 below a mass fraction of 0.1.
        """
        return self._density.linear(temp_k)

    def heat_capacity_j_kg_k(self, temp_k: Real) -> Real:
        """Heat capacity at constant pressure.

        cp = sum c x^i u^j, u = (T - 303.15) / 100        [coolprop-2014]

        T in K within VALID_K. Fit error: water 4e-5, glycol mixes 2.6e-3.
        """
        return self._heat_capacity.linear(temp_k)

    def viscosity_pa_s(self, temp_k: Real) -> Real:
        """Dynamic viscosity.

        mu = exp(sum c x^i u^j), u = (T - 303.15) / 100        [coolprop-2014]

        T in K within VALID_K. Fit error: water 2.3e-4, propylene glycol 1.1 %, ethylene glycol 0.7 %;
        1.9 % below a mass fraction of 0.1.
        """
        return self._viscosity.logarithmic(temp_k)

    def conductivity_w_m_k(self, temp_k: Real) -> Real:
        """Thermal conductivity.

        k = sum c x^i u^j, u = (T - 303.15) / 100        [coolprop-2014]

        T in K within VALID_K. Fit error: water 4e-5, glycol mixes 2.5e-3; 4.2e-3 below a mass fraction of 0.1.
        """
        return self._conductivity.linear(temp_k)

    def enthalpy_j_kg(self, temp_k: Real) -> Real:
        """Enthalpy above that of the same coolant at 273.15 K.

        h = integral of cp dT from 273.15 K to T        exact for the cp above [coolprop-2014]

        T in K within VALID_K; strictly rising everywhere, so it can be turned round.
        """
        return self._heat_capacity.integral(temp_k) - self._zero_j_kg

    def enthalpy_and_capacity(self, temp_k: Real) -> tuple[Real, Real]:
        """`enthalpy_j_kg` and `heat_capacity_j_kg_k` together, for a Newton step."""
        whole, capacity = self._heat_capacity.integral_and_value(temp_k)
        return whole - self._zero_j_kg, capacity

    def temp_k(self, enthalpy_j_kg: Real) -> Real:
        """Temperature at which the coolant holds this enthalpy.

        solve h(T) = h by T <- T - (h(T) - h) / cp(T)        Newton on the law of [coolprop-2014]

        h in J/kg above 273.15 K. Stops when no step exceeds 1e-8 of T, which leaves 1e-13 of T.
        """
        goal = enthalpy_j_kg + self._zero_j_kg
        temp: Real = _ICE_K + enthalpy_j_kg / self.heat_capacity_j_kg_k(VALID_K.low)
        for _ in range(_MOST_STEPS):
            reached, slope = self._heat_capacity.integral_and_value(temp)
            step = (reached - goal) / slope
            temp = temp - step
            if np.all(np.abs(step) <= _CLOSE * np.abs(temp)):
                break
        return temp

    def prandtl(self, temp_k: Real) -> Real:
        """Prandtl number.

        Pr = cp mu / k        by definition, from the laws of [coolprop-2014]
        """
        return self.heat_capacity_j_kg_k(temp_k) * self.viscosity_pa_s(temp_k) / self.conductivity_w_m_k(temp_k)

    @property
    def freezing_temp_k(self) -> float:
        """Temperature at which the first ice forms.

        T = 273.15 + a1 x + a2 x^2 + a3 x^3 + a4 x^4        own fit to [coolprop-2014]

        x the mass fraction within VALID_MASS_FRAC, beyond it along the tangent. Fit error 0.04 K.
        """
        x = min(max(self.mass_frac, VALID_MASS_FRAC.low), VALID_MASS_FRAC.high)
        terms = tuple(enumerate(_FREEZING[self.base], start=1))
        slope = sum(power * term * x ** (power - 1) for power, term in terms)
        return _ICE_K + sum(term * x**power for power, term in terms) + slope * (self.mass_frac - x)

    def expansion_frac(self, from_k: Real, to_k: Real) -> Real:
        """Growth of the volume of a given mass between two temperatures.

        dV/V = rho(T1) / rho(T2) - 1        mass is kept; rho of [coolprop-2014]

        T in K within VALID_K. Falls below 0 for water that warms towards 277 K.
        """
        return self.density_kg_m3(from_k) / self.density_kg_m3(to_k) - 1.0


def water() -> Coolant:
    """Plain water."""
    return Coolant("water", 0.0)


def glycol_mass(base: str, mass_frac: float) -> Coolant:
    """A mix by mass: `base` is "propylene glycol" or "ethylene glycol" ("water" takes no glycol)."""
    if base not in BASES:
        raise ValueError(f"unknown coolant base {base!r}; one of {', '.join(BASES)}")
    known = next(name for name in BASES if name == base)
    return Coolant(known, 0.0 if known == "water" else mass_frac)


def glycol_volume(base: str, volume_frac: float) -> Coolant:
    """A mix by volume, as most labels state it."""
    return glycol_mass(base, 0.0 if base == "water" else mass_frac(base, volume_frac))


def mass_frac(base: str, volume_frac: float) -> float:
    """Mass fraction of glycol from its volume fraction.

    x = phi rho_g / (phi rho_g + (1 - phi) rho_w)        volumes of the pure liquids at 293.15 K, ideal mixing

    phi 0..1. Neglects the contraction on mixing: about 0.5 % of x.
    """
    glycol = volume_frac * GLYCOL_KG_M3[base]
    return glycol / (glycol + (1.0 - volume_frac) * WATER_KG_M3)


def volume_frac(base: str, mass_frac: float) -> float:
    """Volume fraction of glycol from its mass fraction; the inverse of `mass_frac`.

    phi = (x / rho_g) / (x / rho_g + (1 - x) / rho_w)        volumes of the pure liquids at 293.15 K, ideal mixing
    """
    glycol = mass_frac / GLYCOL_KG_M3[base]
    return glycol / (glycol + (1.0 - mass_frac) / WATER_KG_M3)
