"""Sound levels against sound.csv, a filter of scipy and sampling; each row's `mark` says where its number comes from."""

import csv
import json
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import freqs_zpk

from headrace.physics import sound

with (Path(__file__).parent / "sound.csv").open(encoding="utf-8") as file:
    ROWS = [pytest.param(row, id=row["id"]) for row in csv.DictReader(file)]


def spectrum(g):
    bands = {float(name): level for name, level in g["octave_dB"].items()}
    assert tuple(bands) == sound.OCTAVES_HZ
    return sound.octaves_to_a_db(np.array(list(bands.values())))


QUANTITIES = {
    "A_weighting": lambda g: sound.a_weight_db(sound.exact_hz(g["f_nominal_Hz"])),
    "fan_level_change": lambda g: sound.fan_level_db(40.0, g["rpm2"] / g["rpm1"], g["exponent"]) - 40.0,
    "level_increase_N_equal": lambda g: sound.equal_sources_db(20.0, g["N"]) - 20.0,
    "energy_sum": lambda g: sound.energy_sum_db(np.array(g["levels_dBA"], dtype=float)),
    "level_at_distance": lambda g: sound.free_field_db(g["L_dBA"], g["r1_m"], g["r2_m"]),
    "Lp_from_Lw_hemisphere": lambda g: sound.power_to_pressure_db(g["Lw_dBA"], g["r_m"]),
    "background_corrected": lambda g: sound.without_background_db(g["L_total"], g["L_background"]),
    "octave_spectrum_to_dBA": spectrum,
    "blade_pass_frequency": lambda g: sound.blade_pass_hz(g["blades"], g["rpm"] / 60.0),
    "beat_frequency": lambda g: sound.beat_hz(g["blades"], g["rpm_a"] / 60.0, g["rpm_b"] / 60.0),
    "fan_level_vs_diameter": lambda g: sound.fan_level_db(40.0, 1.0, diameter_ratio=g["D2"] / g["D1"]) - 40.0,
}
# The table of weights prints one decimal; a spectrum weighted by that table differs by as much.
PRINTED = {"A_weighting": 0.05, "octave_spectrum_to_dBA": 0.05}


@pytest.mark.parametrize("row", ROWS)
def test_sound(row):
    value = QUANTITIES[row["quantity"]](json.loads(row["inputs"]))
    assert value == pytest.approx(float(row["value"]), rel=0, abs=PRINTED.get(row["quantity"], 1e-5))


def test_a_weighting_is_a_filter_of_four_poles():
    # computed with scipy 1.17.1: the filter whose poles the standard names, two of them double, set to 0 dB at 1 kHz
    poles = -2.0 * np.pi * np.array([20.598997, 20.598997, 107.65265, 737.86223, 12194.217, 12194.217])
    hertz = np.geomspace(10.0, 20000.0, 60)
    _, gain = freqs_zpk(np.zeros(4), poles, 1.0, 2.0 * np.pi * np.append(hertz, 1000.0))
    theirs = 20.0 * np.log10(np.abs(gain[:-1] / gain[-1]))
    assert sound.a_weight_db(hertz) == pytest.approx(theirs, abs=4e-4)


@pytest.mark.parametrize(("nominal", "exact"), [(63.0, 63.0957), (125.0, 125.893), (200.0, 199.526), (8000.0, 7943.28)])
def test_exact_band_middles(nominal, exact):
    # powers of ten by hand: 10^1.8, 10^2.1, 10^2.3, 10^3.9
    assert sound.exact_hz(nominal) == pytest.approx(exact, rel=1e-5)


def test_a_quarter_sphere_is_three_decibels_louder():
    # by hand: 10 lg 2, and the 8.0 and 5.0 dB at 1 m that practice knows
    quarter = sound.power_to_pressure_db(42.0, 1.0, "quarter sphere")
    assert quarter - sound.power_to_pressure_db(42.0, 1.0) == pytest.approx(3.0103, abs=1e-4)
    assert quarter == pytest.approx(42.0 - 5.0, abs=0.05)
    assert sound.power_to_pressure_db(42.0, 2.0) == pytest.approx(42.0 - 8.0 - 6.0, abs=0.05)


@pytest.mark.parametrize(
    ("from_m", "to_m", "change"),
    [(0.5, 1.0, -6.0206), (1.0, 2.0, -3.5), (0.5, 2.0, -9.5206), (4.0, 1.0, 7.0), (3.0, 3.0, 0.0)],
)
def test_a_room_takes_less_than_a_field_beyond_a_metre(from_m, to_m, change):
    # common practice, no source: 6 dB per doubling up to 1 m, 3 to 4 beyond
    assert sound.room_db(30.0, from_m, to_m) - 30.0 == pytest.approx(change, abs=1e-4)


def test_thinner_air_is_quieter():
    # by hand: 20 lg (0.988 / 1.184), air at 1500 m
    assert sound.fan_level_db(30.0, 1.0, density_ratio=0.988 / 1.184) == pytest.approx(30.0 - 1.572, abs=1e-3)


def test_silence_is_finite_and_adds_nothing():
    assert sound.fan_level_db(35.0, 0.0) == sound.SILENCE_DB
    assert sound.energy_sum_db(np.array([])) == sound.SILENCE_DB
    assert sound.equal_sources_db(35.0, 0) == sound.SILENCE_DB
    assert sound.without_background_db(30.0, 30.0) == sound.SILENCE_DB
    assert sound.without_background_db(29.0, 30.0) == sound.SILENCE_DB
    assert sound.energy_sum_db(np.array([0.0, sound.SILENCE_DB])) == pytest.approx(0.0, abs=1e-9)
    assert np.isfinite(sound.a_weight_db(0.0))


def test_a_reading_near_its_background_is_unreliable():
    # common practice, no source: 3 dB
    assert list(sound.drowned(np.array([29.9, 30.1, 26.0]), 27.0)) == [True, False, True]


def test_a_sum_runs_along_the_axis_asked_for():
    levels = np.array([[20.0, 30.0, 40.0], [20.0, 30.0, 40.0]])
    assert sound.energy_sum_db(levels) == pytest.approx(levels[0] + 3.0103, abs=1e-4)
    assert sound.energy_sum_db(levels, axis=1) == pytest.approx([40.4532, 40.4532], abs=1e-4)  # 10 lg 11100
    assert sound.energy_sum_sigma_db(levels, 1.0, axis=1) == pytest.approx([0.90544, 0.90544], abs=1e-5)  # by hand
    spectra = np.tile(np.linspace(40.0, 20.0, 8)[:, None], 3)
    assert sound.octaves_to_a_db(spectra) == pytest.approx([sound.octaves_to_a_db(spectra[:, 0])] * 3)


@pytest.mark.parametrize(
    ("levels", "sigmas", "within"),
    [((22.0, 25.0, 28.0), (1.0, 0.5, 1.0), 0.015), ((30.0, 30.0), (3.0, 3.0), 0.05), ((30.0,) * 6, (6.0,) * 6, 0.21)],
)
def test_the_band_of_a_sum_against_sampling(levels, sigmas, within):
    # computed with numpy 2.4.6: 200,000 normal draws; first order falls short as the errors grow
    draws = np.random.default_rng(7).normal(levels, sigmas, (200_000, len(levels)))
    sampled = np.std(sound.energy_sum_db(draws, axis=1))
    ours = sound.energy_sum_sigma_db(np.array(levels), np.array(sigmas))
    assert (1.0 - within) * sampled < ours < 1.005 * sampled
