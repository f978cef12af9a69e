"""Courses in time against other ways to the same numbers: two masses in closed form, an integrator, plain sums."""

import numpy as np
import pytest
from checkers.course_checker import STATED, cells_of, even_temps, heavy, warm_up
from checkers.manual import ROOT
from scipy.integrate import solve_ivp
from scipy.linalg import expm as scipy_expm

from headrace.loop.loader import load_build
from headrace.loop.route import stated_route
from headrace.solve.course import follow, time_constant_s
from headrace.solve.exponential import expm
from headrace.solve.masses import find_masses
from headrace.solve.prepared import Prepared
from headrace.solve.steady import solve, solve_prepared

ICE = 273.15

# --- two masses: 150 J/K over 0.05 K/W, 4900 J/K, 30 W/K, 300 W from 24 °C ------------------------------------------

# A flow of 100 m3/h and more makes the coolant one mass: it rises by 2 mK over the block.
TORRENT = """format = 1
[coolant]
base = "water"
[[part]]
id = "pump"
card = "pump"
[[part]]
id = "cpu"
card = "block"
[[part]]
id = "rad"
card = "radiator"
[[order]]
through = ["pump", "cpu", "rad"]
tube = "tube"
length = "1 mm"
[[stack]]
id = "front"
radiator = "rad"
air = "1000 m3/h"
[[state]]
name = "load"
room = "24 °C"
heat = { cpu = "300 W" }
"""
TORRENT_CARDS = """format = 1
[[card]]
id = "tube"
kind = "tube"
bore = "100 mm"
outside = "110 mm"
[[card]]
id = "pump"
kind = "pump"
port = [{ name = "in" }, { name = "out" }]
curve = { flow = "m3/h", head = "kPa", points = [[0, 100], [200, 50], [400, 0]] }
[[card]]
id = "block"
kind = "block"
port = [{ name = "in" }, { name = "out" }]
loss = { k = 0.1, bore = "100 mm" }
resistance = { node = "outlet", value = "0.05 K/W" }
heat_capacity = "150 J/K"
[[card]]
id = "radiator"
kind = "radiator"
port = [{ name = "in" }, { name = "out" }]
loss = { k = 0.1, bore = "100 mm" }
strength = { air = "m3/h", strength = "W/K", points = [[1000, 30]] }
heat_capacity = "HELD J/K"
"""
# (time s, block °C, coolant °C), computed with scipy 1.17.1: solve_ivp, LSODA, tolerances 1e-11
TWO_MASSES = (
    (5.0, 31.31496, 24.08132),
    (30.0, 39.61937, 25.26051),
    (120.0, 43.63294, 28.87174),
    (600.0, 48.68878, 33.70263),
)
TAU = (7.267176, 168.5662)  # s, computed with numpy 2.4.6: eigenvalues of the two rates


def torrent():
    from headrace.loop.loader import parse_build
    from headrace.parts.loader import read_cards
    from headrace.parts.tomltext import parse_toml

    water_j_k = 3 * np.pi / 4 * 0.1**2 * 1e-3 * 997.3 * 4182.0  # three tubes of 1 mm; water at 24 °C, iapws 1.5.5
    text = TORRENT_CARDS.replace("HELD", f"{4900.0 - water_j_k:.3f}")
    return parse_build(TORRENT, "build.toml", read_cards([parse_toml(text, "cards.toml")]))


def test_one_block_over_one_coolant_is_two_masses():
    course = warm_up(torrent(), 600.0)
    for time_s, block, coolant in TWO_MASSES:
        at = np.array([time_s])
        assert float(course.at(course.chip_k[:, 0], at)[0]) - ICE == pytest.approx(block, abs=0.02)
        assert float(course.at(course.hottest_k, at)[0]) - ICE == pytest.approx(coolant, abs=0.02)


def test_the_slow_one_of_two_masses_is_the_time_constant():
    loop = torrent()
    found = solve_prepared(Prepared.of(loop, stated_route(loop), loop.state()))
    assert time_constant_s(found) == pytest.approx(TAU[1], rel=2e-3)


# --- a small loop marched by an integrator --------------------------------------------------------------------------

# Water near 32 °C: 995.0 kg/m3 and 4179 J/(kg K), computed with iapws 1.5.5; filled at 24 °C, 997.3 kg/m3.
CP, FILLED = 4179.0, 997.3
BORE_M, RUN_M = 0.010, 0.5
# (name, water in mL, metal in J/K) in the order of the water; tubes between, as STATED on the cards of the small build
ORDER = (
    ("vessel", 230.0, 0.4 * 1470.0),
    ("pump", 50.0, 0.4 * 477.0),
    ("cpu", 50.0, 0.0),
    ("rad", 340.0, 1.1 * 385.0),
)


def marched(loop, times, *, heat_w, stops=False):
    """The same loop round its ring: each volume warms by what comes in, plain kelvins and a constant cp."""
    steady = solve(loop, stated_route(loop), loop.state())
    flow_kg_s = next(link.mass_flow_kg_s for link in steady.links if link.does == "pump")
    pump_w = next(link.heat_w for link in steady.links if link.does == "pump")
    tube_j_k = np.pi / 4 * BORE_M**2 * RUN_M * FILLED * CP
    held = [water * 1e-6 * FILLED * CP + metal for _, water, metal in ORDER]
    chip_j_k, resistance, strength, air_k = 180.0, 0.15, 29.0, 24.0 + ICE

    def slopes(_, y):
        parts, tubes, chip = y[:4], y[4:8], y[8]
        into = tubes[[3, 0, 1, 2]]
        passed = (chip - parts[2]) / resistance
        gains = np.array([0.0, pump_w, passed, -strength * (into[3] - air_k)])
        part_slopes = (flow_kg_s * CP * (into - parts) + gains) / held
        tube_slopes = flow_kg_s * CP * (parts - tubes) / tube_j_k
        return [*part_slopes, *tube_slopes, (heat_w - passed) / chip_j_k]

    found = solve_ivp(slopes, (0.0, times[-1]), np.full(9, air_k), "LSODA", times, rtol=1e-9, atol=1e-9).y
    return np.max(found[:8], axis=0), found[8]


@pytest.mark.parametrize("heat_w", [60.0, 280.0])
def test_a_warm_up_is_that_of_an_integrator(heat_w):
    # computed with scipy 1.17.1: solve_ivp, LSODA, tolerances 1e-9, at the flow of the steady state
    loop = heavy(('cpu = "280 W"', f'cpu = "{heat_w} W"'))
    times = np.array([1.0, 3.0, 8.0, 20.0, 45.0, 100.0, 250.0, 600.0, 1500.0])
    coolant, chip = marched(loop, times, heat_w=heat_w)
    course = warm_up(loop, 1500.0)
    assert course.at(course.hottest_k, times) == pytest.approx(coolant, abs=0.05)
    assert course.at(course.chip_k[:, 0], times) == pytest.approx(chip, abs=0.05)


def test_the_small_build_is_what_the_integrator_was_told():
    masses = find_masses(cells_of(heavy()).prepared)
    assert STATED["block"].startswith('volume = "50 mL"\nheat_capacity = "180 J/K"')
    whole = sum(water for _, water, _ in ORDER) * 1e-6 + 4 * np.pi / 4 * BORE_M**2 * RUN_M
    assert masses.water_kg.sum() == pytest.approx(whole * FILLED, rel=1e-4)
    assert masses.metal_j_k.sum() == pytest.approx(sum(metal for _, _, metal in ORDER), abs=1.0)


# --- the exponential ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("size", "scale"), [(1, 0.0), (3, 1e-3), (8, 5.0), (34, 100.0), (34, 1e5)])
def test_the_exponential_is_that_of_a_library(size, scale):
    # computed with scipy 1.17.1
    rates = np.random.default_rng(7).random((size, size))
    rates = scale * (rates - np.diag(rates.sum(axis=1)))
    assert expm(rates) == pytest.approx(scipy_expm(rates), abs=1e-10)


def test_the_exponential_of_a_matrix_without_an_inverse():
    # by hand: exp of ((0, a), (0, 0)) is ((1, a), (0, 1))
    assert expm(np.array([[0.0, 3e4], [0.0, 0.0]])) == pytest.approx(np.array([[1.0, 3e4], [0.0, 1.0]]))


# --- the examples ---------------------------------------------------------------------------------------------------

# Time constants in s: common practice, no source; coolant and metal over the sum of the radiators' strengths.
PRACTICE = {"compact-single-radiator": 160.0, "dual-gpu-workstation": 130.0, "quiet-studio": 200.0}


def example(name):
    loop = load_build(ROOT / "examples" / name)
    found = solve_prepared(Prepared.of(loop, stated_route(loop), loop.state()))
    masses = find_masses(found.prepared)
    room_k = float(loop.state().room_k)
    temps_k = found.heat.station_k[0, :-1]
    cp = float(found.prepared.coolant.heat_capacity_j_kg_k(float(temps_k.mean())))
    whole_j_k = float(masses.water_kg.sum() * cp + masses.metal_j_k.sum() + masses.chip_j_k.sum())
    return found, whole_j_k, float(temps_k.mean()) - room_k


@pytest.mark.parametrize("name", PRACTICE)
def test_the_examples_are_as_slow_as_practice_reckons(name):
    found, whole_j_k, _ = example(name)
    reckoned_s = whole_j_k / float(found.air.side.strength_w_k.sum())
    assert 1 / 1.4 < reckoned_s / PRACTICE[name] < 1.4


@pytest.mark.parametrize("name", PRACTICE)
def test_their_time_constant_is_capacity_over_conductance(name):
    """tau = C / G, G the heat over mean coolant less room: preheated air and warm cases make G less than the strengths.

    20 %: chips lag, and the masses do not sit where the mean temperature is.
    """
    found, whole_j_k, over_room_k = example(name)
    conductance = float(found.heat.heat_w.sum()) / over_room_k
    constant = time_constant_s(found)
    print(f"{name}: {constant:.0f} s, C/G {whole_j_k / conductance:.0f} s, practice {PRACTICE[name]:.0f} s")
    assert constant == pytest.approx(whole_j_k / conductance, rel=0.2)


def test_an_example_followed_for_long_ends_in_its_steady_state():
    loop = load_build(ROOT / "examples" / "dual-gpu-workstation")
    steady = solve(loop, stated_route(loop), loop.state())
    cells = cells_of(loop)
    course = follow(cells, *even_temps(cells, steady.room_k), 7200.0)
    assert course.hottest_k[-1] == pytest.approx(steady.hottest[1], abs=0.01)
    assert course.heat_w[-1] == pytest.approx(sum(steady.heat_w.values()), abs=0.1)
    chips = dict(zip((chip.part for chip in cells.masses.chips), course.chip_k[-1], strict=True))
    assert chips == pytest.approx(steady.part_temp_k, abs=0.01)
