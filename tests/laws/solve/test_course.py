"""Courses in time: no heat is lost, they end where the steady solver says, more mass is slower, stops only warm."""

from dataclasses import replace

import numpy as np
import pytest
from checkers.course_checker import (
    STATED,
    after,
    cells_of,
    even_temps,
    given_j,
    heavy,
    held_j,
    put_in_j,
    steady_temps,
    stopped,
    warm_up,
)
from hypothesis import given
from hypothesis import strategies as st

from headrace.loop.route import stated_route
from headrace.physics.warming import soak_s
from headrace.plan.events import find_event, standard_events
from headrace.plan.outcomes import BOILS_K, run_events
from headrace.solve.course import PARTS, STEP_K, Ramp, follow, time_constant_s
from headrace.solve.masses import LEAST_J_K, find_masses
from headrace.solve.prepared import Prepared
from headrace.solve.steady import solve, solve_prepared
from headrace.units import Figure, Kind

HEAT = 'heat = { cpu = "280 W" }'
PARALLEL = """
[[part]]
id = "split"
card = "tee"
[[part]]
id = "join"
card = "tee"
[[part]]
id = "cpu2"
card = "block"
[[run]]
from = "vessel.out"
to = "pump.in"
[[run]]
from = "pump.out"
to = "split.one"
[[run]]
from = "split.two"
to = "cpu.in"
[[run]]
from = "split.three"
to = "cpu2.in"
[[run]]
from = "cpu.out"
to = "join.two"
[[run]]
from = "join.three"
to = "cpu2.out"
[[run]]
from = "join.one"
to = "rad.in"
[[run]]
from = "rad.out"
to = "vessel.in"
"""
NO_ORDER = ('[[order]]\nthrough = ["vessel", "pump", "cpu", "rad"]\n', "")
BOTH = (HEAT, 'heat = { cpu = "280 W", cpu2 = "90 W" }')
LOOPS = {"ring": heavy(), "parallel": heavy(NO_ORDER, BOTH, more=PARALLEL)}


@given(
    st.sampled_from(sorted(LOOPS)),
    st.floats(20, 900),
    st.floats(280, 330),
    st.floats(25, 100),
    st.floats(1, 4000),
    st.booleans(),
)
def test_heat_put_in_is_held_or_given_off(name, heat, start_k, speed, horizon, rests):
    state = replace(
        LOOPS[name].state(),
        heat_w={"cpu": Figure(heat, Kind.HEAT)},
        speed={"pump": Figure(0.0 if rests else speed / 100, Kind.FRACTION)},
    )
    cells = cells_of(LOOPS[name], state)
    course = follow(cells, *even_temps(cells, start_k), horizon, stop_k=BOILS_K)
    assert course.time_s[-1] == pytest.approx(horizon) or course.hottest_k[-1] > BOILS_K
    total = put_in_j(course)
    assert held_j(course) + given_j(course) == pytest.approx(total, abs=1e-6 * (total + abs(given_j(course))))


@given(st.sampled_from(sorted(LOOPS)), st.floats(0, 900), st.floats(280, 330), st.floats(30, 100))
def test_a_long_course_ends_in_the_steady_state(name, heat, start_k, speed):
    state = replace(
        LOOPS[name].state(),
        heat_w={"cpu": Figure(heat, Kind.HEAT)},
        speed={"pump": Figure(speed / 100, Kind.FRACTION)},
    )
    cells = cells_of(LOOPS[name], state)
    link_k, chip_k = steady_temps(cells)
    course = follow(cells, *even_temps(cells, start_k), 5400.0)
    wet = cells.wet
    assert course.link_k[-1][wet] == pytest.approx(link_k[wet], abs=0.01)
    assert course.chip_k[-1] == pytest.approx(chip_k, abs=0.01)


@pytest.mark.parametrize("where", ["inlet", "mean", "outlet"])
def test_a_chip_ends_over_the_coolant_its_resistance_refers_to(where):
    loop = heavy(on_card=('node = "outlet"', f'node = "{where}"'))
    course = warm_up(loop, 3600.0)
    solution = solve(loop, stated_route(loop), loop.state())
    assert course.chip_k[-1, 0] == pytest.approx(solution.part_temp_k["cpu"], abs=0.01)
    assert course.hottest_k[-1] == pytest.approx(solution.hottest[1], abs=0.01)
    assert course.heat_w[-1] == pytest.approx(sum(solution.heat_w.values()), abs=0.1)


def test_nothing_happens_when_nothing_changes():
    course = after(LOOPS["parallel"], 600.0)
    assert np.ptp(course.link_k, axis=0) == pytest.approx(0.0, abs=1e-5)
    assert np.ptp(course.chip_k, axis=0) == pytest.approx(0.0, abs=1e-5)


def test_a_switched_on_loop_only_warms():
    course = warm_up(LOOPS["ring"])
    assert np.all(np.diff(course.hottest_k) > -1e-3)  # warmer water flows a little faster, and then rises less
    assert np.all(np.diff(course.chip_k[:, 0]) > -1e-3)


@given(st.floats(20, 600), st.floats(30, 100))
def test_a_pump_that_stops_never_cools_a_chip(heat, speed):
    state = replace(
        LOOPS["ring"].state(),
        heat_w={"cpu": Figure(heat, Kind.HEAT)},
        speed={"pump": Figure(speed / 100, Kind.FRACTION)},
    )
    course = after(LOOPS["ring"], 120.0, state=state, speed=stopped(state))
    assert np.all(course.chip_k[:, 0] >= course.chip_k[0, 0] - 1e-9)
    assert course.chip_k[-1, 0] > course.chip_k[0, 0] + 1.0
    assert np.all(course.heat_w == 0.0)


def test_water_at_rest_under_a_chip_warms_with_all_its_heat():
    """By hand: block and its water take 80 W together, the chip stands P R above it once that has settled."""
    loop = LOOPS["ring"]
    state = replace(loop.state(), heat_w={"cpu": Figure(80.0, Kind.HEAT)})
    course = after(loop, 160.0, state=state, speed=stopped(state))
    cells = course.cells
    chip = cells.masses.chips[0]
    water_j_k = cells.masses.water_kg[chip.link] * 4180.0  # J/(kg K), water, textbook value
    late = course.time_s > 120.0
    slope = np.polyfit(course.time_s[late], course.link_k[late, chip.link], 1)[0]
    assert slope == pytest.approx(80.0 / (180.0 + water_j_k), rel=5e-3)
    lag_w = 180.0 * slope  # what the block itself takes up does not pass its resistance
    gap = course.chip_k[-1, 0] - course.link_k[-1, chip.link]
    assert gap == pytest.approx((80.0 - lag_w) * 0.15, rel=5e-3)


@given(
    st.sampled_from(["vessel", "pump", "block", "radiator"]),
    st.floats(10, 5000),
    st.sampled_from([10.0, 60.0, 200.0, 600.0]),
)
def test_more_mass_never_warms_faster(card, more_j_k, time_s):
    light = {name: f'{text.splitlines()[0]}\nheat_capacity = "200 J/K"\n' for name, text in STATED.items()}
    heavier = {**light, card: light[card].replace("200 J/K", f"{200 + more_j_k:.2f} J/K")}
    one, two = (warm_up(heavy(stated=stated), 700.0) for stated in (light, heavier))
    for first, second in ((one.hottest_k, two.hottest_k), (one.chip_k[:, 0], two.chip_k[:, 0])):
        assert float(two.at(second, np.array([time_s]))[0]) <= float(one.at(first, np.array([time_s]))[0]) + 0.02


@given(st.floats(0.5, 15.0))
def test_a_warmer_room_ends_warmer_by_as_much(rise):
    loop = LOOPS["ring"]
    room = Figure(float(loop.state().room_k) + rise, Kind.TEMPERATURE)
    course = after(loop, 3600.0, room_k=room)
    assert course.hottest_k[-1] - course.hottest_k[0] == pytest.approx(rise, abs=0.02 * rise + 0.02)
    assert course.chip_k[-1, 0] - course.chip_k[0, 0] == pytest.approx(rise, abs=0.02 * rise + 0.02)


def test_a_room_that_warms_slowly_ends_like_one_that_warms_at_once():
    loop = LOOPS["ring"]
    room_k = float(loop.state().room_k)
    cells = cells_of(loop, replace(loop.state(), room_k=Figure(room_k + 6.0, Kind.TEMPERATURE)))
    start = steady_temps(cells_of(loop))
    slow = follow(cells, *start, 5400.0, ramp=Ramp(room_k, 1800.0))
    fast = follow(cells, *start, 5400.0, ramp=Ramp(room_k, 0.0))
    assert slow.link_k[-1] == pytest.approx(fast.link_k[-1], abs=0.01)
    assert slow.room_k[0] == room_k
    assert slow.room_k[-1] == room_k + 6.0
    assert float(slow.at(slow.room_k, np.array([900.0]))[0]) == pytest.approx(room_k + 3.0)
    # far into the ramp the loop follows at the room's pace, 6 K in 1800 s
    late = (slow.time_s > 1200.0) & (slow.time_s <= 1800.0)
    assert np.polyfit(slow.time_s[late], slow.hottest_k[late], 1)[0] == pytest.approx(6.0 / 1800.0, rel=0.02)


@pytest.mark.parametrize("name", LOOPS)
def test_half_the_step_changes_nothing_that_shows(name):
    times = np.geomspace(0.5, 1800.0, 60)
    for changed in ({}, {"speed": stopped(LOOPS[name].state())}):
        loop = LOOPS[name]
        cells = cells_of(loop, replace(loop.state(), **changed))
        start = steady_temps(cells_of(loop)) if changed else even_temps(cells, 297.15)
        one, two = (follow(cells, *start, 1800.0, stop_k=BOILS_K, step_k=step) for step in (STEP_K, STEP_K / 2))
        until = times[times < min(one.time_s[-1], two.time_s[-1])]
        for first, second in ((one.hottest_k, two.hottest_k), *zip(one.chip_k.T, two.chip_k.T, strict=True)):
            assert one.at(first, until) == pytest.approx(two.at(second, until), abs=0.05)
        assert one.hottest_k[-1] > BOILS_K or len(one.time_s) == PARTS * one.steps + 1


def test_the_time_constant_is_the_slowest_there_is():
    loop = LOOPS["ring"]
    constant = time_constant_s(solve_prepared(Prepared.of(loop, stated_route(loop), loop.state())))
    course = warm_up(loop, 3600.0)
    end = course.hottest_k[-1]
    left = end - course.at(course.hottest_k, np.array([400.0, 400.0 + constant]))
    assert left[1] / left[0] == pytest.approx(np.exp(-1.0), rel=0.02)


def test_a_loop_that_gives_nothing_off_has_no_time_constant():
    loop = heavy((HEAT, ""), ('"120 m3/h"', '"0 m3/h"'), ("60 %", "0 %"))
    assert time_constant_s(solve_prepared(Prepared.of(loop, stated_route(loop), loop.state()))) is None


def test_masses_come_from_the_cards_or_are_missed():
    masses = find_masses(cells_of(heavy()).prepared)
    assert masses.notes == ()
    names = [passage.id for passage in cells_of(heavy()).prepared.assembly.passages]
    metal = dict(zip(names, masses.metal_j_k, strict=True))
    # by hand: mass times the specific heat of the first metal, 385 copper, 477 stainless steel; 1470 acrylic
    assert metal["rad"] == pytest.approx(1.1 * 385 + LEAST_J_K)
    assert metal["pump"] == pytest.approx(0.4 * 477 + LEAST_J_K)
    assert metal["vessel"] == pytest.approx(0.4 * 1470 + LEAST_J_K)
    assert masses.chip_j_k == pytest.approx([180.0])
    # 670 mL in the parts and four runs of 0.5 m of 10 mm bore, at the density of water at 24 °C, 997.3 kg/m3 (textbook)
    assert masses.water_kg.sum() == pytest.approx((670e-6 + 4 * 0.5 * np.pi / 4 * 1e-4) * 997.3, rel=1e-4)
    bare = find_masses(cells_of(heavy(stated={"pump": 'mass = "0.4 kg"\n'})).prepared)
    said = " ".join(bare.notes)
    assert "no volume on the cards of vessel, pump, cpu, rad" in said
    assert "no mass on the cards of vessel, cpu, rad" in said
    assert "no wetted on the cards of pump" in said


def test_masses_nobody_states_only_make_it_faster():
    known, unknown = warm_up(heavy(), 300.0), warm_up(heavy(stated={}), 300.0)
    times = np.array([1.0, 10.0, 100.0])
    assert np.all(unknown.at(unknown.hottest_k, times) > known.at(known.hottest_k, times))


def test_every_standard_event_is_followed_and_found_by_its_name():
    loop = heavy(more='[[state]]\nname = "idle"\nroom = "20 °C"\nheat = { cpu = "30 W" }\n')
    events = standard_events(loop, loop.state())
    expected = ["warm-up", "cool-down", "load step", "pump stops", "all fans of front stop", "room rises 5 K"]
    assert [event.name for event in events] == expected
    outcomes = run_events(loop, stated_route(loop), events)
    for event, outcome in zip(events, outcomes, strict=True):
        assert find_event(loop, loop.state(), event.name.upper()).end.name == event.end.name
        if outcome.end is not None:
            assert outcome.course.hottest_k[-1] == pytest.approx(outcome.end.hottest[1], abs=0.05)
            assert outcome.soak_s == soak_s(outcome.time_constant_s)
    by_name = {outcome.event.name: outcome for outcome in outcomes}
    assert by_name["pump stops"].boils_s < 120.0
    assert by_name["pump stops"].end is None
    assert by_name["all fans of front stop"].boils_s > by_name["pump stops"].boils_s
    assert by_name["cool-down"].end.hottest[1] < by_name["warm-up"].end.hottest[1]
    assert by_name["load step"].course.hottest_k[0] < by_name["pump stops"].course.hottest_k[0]
    # the chip's limit is 90 °C, that of the block card too: the chip is the hotter of the two
    passed = {watched.name: watched.to_limit_s for watched in by_name["pump stops"].passed}
    assert 0.0 < passed["chip.cpu"] < passed["part.cpu"] < by_name["pump stops"].boils_s


def test_one_of_two_fans_is_less_than_none():
    fans = ('air = "120 m3/h"', 'fans = 2\nair_per_fan = "60 m3/h"\nair_at = "1000 rpm"')
    speed = ('speed = { pump = "60 %" }', 'speed = { pump = "60 %", front = "1000 rpm" }')
    loop = heavy(fans, speed)
    names = [event.name for event in standard_events(loop, loop.state())]
    assert "one fan of front stops" in names
    events = [find_event(loop, loop.state(), f"{which} front {stop}") for which, stop in
              (("one fan of", "stops"), ("all fans of", "stop"))]  # fmt: skip
    one, every = run_events(loop, stated_route(loop), events)
    assert one.course.hottest_k[0] < one.end.hottest[1] < BOILS_K
    assert every.end is None
    assert every.boils_s is not None
