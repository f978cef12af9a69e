"""What a fault or another condition does to a state: each case against the state as it is, whatever the numbers."""

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from checkers.small_build import BUILD, cards, small
from hypothesis import given, settings
from hypothesis import strategies as st

from headrace.errors import DeadBranch
from headrace.loop.loader import load_build, parse_build
from headrace.loop.override import override_state
from headrace.loop.route import stated_route
from headrace.parts.loader import load_catalogue
from headrace.plan.cases import DUSTY, find_cases, solve_cases
from headrace.plan.limits import judge
from headrace.report.cases import cases_json, report_cases, signed
from headrace.solve.steady import solve

EXAMPLES = Path(__file__).parents[3] / "examples"
HEAT = 'heat = { cpu = "280 W" }'
AIR = 'air = "120 m3/h"'
few = settings(max_examples=15)


def cases_of(loop, state=None):
    return solve_cases(loop, stated_route(loop), state or loop.state())


def cases(*changes, more=""):
    return cases_of(small(*changes, more=more))


def named(found, name):
    return next(outcome for outcome in found.outcomes if outcome.case.name == name)


def hottest(found, name=None):
    outcome = found.nominal if name is None else named(found, name)
    return outcome.solution.hottest[1]


@cache
def example(name):
    return cases_of(load_build(EXAMPLES / name))


def on_curves(text="", card="radiator-240-30"):
    """The small build with a radiator of the catalogue whose two fans blow through it on their curve."""
    build = BUILD.replace('id = "rad"\ncard = "radiator"', f'id = "rad"\ncard = "{card}"')
    build = build.replace(AIR, 'fan = "fan-120"') + text
    return parse_build(build, "build.toml", {**load_catalogue(), **cards()})


# --- what the cases are -----------------------------------------------------------------------------------------------


def test_the_state_as_it_is_stands_first_and_is_what_solve_says():
    loop = small()
    found = cases_of(loop)
    assert found.nominal.solution == solve(loop, stated_route(loop), loop.state())
    expected = ["pump out", DUSTY, "room 32.0 °C", "at 1500 m", "25 vol% propylene glycol"]
    assert [outcome.case.name for outcome in found.outcomes] == expected
    assert found.skipped == (("one fan of front out", "the number of its fans is not known"),)


def test_the_only_pump_out_is_a_row_that_says_why():
    outcome = named(cases(), "pump out")
    assert outcome.solution is None
    assert "to water that does not flow" in outcome.faults[0].found
    assert (outcome.limits, outcome.broken) == ((), ())


@few
@given(st.floats(20, 600), st.floats(30, 100))
def test_one_pump_of_two_out_leaves_less_flow_and_a_greater_rise(heat, speed):
    second = '[[part]]\nid = "pump2"\ncard = "pump"\n'
    through = ('"vessel", "pump", "cpu"', '"vessel", "pump", "pump2", "cpu"')
    found = cases(through, (HEAT, f'heat = {{ cpu = "{heat:.2f} W" }}'), ("60 %", f"{speed:.1f} %"), more=second)
    for name in ("pump out", "pump2 out"):
        one = named(found, name).solution
        assert one.pump_flow_m3_s < found.nominal.solution.pump_flow_m3_s
    rise = [
        solution.coolant_temp_k["cpu.out"] - solution.coolant_temp_k["cpu.in"]
        for solution in (named(found, "pump2 out").solution, found.nominal.solution)
    ]
    assert rise[0] > rise[1]


def test_what_stands_still_already_is_left_out_and_said():
    second = '[[part]]\nid = "pump2"\ncard = "pump"\n'
    found = cases(
        ('"vessel", "pump", "cpu"', '"vessel", "pump", "pump2", "cpu"'),
        ('pump = "60 %"', 'pump = "60 %", pump2 = "0 %"'),
        more=second,
    )
    assert ("pump2 out", "it stands still in this state already") in found.skipped
    loop = on_curves()
    for setting, change in ((["front.speed=0 rpm"], {}), ([], {"front": 2})):
        state = replace(override_state(loop, loop.state(), setting), fans_out=change)
        assert ("one fan of front out", "its fans stand still in this state already") in list(find_cases(loop, state))
    one_out = replace(loop.state(), fans_out={"front": 1})
    changes = [case.change for case in find_cases(loop, one_out) if not isinstance(case, tuple)]
    assert "2 of 2 fans of front stand still" in changes


def test_a_room_and_an_altitude_that_are_there_already_are_left_out_and_said():
    found = cases(('room = "24 °C"', 'room = "33 °C"\naltitude = "1800 m"'))
    assert ("room 32.0 °C", "the room of this state is 33.0 °C already") in found.skipped
    assert ("at 1500 m", "this state is at 1800 m already") in found.skipped
    other = cases(more='[thresholds]\nsummer_room = "28 °C"\nhigh_altitude = "900 m"\n')
    assert {"room 28.0 °C", "at 900 m"} <= {outcome.case.name for outcome in other.outcomes}


def test_a_state_without_a_solution_has_no_cases():
    with pytest.raises(DeadBranch):
        cases(("60 %", "0 %"))


# --- what they do -----------------------------------------------------------------------------------------------------


@few
@given(st.floats(20, 600), st.floats(5, 31))
def test_a_case_is_what_solve_says_of_the_same_change(heat, room):
    loop = small((HEAT, f'heat = {{ cpu = "{heat:.2f} W" }}'), ('"24 °C"', f'"{room:.2f} °C"'))
    found, route = cases_of(loop), stated_route(loop)
    for name, setting in (("room 32.0 °C", "room=32 °C"), ("at 1500 m", "altitude=1500 m")):
        alone = solve(loop, route, override_state(loop, loop.state(), [setting]))
        assert named(found, name).solution.part_temp_k == pytest.approx(alone.part_temp_k, abs=1e-9)
    mixed = small(
        (HEAT, f'heat = {{ cpu = "{heat:.2f} W" }}'),
        ('"24 °C"', f'"{room:.2f} °C"'),
        ('base = "water"', 'base = "propylene glycol"\nfraction = "25 vol%"'),
    )
    glycol = solve(mixed, route, mixed.state())
    assert hottest(found, "25 vol% propylene glycol") == pytest.approx(glycol.hottest[1], abs=1e-6)
    assert hottest(cases_of(mixed), "plain water") == pytest.approx(hottest(found), abs=1e-6)


@few
@given(st.floats(20, 600), st.floats(5, 31))
def test_dust_leaves_three_quarters_of_stated_points(heat, room):
    """T_in - T_air = P / G by definition of the strength, so a share of G kept divides the difference by that share."""
    found = cases((HEAT, f'heat = {{ cpu = "{heat:.2f} W" }}'), ('"24 °C"', f'"{room:.2f} °C"'))
    (clean,), (dusty,) = found.nominal.solution.radiators, named(found, DUSTY).solution.radiators
    assert dusty.strength_w_k == pytest.approx(0.75 * clean.strength_w_k, rel=1e-9)
    assert dusty.coolant_in_k - dusty.air_in_temp_k == pytest.approx(
        (clean.coolant_in_k - clean.air_in_temp_k) / 0.75, rel=1e-6
    )
    assert dusty.air_flow_m3_s == clean.air_flow_m3_s
    assert any("is stated: dust does not lower it" in note for note in named(found, DUSTY).notes)
    assert not any("its stated strength" in note for note in named(found, DUSTY).notes)


def test_dust_that_takes_nothing_changes_nothing():
    clean = '[thresholds]\ndust_strength = "100 %"\ndust_air_loss = "1"\n'
    found = cases_of(on_curves(clean))
    assert hottest(found, DUSTY) == pytest.approx(hottest(found), abs=1e-7)


@few
@given(st.floats(1.05, 5.0), st.floats(0.3, 1.0))
def test_more_dust_takes_more_air_and_more_strength(loss, kept):
    dust = f'[thresholds]\ndust_strength = "{kept:.4%}"\ndust_air_loss = "{loss:.4f}"\n'.replace("%", " %")
    found = cases_of(on_curves(dust))
    (clean,), (dusty,) = found.nominal.solution.radiators, named(found, DUSTY).solution.radiators
    assert dusty.air_flow_m3_s < clean.air_flow_m3_s
    assert dusty.strength_w_k < clean.strength_w_k * (kept + 1e-4)
    assert hottest(found, DUSTY) > hottest(found)


def test_with_a_filter_there_is_more_for_dust_to_lie_on():
    bare = cases_of(on_curves())
    filtered = cases_of(
        parse_build(
            BUILD.replace('id = "rad"\ncard = "radiator"', 'id = "rad"\ncard = "radiator-240-30"').replace(
                AIR, 'fan = "fan-120"\nscreens = ["filter-mesh"]'
            ),
            "build.toml",
            {**load_catalogue(), **cards()},
        )
    )
    lost = []
    for found in (bare, filtered):
        (clean,), (dusty,) = found.nominal.solution.air, named(found, DUSTY).solution.air
        lost.append(dusty.air_flow_m3_s / clean.air_flow_m3_s)
    assert lost[1] < lost[0] < 1.0


@pytest.mark.parametrize(("mount", "fans"), [("push", 2), ("push-pull", 4)])
def test_one_fan_out_takes_its_place_in_the_stack(mount, fans):
    loop = parse_build(
        BUILD.replace('id = "rad"\ncard = "radiator"', 'id = "rad"\ncard = "radiator-240-30"').replace(
            AIR, f'fan = "fan-120"\nmount = "{mount}"'
        ),
        "build.toml",
        {**load_catalogue(), **cards()},
    )
    outcome = named(cases_of(loop), "one fan of front out")
    assert outcome.case.change == f"1 of {fans} fans of front stand still"
    assert outcome.solution.radiators[0].air_flow_m3_s < cases_of(loop).nominal.solution.radiators[0].air_flow_m3_s
    assert hottest(cases_of(loop), "one fan of front out") > hottest(cases_of(loop))
    quieter = outcome.solution.noise.total_db - cases_of(loop).nominal.solution.noise.total_db
    left = 10.0 * math.log10((fans - 1) / fans)  # equal sources add by power, by definition of the level
    assert quieter == pytest.approx(left, abs=0.1)


def test_a_vent_has_fans_that_can_stop_too():
    loop = load_build(EXAMPLES / "games-and-rendering")
    names = {outcome.case.name for outcome in example("games-and-rendering").outcomes}
    assert {f"one fan of {vent.id} out" for vent in loop.vents if vent.fan} <= names


def test_what_a_case_does_not_know_is_said():
    found = cases()
    assert any("slow water" in note and "rad, cpu" in note for note in named(found, "pump out").case.notes)


@pytest.mark.parametrize("folder", ["compact-single-radiator", "dual-gpu-workstation", "games-and-rendering"])
def test_thin_air_costs_about_a_tenth_of_the_rise(folder):
    # 1500 m costs about 11 % of the rise over the air at a given strength, more where air is scarce: common practice
    nominal, high = example(folder).nominal.solution, named(example(folder), "at 1500 m").solution
    rises = [solution.hottest[1] - solution.room_k for solution in (nominal, high)]
    assert 1.05 <= rises[1] / rises[0] <= 1.27


# --- limits -----------------------------------------------------------------------------------------------------------


LIMITS = '[limits]\ncoolant = "{}"\nflow = "100 L/h"\nnoise = "10 dBA"\n'


@few
@given(st.floats(30, 60), st.floats(20, 500))
def test_a_limit_holds_or_is_broken_as_its_numbers_say(coolant, heat):
    loop = small((HEAT, f'heat = {{ cpu = "{heat:.2f} W" }}'), more=LIMITS.format(f"{coolant:.2f} °C"))
    found = cases_of(loop)
    for outcome in (found.nominal, *found.outcomes):
        if outcome.solution is None:
            continue
        judged = {limit.name: limit for limit in outcome.limits}
        assert {"coolant", "flow", "chip.cpu"} <= set(judged)
        assert judged["coolant"].holds == (outcome.solution.hottest[1] <= round(coolant, 2) + 273.15)
        assert judged["chip.cpu"].holds == (outcome.solution.margin_k["cpu"] >= 0)
        assert judged["flow"].holds == (outcome.solution.flow_m3_s["cpu"] >= 100 / 3.6e6)
        assert set(outcome.broken) == {limit for limit in outcome.limits if limit.past > 0}


def test_parts_are_held_against_what_they_bear():
    """B10 of the workstation: its flow sensor bears 40 °C, planted by the build's own comment."""
    broken = {limit.name: limit for limit in example("dual-gpu-workstation").nominal.broken}
    assert set(broken) == {"chip.cpu", "part.flow-sensor"}
    assert broken["part.flow-sensor"].limit == pytest.approx(313.15)
    summer = {limit.name for limit in named(example("dual-gpu-workstation"), "room 32.0 °C").broken}
    assert {"coolant", "chip.cpu", "part.flow-sensor"} <= summer
    dusty = load_build(EXAMPLES / "compact-single-radiator")
    margins = {limit.name: limit for limit in judge(dusty, solve(dusty, stated_route(dusty), dusty.state()))}
    assert margins["noise"].found == pytest.approx(29.1, abs=1.0)  # dBA; common practice, no source


# --- how it is told ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(path.name for path in EXAMPLES.iterdir()))
def test_every_example_has_its_cases_as_text_and_as_plain_values(name):
    found = example(name)
    plain = cases_json(found)
    assert plain["nominal"]["hottest_diff_k"] == 0.0
    assert len(plain["cases"]) == len(found.outcomes) >= 5
    nominal = plain["nominal"]["part_temp_k"]
    for row in plain["cases"]:
        if "faults" in row:
            assert row["faults"]
            continue
        assert row["hottest_k"] - plain["nominal"]["hottest_k"] == pytest.approx(row["hottest_diff_k"], abs=1e-9)
        assert {part: row["part_temp_k"][part] - temp for part, temp in nominal.items()} == pytest.approx(
            row["part_diff_k"], abs=1e-9
        )
        assert row["broken"] == [limit["name"] for limit in row["limits"] if not limit["holds"]]
    table = report_cases(found).body[0]
    assert len(table.rows) == 1 + len(found.outcomes)
    assert all(len(row) == len(table.columns) for row in table.rows)


def test_a_difference_is_never_taken_for_a_temperature():
    assert (signed(1.04), signed(-1.04), signed(0.04), signed(-0.04)) == ("+1.0 K", "-1.0 K", "0.0 K", "0.0 K")
