"""Fins between flat tubes, louvred or plain: heat transfer and friction of the air that passes them.

Answers   how well one channel of a radiator core warms its air and how much pressure that takes
Assumes   corrugated fins brazed between flat tubes, dry and clean, air at the velocity in the free flow area
Source    [chang-wang-1997] [chang-2000] [chang-2006] [kim-bullard-2002] louvred, [shah-london-1978] plain
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import log, pi, radians
from typing import TypeAlias

import numpy as np

from headrace.physics.duct import entry_k, entry_nusselt, fanning_re, nusselt_one_temperature
from headrace.units import Range, Real

VALID_LOUVRE_RE = Range(100.0, 3000.0)  # on the louvre pitch
VALID_KIM_BULLARD_RE = Range(100.0, 600.0)
VALID_LOUVRE_ANGLE_RAD = Range(radians(8.4), radians(35.0))  # of the older data base, from memory
VALID_PLAIN_RE = Range(0.0, 2300.0)  # on the hydraulic diameter

_LEAST_RE = 1e-12
_LOW_RE, _HIGH_RE = 130.0, 230.0  # ends of the amendment's blend
_STEEPEST = 1.95  # a blend that falls as Re^-2 would let the pressure fall as the air speeds up
_THINNEST = 0.015  # fin thickness over pitch; thinner, a logarithm of the friction law nears zero
_EXTRA_SCALE, _EXTRA_SPAN = 0.4, log(4.0)  # 0.2 at a quarter of the lowest fitted Re, 0.4 at most


@dataclass(frozen=True)
class LouvredFin:
    """Lengths of one louvred fin and of the flat tubes it stands between."""

    pitch_m: Real
    height_m: Real
    thickness_m: Real
    depth_m: Real  # along the air
    tube_height_m: Real
    hydraulic_m: Real
    louvre_pitch_m: Real
    louvre_length_m: Real
    louvre_angle_rad: Real

    @property
    def tube_pitch_m(self) -> Real:
        """From tube to tube across the fin."""
        return self.height_m + self.tube_height_m

    @property
    def degrees(self) -> Real:
        """The louvre angle as the papers count it."""
        return self.louvre_angle_rad * 180.0 / pi


def _colburn(fin: LouvredFin, powers: tuple[float, ...]) -> Real:
    """The part of a Colburn factor that does not depend on the Reynolds number."""
    louvre = fin.louvre_pitch_m
    angle, pitch, height, depth, length, tubes, thickness = powers
    value: Real = (
        (fin.degrees / 90.0) ** angle
        * (fin.pitch_m / louvre) ** pitch
        * (fin.height_m / louvre) ** height
        * (fin.depth_m / louvre) ** depth
        * (fin.louvre_length_m / louvre) ** length
        * (fin.tube_pitch_m / louvre) ** tubes
        * (fin.thickness_m / louvre) ** thickness
    )
    return value


def chang_wang_j(re: Real, fin: LouvredFin) -> Real:
    """Colburn factor of louvred fins, the general law.

    j = Re^-0.49 (th/90)^0.27 (Fp/Lp)^-0.14 (Fl/Lp)^-0.29 (Td/Lp)^-0.23 (Ll/Lp)^0.68 (Tp/Lp)^-0.28 (d/Lp)^-0.05
    [chang-wang-1997]

    Re on the louvre pitch Lp, within VALID_LOUVRE_RE; th in degrees, fin pitch Fp, height Fl, depth Td, thickness d,
    louvre length Ll, tube pitch Tp. Error 15 %; below Re 100 the power goes on, see `extrapolated_sigma_frac`.
    """
    geometry = _colburn(fin, (0.27, -0.14, -0.29, -0.23, 0.68, -0.28, -0.05))
    value: Real = np.maximum(re, _LEAST_RE) ** -0.49 * geometry
    return value


def kim_bullard_j(re: Real, fin: LouvredFin) -> Real:
    """Colburn factor of louvred fins, the law for close fins.

    j = Re^-0.487 (th/90)^0.257 (Fp/Lp)^-0.13 (H/Lp)^-0.29 (Fd/Lp)^-0.235 (Ll/Lp)^0.68 (Tp/Lp)^-0.279 (d/Lp)^-0.05
    [kim-bullard-2002]

    Re on the louvre pitch Lp, within VALID_KIM_BULLARD_RE; th 15..29 degrees, fin pitch Fp 1.0..1.4 mm, height H,
    depth Fd 16..24 mm. Error 15 %; below Re 100 the power goes on.
    """
    geometry = _colburn(fin, (0.257, -0.13, -0.29, -0.235, 0.68, -0.279, -0.05))
    value: Real = np.maximum(re, _LEAST_RE) ** -0.487 * geometry
    return value


def _chang_low(re: Real, fin: LouvredFin) -> Real:
    thin = np.maximum(fin.thickness_m / fin.pitch_m, _THINNEST)
    first = 14.39 * re ** (-0.805 * fin.pitch_m / fin.height_m) * np.log(1.0 + fin.pitch_m / fin.louvre_pitch_m) ** 3.04
    second = np.log(thin**0.48 + 0.9) ** -1.435 * (fin.hydraulic_m / fin.louvre_pitch_m * np.log(0.5 * re)) ** -3.01
    sides = (fin.pitch_m / fin.louvre_length_m * fin.depth_m / fin.louvre_length_m) ** -0.308
    third = sides * np.exp(-0.1167 * fin.tube_pitch_m / fin.tube_height_m) * fin.degrees**0.35
    value: Real = first * second * third
    return value


def _chang_high(re: Real, fin: LouvredFin) -> Real:
    thin = np.maximum(fin.thickness_m / fin.pitch_m, _THINNEST)
    first = 4.97 * re ** (0.6049 - 1.064 / fin.degrees**0.2) * np.log(thin**0.5 + 0.9) ** -0.527
    second = (fin.hydraulic_m / fin.louvre_pitch_m * np.log(0.3 * re)) ** -2.966
    sides = (fin.pitch_m / fin.louvre_length_m) ** (-0.7931 * fin.tube_pitch_m / fin.height_m)
    close = np.log(1.2 + (fin.louvre_pitch_m / fin.pitch_m) ** 1.4) ** -3.553
    third = (fin.tube_pitch_m / fin.tube_height_m) ** -0.0446 * close * fin.degrees**-0.477
    value: Real = first * second * sides * third
    return value


def chang_f(re: Real, fin: LouvredFin) -> Real:
    """Fanning's friction factor of louvred fins within its fitted range, the general law.

    f = f1 f2 f3 of [chang-2000]; between Re 130 and 230 f^2 = ((1 + w) f(130)^2 + (1 - w) f(230)^2) / 2,
    w = 3.6 - 0.02 Re [chang-2006], but no more than f(230) (230/Re)^1.95        the bound ours

    Re on the louvre pitch, within VALID_LOUVRE_RE, level below. Error 20 %; far from the cores measured the two
    branches differ by a factor 2 and more. Unbounded, the blend can let the pressure fall as the air speeds up
    towards Re 230, and a fan would find two answers.
    """
    inside = np.maximum(re, VALID_LOUVRE_RE.low)
    low, high = _chang_low(np.minimum(inside, _LOW_RE), fin), _chang_high(np.maximum(inside, _HIGH_RE), fin)
    share = np.minimum(np.maximum((_HIGH_RE - inside) / (_HIGH_RE - _LOW_RE), 0.0), 1.0)
    blend = np.sqrt(share * low * low + (1.0 - share) * high * high)
    value: Real = np.minimum(blend, high * np.maximum(_HIGH_RE / inside, 1.0) ** _STEEPEST)
    return value


def kim_bullard_f(re: Real, fin: LouvredFin) -> Real:
    """Fanning's friction factor of louvred fins within its fitted range, the law for close fins.

    f = Re^-0.781 (th/90)^0.444 (Fp/Lp)^-1.682 (H/Lp)^-1.22 (Fd/Lp)^0.818 (Ll/Lp)^1.97        [kim-bullard-2002]

    Re on the louvre pitch Lp, within VALID_KIM_BULLARD_RE, level below; the other letters as in `kim_bullard_j`.
    Error 15 %.
    """
    inside = np.maximum(re, VALID_KIM_BULLARD_RE.low)
    return inside**-0.781 * _colburn(fin, (0.444, -1.682, -1.22, 0.818, 1.97, 0.0, 0.0))


FinLaw: TypeAlias = Callable[[Real, LouvredFin], Real]


@dataclass(frozen=True)
class LouvreLaw:
    """The two factors one paper's authors give for louvred fins, and where they measured."""

    j: FinLaw
    f: FinLaw
    valid_re: Range


LOUVRE_LAWS = {
    "chang-wang": LouvreLaw(chang_wang_j, chang_f, VALID_LOUVRE_RE),
    "kim-bullard": LouvreLaw(kim_bullard_j, kim_bullard_f, VALID_KIM_BULLARD_RE),
}


def louvred_nusselt(re: Real, prandtl: Real, fin: LouvredFin, law: str = "chang-wang") -> Real:
    """Nusselt number of louvred fins on the louvre pitch.

    Nu = j Re Pr^(1/3)        by definition of Colburn's j, j by [chang-wang-1997] or [kim-bullard-2002]

    Re >= 0 on the louvre pitch, `law` a name of LOUVRE_LAWS. Strictly rising, 0 at rest.
    """
    value: Real = LOUVRE_LAWS[law].j(re, fin) * re * np.cbrt(prandtl)
    return value


def louvred_fanning_re(re: Real, fin: LouvredFin, law: str = "chang-wang") -> Real:
    """Product of Fanning's friction factor and the Reynolds number of louvred fins, finite at rest.

    f by [chang-2000] [chang-2006] or [kim-bullard-2002]; below Re 100 f = f(100) 100 / Re        ours, so that dp ~ V

    Re >= 0 on the louvre pitch, `law` a name of LOUVRE_LAWS. Times Re it rises strictly.
    """
    chosen = LOUVRE_LAWS[law]
    return chosen.f(re, fin) * np.maximum(re, chosen.valid_re.low)


def louvred_f(re: Real, fin: LouvredFin, law: str = "chang-wang") -> Real:
    """Fanning's friction factor of louvred fins at any Reynolds number.

    f by [chang-2000] [chang-2006] or [kim-bullard-2002]; below Re 100 f = f(100) 100 / Re        ours

    Re > 0 on the louvre pitch, `law` a name of LOUVRE_LAWS. Error 20 %, below Re 100 30 %.
    """
    value: Real = louvred_fanning_re(re, fin, law) / np.maximum(re, _LEAST_RE)
    return value


def extrapolated_sigma_frac(re: Real) -> Real:
    """Extra standard uncertainty of a louvred core's air side below the fitted range, as a share of its conductance.

    s = 0.4 x^2 / (1 + x^2), x = ln(100 / Re) / ln 4, x >= 0        common practice, no source

    0 from Re 100 upwards, 0.2 at Re 25, 0.4 at rest. Measured work at low face velocity finds j over-predicted by
    20 to 30 % (from memory), so the band is wide on purpose.
    """
    x = np.log(np.maximum(VALID_LOUVRE_RE.low / np.maximum(re, _LEAST_RE), 1.0)) / _EXTRA_SPAN
    value: Real = _EXTRA_SCALE * x * x / (1.0 + x * x)
    return value


def plain_nusselt(re: Real, prandtl: Real, aspect: Real, length_ratio: Real) -> Real:
    """Mean Nusselt number of the channel between plain fins, on its hydraulic diameter.

    Nu = (Nu_T^3 + (1.849 Gz^(1/3))^3)^(1/3), Gz = Re Pr D / L        [shah-london-1978]

    Re within VALID_PLAIN_RE, aspect = short side / long side, length_ratio = L / D. Error 15 %; wavy fins pass more.
    """
    return entry_nusselt(nusselt_one_temperature(aspect), re * prandtl / length_ratio)


def plain_fanning_re(re: Real, aspect: Real, length_ratio: Real) -> Real:
    """Product of Fanning's friction factor and the Reynolds number between plain fins, the forming profile included.

    f Re = (f Re)_far + K Re D / (4 L), K Hagenbach's        [shah-london-1978]

    Re within VALID_PLAIN_RE, aspect = short side / long side, length_ratio = L / D. Error 15 %.
    """
    return fanning_re(aspect) + 0.25 * entry_k(aspect) * re / length_ratio


def fin_efficiency_frac(ml: Real) -> Real:
    """Share of its heat a fin passes compared with one as warm as its root all over.

    e = tanh(m l) / (m l), m^2 = (2 h / (k d)) (1 + d / L)        [incropera-2007]

    ml >= 0 dimensionless: h the film, k the fin's conductivity, d its thickness, L its depth, l half its length
    from tube to tube. Exact for a fin of even thickness.
    """
    safe = np.maximum(ml, 1e-9)
    value: Real = np.tanh(safe) / safe
    return value
