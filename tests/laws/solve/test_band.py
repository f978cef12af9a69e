"""Laws of the bands: they hold the state itself, follow the inputs, and name what widens them.

The checks against plain finite differences and plain repeated solves go through `solve` with changed text, not through
the batch the bands are made with.
"""

import math
from pathlib import Path
from random import Random

import numpy as np
import pytest
from checkers.small_build import small, solved
from hypothesis import given
from hypothesis import strategies as st

from headrace.loop.loader import load_build
from headrace.loop.route import stated_route
from headrace.solve.band import solve_band
from headrace.solve.prepared import Prepared
from headrace.solve.results import build_solution
from headrace.solve.steady import solve_prepared

EXAMPLES = Path(__file__).parents[3] / "examples"
WIDTH = 2 * 1.6449  # of a 90 % band in standard deviations of a normal distribution
STRENGTH = "points = [[40, 12.2], [80, 21.5], [120, 29], [180, 37.8]] }"
ROOM = 'room = "24 °C"'


def band_of(loop, samples=2000, state=None):
    prepared = Prepared.of(loop, stated_route(loop), loop.state(state))
    found = solve_prepared(prepared)
    return solve_band(prepared, found, samples), build_solution(found)


def width(pair):
    return pair[1] - pair[0]


def hottest(band):
    return max(band.bands["coolant_temp_k"].values())


@pytest.mark.parametrize("folder", sorted(path.name for path in EXAMPLES.iterdir() if path.is_dir()))
def test_every_band_holds_the_state_itself_and_is_a_band(folder):
    loop = load_build(EXAMPLES / folder)
    for state in loop.states:
        band, solution = band_of(loop, 200, state.name)
        assert band.samples == 200
        for name in ("flow_m3_s", "dp_pa", "part_temp_k", "margin_k", "heat_w"):
            for id_, nominal in getattr(solution, name).items():
                low, high = band.bands[name][id_]
                assert low <= nominal <= high, (state.name, name, id_)
        for chance in band.chance_frac.values():
            assert 0.0 <= chance <= 1.0


def test_the_same_build_gives_the_same_band():
    loop = small()
    assert band_of(loop)[0] == band_of(loop)[0]


def test_more_samples_hardly_move_the_band():
    loop = load_build(EXAMPLES / "dual-gpu-workstation")
    few, many = band_of(loop, 2000)[0], band_of(loop, 16000)[0]
    for id_, pair in many.bands["part_temp_k"].items():
        assert few.bands["part_temp_k"][id_] == pytest.approx(pair, abs=0.06 * width(pair))


def test_the_room_moves_everything_by_itself():
    # kelvin for kelvin but for the coolant's properties, and the wider of two independent spreads wins in squares
    narrow, wide = (band_of(small((ROOM, f'room = "24 °C ± {sigma} K"')))[0] for sigma in ("0.01", "3"))
    extra = math.sqrt(width(hottest(wide)) ** 2 - width(hottest(narrow)) ** 2)
    assert extra == pytest.approx(3.0 * WIDTH, rel=0.05)
    assert wide.contributors[0].name == "room temperature"


def test_the_share_of_an_input_is_what_a_finite_difference_says():
    # first order [jcgm-100-2008]: variance = sum (dT/dx u)^2, the derivative by two plain solves with changed points
    spread, air = 0.05, ('air = "120 m3/h"', 'air = "120 m3/h ± 1 %"')

    def with_factor(factor):
        points = ", ".join(f"[{v}, {g * factor:.6f}]" for v, g in ((40, 12.2), (80, 21.5), (120, 29), (180, 37.8)))
        return solved(air, cards_too=((STRENGTH, f"points = [{points}] }}"),)).hottest[1]

    step = 0.5 * (with_factor(math.exp(-spread)) - with_factor(math.exp(spread)))
    band, _ = band_of(small(air, cards_too=((STRENGTH, STRENGTH.replace("}", f', spread = "{spread:.0%}" }}')),)))
    share = next(c.share_frac for c in band.contributors if c.name.startswith("strength"))
    sigma = width(hottest(band)) / WIDTH
    assert share == pytest.approx((step / sigma) ** 2, abs=0.06)


def test_plain_repeated_solves_give_the_same_band():
    # another sampler (plain random numbers), the text of the card changed, one solve a sample; contact and strength only
    random = Random(5)
    found = []
    for _ in range(150):
        block, points = math.exp(0.08 * random.gauss(0, 1)), math.exp(0.15 * random.gauss(0, 1))
        rows = ", ".join(f"[{v}, {g * points:.6f}]" for v, g in ((40, 12.2), (80, 21.5), (120, 29), (180, 37.8)))
        changes = ((STRENGTH, f"points = [{rows}] }}"), ("0.15 K/W ± 8 %", f"{0.15 * block:.6f} K/W ± 8 %"))
        found.append(solved(cards_too=changes).part_temp_k["cpu"])
    band, _ = band_of(small())
    told = width(band.bands["part_temp_k"]["cpu"]) / WIDTH
    assert told == pytest.approx(
        np.std(found), rel=0.2
    )  # 150 samples know a deviation to 6 %; room and flow add a little


@given(st.floats(20.0, 70.0))
def test_the_chance_of_a_limit_rises_with_it(limit):
    low, high = (
        band_of(small(("[coolant]", f'[limits]\ncoolant = "{value:.3f} °C"\n\n[coolant]')), 300)[0]
        for value in (limit, limit + 3.0)
    )
    assert low.chance_frac["coolant"] <= high.chance_frac["coolant"]


def test_a_limit_at_the_state_itself_is_an_even_chance():
    nominal = solved().hottest[1] - 273.15
    band, _ = band_of(small(("[coolant]", f'[limits]\ncoolant = "{nominal:.4f} °C"\n\n[coolant]')))
    assert band.chance_frac["coolant"] == pytest.approx(0.5, abs=0.05)


def test_what_is_known_worse_than_its_value_still_gives_numbers_and_says_so():
    loop = small(cards_too=(("0.15 K/W ± 8 %", "0.15 K/W ± 0.25 K/W"),))
    band, _ = band_of(loop)
    low, high = band.bands["part_temp_k"]["cpu"]
    assert math.isfinite(low)
    assert math.isfinite(high)
    assert any("100 %" in note for note in band.notes)


def test_assumed_inputs_are_named_assumed():
    band, _ = band_of(small())
    named = {c.name: c.assumed for c in band.by_output["part_temp_k.cpu"]}
    assert named["contact and resistance of cpu"] is False  # the card states ± 8 %
    assert next(c for c in band.contributors if c.name.startswith("strength")).assumed
