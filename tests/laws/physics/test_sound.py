"""Sums of sounds, changes of speed and of distance: order does not count, there and back is nothing, all is finite."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from headrace.physics import sound

level = st.floats(-10.0, 90.0)
levels = st.lists(level, min_size=1, max_size=8)
ratios = st.floats(0.2, 5.0)
exponents = st.floats(45.0, 60.0)
distances = st.floats(0.05, 20.0)
hertz = st.floats(1.0, 40000.0)
any_db = st.floats(-500.0, 500.0)


def total(values):
    return sound.energy_sum_db(np.array(values))


@given(levels, st.randoms())
def test_a_sum_is_no_less_than_its_loudest_and_knows_no_order(values, chance):
    assert max(values) <= total(values) <= max(values) + 10.0 * np.log10(len(values)) + 1e-9
    mixed = list(values)
    chance.shuffle(mixed)
    assert total(mixed) == pytest.approx(total(values), abs=1e-9)


@given(levels, levels)
def test_sums_may_be_summed(one, other):
    assert total([total(one), total(other)]) == pytest.approx(total(one + other), abs=1e-9)


@given(level, st.integers(1, 12))
def test_equal_sources(value, count):
    assert sound.equal_sources_db(value, count) == pytest.approx(total([value] * count), abs=1e-9)
    assert total([value, value]) == pytest.approx(value + 3.0103, abs=1e-5)


@given(levels, level, st.floats(0.01, 20.0))
def test_a_louder_source_makes_a_louder_sum(values, one, more):
    assert total([*values, one + more]) >= total([*values, one])


@given(st.lists(st.tuples(level, st.floats(0.0, 5.0)), min_size=1, max_size=6))
def test_the_band_of_a_sum_lies_within_its_sources(pairs):
    values, sigmas = np.array(pairs).T
    sigma = sound.energy_sum_sigma_db(values, sigmas)
    assert sigma <= np.max(sigmas) + 1e-12
    shares = sound.energy_share_frac(values)
    assert np.sum(shares) == pytest.approx(1.0)
    assert sigma >= np.max(shares * sigmas) - 1e-12
    assert sound.energy_sum_sigma_db(values[:1], sigmas[:1]) == pytest.approx(sigmas[0], abs=1e-12)


@given(st.lists(level, min_size=2, max_size=6), st.integers(0, 5))
def test_energy_shares_are_the_slopes_of_the_sum(values, which):
    which %= len(values)
    step = np.eye(len(values))[which] * 1e-4
    slope = (total(values + step) - total(values - step)) / 2e-4
    assert sound.energy_share_frac(np.array(values))[which] == pytest.approx(slope, abs=1e-7)


@given(st.floats(10.0, 80.0), ratios, exponents, ratios, ratios)
def test_a_change_of_speed_size_and_air_undone_is_no_change(value, speed, exponent, size, air):
    there = sound.fan_level_db(value, speed, exponent, size, air)
    assume(there > sound.SILENCE_DB)
    assert sound.fan_level_db(there, 1.0 / speed, exponent, 1.0 / size, 1.0 / air) == pytest.approx(value, abs=1e-9)


@given(level, st.floats(0.0, 3.0), st.floats(1e-3, 1.0), exponents)
def test_a_faster_fan_is_no_quieter(value, speed, more, exponent):
    slower, faster = (sound.fan_level_db(value, n, exponent) for n in (speed, speed + more))
    assert faster >= slower >= sound.SILENCE_DB
    assert faster > slower or faster == sound.SILENCE_DB


@pytest.mark.parametrize("law", [sound.free_field_db, sound.room_db])
@given(value=level, near=distances, far=distances, between=distances)
def test_a_way_there_and_back_is_no_way(law, value, near, far, between):
    there = law(value, near, far)
    assert law(there, far, near) == pytest.approx(value, abs=1e-9)
    assert law(law(value, near, between), between, far) == pytest.approx(there, abs=1e-9)
    assert (there <= value) == (far >= near) or there == pytest.approx(value, abs=1e-9)


@given(level, distances, distances)
def test_a_room_never_takes_more_than_a_free_field(value, near, far):
    low, high = min(near, far), max(near, far)
    assert sound.room_db(value, low, high) >= sound.free_field_db(value, low, high) - 1e-9
    if high <= 1.0:
        assert sound.room_db(value, low, high) == pytest.approx(sound.free_field_db(value, low, high), abs=1e-9)


@given(level, distances, distances)
def test_power_spreads_as_the_free_field(value, near, far):
    there = sound.power_to_pressure_db(value, near)
    assert sound.free_field_db(there, near, far) == pytest.approx(sound.power_to_pressure_db(value, far), abs=1e-9)


@given(st.floats(0.0, 60.0), st.floats(0.0, 60.0))
def test_a_source_is_found_again_under_its_background(value, background):
    reading = total([value, background])
    assume(reading - background > 0.1)
    assert sound.without_background_db(reading, background) == pytest.approx(value, abs=1e-6)
    assert sound.drowned(reading, background) == (reading - background < 3.0)


@given(st.floats(10.0, 2000.0), st.floats(1.001, 1.2))
def test_the_ear_hears_low_tones_less(frequency, ratio):
    assert sound.a_weight_db(frequency * ratio) > sound.a_weight_db(frequency)


@given(st.lists(level, min_size=8, max_size=8), st.floats(-20.0, 20.0))
def test_a_louder_spectrum_is_louder_by_as_much(bands, more):
    spectrum = np.array(bands)
    weighted = sound.octaves_to_a_db(spectrum)
    assert sound.octaves_to_a_db(spectrum + more) == pytest.approx(weighted + more, abs=1e-9)
    assert weighted <= total(bands) + 1.21


@given(st.floats(20.0, 20000.0))
def test_exact_middles_are_third_octaves(frequency):
    exact = sound.exact_hz(frequency)
    assert sound.exact_hz(exact) == pytest.approx(exact)
    assert abs(np.log10(exact / frequency)) <= 0.05 + 1e-9


@given(st.integers(2, 20), st.floats(0.0, 80.0), st.floats(0.0, 80.0))
def test_a_beat_knows_no_order_and_equal_speeds_have_none(blades, one, other):
    beat = sound.beat_hz(blades, one, other)
    assert beat == sound.beat_hz(blades, other, one)
    assert sound.beat_hz(blades, one, one) == 0.0
    apart = abs(sound.blade_pass_hz(blades, one) - sound.blade_pass_hz(blades, other))
    assert beat == pytest.approx(apart, abs=1e-9)


@given(any_db, any_db, st.floats(0.0, 1e3), st.floats(0.0, 1e3))
def test_no_input_gives_nan_or_infinity(one, other, x, y):
    values = [sound.fan_level_db(one, x, 50.0, y, y), total([one, other]), sound.equal_sources_db(one, x)]
    values += [sound.free_field_db(one, x, y), sound.room_db(one, x, y), sound.power_to_pressure_db(one, x)]
    values += [sound.without_background_db(one, other), sound.a_weight_db(x), sound.a_weight_db(0.0)]
    values += [sound.energy_sum_sigma_db(np.array([one, other]), np.array([x, y]))]
    assert np.all(np.isfinite(values))


@given(st.lists(st.tuples(level, level, ratios, distances, distances, hertz), min_size=1, max_size=4))
def test_an_array_gives_what_its_elements_give(rows):
    laws = (
        lambda a, b, n, r, s, f: sound.fan_level_db(a, n, 55.0, n, n),
        lambda a, b, n, r, s, f: sound.equal_sources_db(a, n),
        lambda a, b, n, r, s, f: sound.free_field_db(a, r, s),
        lambda a, b, n, r, s, f: sound.room_db(a, r, s),
        lambda a, b, n, r, s, f: sound.power_to_pressure_db(a, r),
        lambda a, b, n, r, s, f: sound.without_background_db(a, b),
        lambda a, b, n, r, s, f: sound.drowned(a, b),
        lambda a, b, n, r, s, f: sound.a_weight_db(f),
        lambda a, b, n, r, s, f: sound.exact_hz(f),
        lambda a, b, n, r, s, f: sound.blade_pass_hz(9, f),
        lambda a, b, n, r, s, f: sound.beat_hz(9, f, n),
    )
    columns = np.array(rows).T
    for law in laws:
        assert law(*columns) == pytest.approx([law(*row) for row in rows], rel=1e-12, abs=1e-12)
    together = sound.energy_sum_db(columns[:2])
    assert together == pytest.approx([total(row[:2]) for row in rows], rel=1e-12, abs=1e-12)
