"""Sound levels: of a fan at another speed, size and density, of sources together, at another distance, by ear.

Answers   how loud a machine is where somebody sits, from the levels its parts state
Assumes   sources that do not keep step, so that energies add; sound pressure in dB re 20 uPa, power re 1 pW
Source    [madison-1949] fans, [iso-3744-2010] distance and background, [iec-61672-1-2013] A-weighting
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from headrace.units import Array, Range, Real

VALID_SPEED_RATIO = Range(0.3, 1.5)  # common practice, no source
VALID_SPEED_EXPONENT = Range(45.0, 60.0)  # common practice, no source
VALID_DISTANCE_M = Range(0.3, 4.0)  # nearer the source has a size, further the room decides
VALID_FREQUENCY_HZ = Range(10.0, 20000.0)
SILENCE_DB = -100.0  # level of what makes no sound: finite, and 10^-10 of the energy of 0 dB, which is inaudible
OCTAVES_HZ = (63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)
SURFACES = {"hemisphere": 2.0 * np.pi, "quarter sphere": np.pi}
"""Area at 1 m in m2: a source on a floor or desk, and one on a desk by a wall."""

_TINY = 1e-200
_LEAST_M = 1e-6
_ROOM_DB = 3.5  # per doubling of distance in a furnished room; common practice, no source
_NEAR_M = 1.0  # up to here a room is heard as a free field; common practice, no source
_RELIABLE_DB = 3.0
_POLES_HZ = (20.598997, 107.65265, 737.86223, 12194.217)
_AT_1000_HZ_DB = 2.0  # makes the weight 0 at 1 kHz


def _lg(ratio: Real) -> Real:
    value: Real = np.log10(np.maximum(ratio, _TINY))
    return value


def _heard(level_db: Real) -> Real:
    value: Real = np.maximum(level_db, SILENCE_DB)
    return value


def fan_level_db(
    level_db: Real,
    speed_ratio: Real,
    exponent: Real = 50.0,
    diameter_ratio: Real = 1.0,
    density_ratio: Real = 1.0,
) -> Real:
    """Level of a fan at another speed, and of one built alike in another size or air.

    L2 = L1 + x lg(n2/n1) + 70 lg(D2/D1) + 20 lg(rho2/rho1), x = 50        from 10 lg V + 20 lg dp [madison-1949]

    Ratios of new to stated, speed within VALID_SPEED_RATIO. x is 55 to 60 for fans on dense cores (common practice,
    no source). A stopped fan gives SILENCE_DB. Error 2 dB at a factor 2 in speed, 4 dB in size.
    """
    change = exponent * _lg(speed_ratio) + 70.0 * _lg(diameter_ratio) + 20.0 * _lg(density_ratio)
    return _heard(level_db + change)


def energy_sum_db(level_db: Array, axis: int = 0) -> Real:
    """Level of several sources together, along one axis.

    L = 10 lg sum 10^(Li/10)        energy addition

    dB. SILENCE_DB for no source at all. Exact for sources that do not keep step; tones of nearly the same frequency
    beat instead, see `beat_hz`.
    """
    top = np.max(level_db, axis=axis, keepdims=True, initial=SILENCE_DB)
    share = np.sum(10.0 ** ((level_db - top) / 10.0), axis=axis)
    total: Real = np.squeeze(top, axis=axis) + 10.0 * np.log10(np.maximum(share, 1.0))
    return total


def equal_sources_db(level_db: Real, count: Real) -> Real:
    """Level of a number of equally loud sources.

    L = L1 + 10 lg N        energy addition

    N >= 0; 0 gives SILENCE_DB.
    """
    return _heard(level_db + 10.0 * _lg(count))


def energy_share_frac(level_db: Array, axis: int = 0) -> Array:
    """Share of each source in the energy of all, along one axis.

    w_i = 10^(Li/10) / sum 10^(Lj/10)        energy addition

    dB; at least one source.
    """
    energy = 10.0 ** ((level_db - np.max(level_db, axis=axis, keepdims=True)) / 10.0)
    share: Array = energy / np.sum(energy, axis=axis, keepdims=True)
    return share


def energy_sum_sigma_db(level_db: Array, sigma_db: Real, axis: int = 0) -> Real:
    """Standard deviation of the level of several sources together, along one axis, from one for each.

    u = (sum (w_i u_i)^2)^0.5, w_i the energy shares        first order [jcgm-100-2008]

    dB; normal errors, independent of each other. For equally loud sources 8 % low at u_i = 3 dB and 20 % at 6 dB, where
    the mean also lies 0.8 and 3 dB above the sum of the means.
    """
    share = energy_share_frac(level_db, axis)
    sigma: Real = np.sqrt(np.sum((share * sigma_db) ** 2, axis=axis))
    return sigma


def free_field_db(level_db: Real, from_m: Real, to_m: Real) -> Real:
    """Level at another distance where nothing but the floor throws sound back.

    L2 = L1 - 20 lg(r2/r1)        inverse square [iso-3744-2010]

    Distances in m above 0 from the middle of the source, both within VALID_DISTANCE_M. Error 1 dB outdoors.
    """
    return level_db - 20.0 * (_lg(np.maximum(to_m, _LEAST_M)) - _lg(np.maximum(from_m, _LEAST_M)))


def room_db(level_db: Real, from_m: Real, to_m: Real) -> Real:
    """Level at another distance in a furnished room.

    L2 = L1 - (d(r2) - d(r1)), d(r) = 20 lg r up to 1 m, 3.5 dB per doubling beyond        common practice, no source

    Distances in m above 0 from the middle of the source, both within VALID_DISTANCE_M. Error 2 dB.
    """
    beyond = _ROOM_DB * np.log2(np.maximum(to_m, _NEAR_M) / np.maximum(from_m, _NEAR_M))
    return free_field_db(level_db, np.minimum(from_m, _NEAR_M), np.minimum(to_m, _NEAR_M)) - beyond


def power_to_pressure_db(power_level_db: Real, distance_m: Real, surface: str = "hemisphere") -> Real:
    """Sound pressure level at a distance from the sound power level of a source.

    Lp = Lw - 10 lg(S / 1 m2), S = 2 pi r^2 on a floor, pi r^2 by a wall too        [iso-3744-2010]

    dB (a power level in bel times 10), r in m; a name of SURFACES. Free field; error 1 dB, a room adds 1 to 3 dB.
    """
    return power_level_db - 10.0 * _lg(SURFACES[surface] * distance_m * distance_m)


def without_background_db(total_db: Real, background_db: Real) -> Real:
    """Level of a source alone, from a reading with it and one without.

    Ls = 10 lg(10^(Lt/10) - 10^(Lb/10))        [iso-3744-2010]

    dB. A reading no louder than its background gives SILENCE_DB. Ask `drowned` whether the answer can be used: at
    3 dB apart an error of 1 dB in a reading is one of 2 dB in the answer.
    """
    share = -np.expm1(-np.log(10.0) / 10.0 * np.maximum(total_db - background_db, 0.0))
    return _heard(total_db + 10.0 * _lg(share))


def drowned(total_db: Real, background_db: Real) -> bool | NDArray[np.bool_]:
    """True where a reading is so near its background that the source's own level is unreliable.

    Lt - Lb < 3 dB        common practice, no source
    """
    return total_db - background_db < _RELIABLE_DB


def a_weight_db(frequency_hz: Real) -> Real:
    """A-weighting: how much less loud a tone counts than its sound pressure level.

    A = 20 lg(p4^2 f^4 / ((f^2+p1^2) ((f^2+p2^2) (f^2+p3^2))^0.5 (f^2+p4^2))) + 2.00        [iec-61672-1-2013]

    f in Hz within VALID_FREQUENCY_HZ; p1..p4 = 20.60, 107.7, 737.9, 12194 Hz. The standard's table holds at the exact
    frequencies of `exact_hz`, to 0.05 dB; at nominal ones it is up to 0.11 dB off.
    """
    square = np.square(frequency_hz)
    low, bend, rise, high = (pole * pole for pole in _POLES_HZ)
    middle = np.sqrt((square + bend) * (square + rise))
    return 20.0 * _lg(high * square * square / ((square + low) * middle * (square + high))) + _AT_1000_HZ_DB


def exact_hz(nominal_hz: Real) -> Real:
    """Exact middle of the third-octave band with a nominal frequency: 125.9 Hz for 125 Hz.

    f = 1000 10^(n/10), n whole        [iec-61672-1-2013]
    """
    exact: Real = 1000.0 * 10.0 ** (np.round(10.0 * _lg(nominal_hz / 1000.0)) / 10.0)
    return exact


def octaves_to_a_db(level_db: Array, nominal_hz: tuple[float, ...] = OCTAVES_HZ) -> Real:
    """A-weighted level of a spectrum of bands, along the first axis.

    L = 10 lg sum 10^((Li + A(fi))/10)        [iec-61672-1-2013]

    Levels in dB, unweighted, one for each of `nominal_hz`. Error 0.5 dB, 2 dB when a tone stands at a band's edge.
    """
    weight = a_weight_db(exact_hz(np.asarray(nominal_hz)))
    return energy_sum_db((level_db.T + weight).T)


def blade_pass_hz(blades: Real, speed_hz: Real) -> Real:
    """Frequency at which blades pass a strut: the tone of a fan or pump.

    f = B n        geometry

    n in 1/s (rpm / 60).
    """
    return blades * speed_hz


def beat_hz(blades: Real, speed_a_hz: Real, speed_b_hz: Real) -> Real:
    """How often a second the tones of two fans of nearly the same speed swell and fade.

    f = B |n_a - n_b|        geometry

    n in 1/s (rpm / 60); heard as a beat below about 15 Hz.
    """
    return blades * np.abs(speed_a_hz - speed_b_hz)
