"""Laws of the checks of heat and noise: what eases a build adds no finding, and the order of the file plays no part."""

import re
from functools import cache
from pathlib import Path

import pytest
from checkers.rule_files import HERE, build_of, cards
from hypothesis import given, settings
from hypothesis import strategies as st

from headrace.checks.build import solve_build
from headrace.checks.chance import in_reach, sound_in_reach
from headrace.checks.every import RULES, run_checks
from headrace.checks.finding import Finding, Severity, Skipped
from headrace.checks.states import Worst
from headrace.fluids.air import dew_point_k
from headrace.loop.loader import load_build, parse_build
from headrace.plan.events import find_event
from headrace.plan.outcomes import run_events

EXAMPLES = Path(__file__).parents[3] / "examples"
OWN = [rule for rule in RULES if re.match(r"HEAT|NOISE", rule.CHECK.id)]
BUILD = """
format = 1
[limits]
coolant = "{coolant} °C"
noise = "{noise} dBA"
avoid = {{ top = [["{low} rpm", "{high} rpm"]] }}
[thresholds]
{thresholds}
[defaults]
tube = "soft-10-16"
fitting = "collar-10-16"
length = "0.4 m"
{parts}
[[order]]
through = ["pump", "gpu", "cpu", "rad"]
[[stack]]
id = "top"
radiator = "rad"
fan = "fan-heard"
fans = 2
air = "120 m3/h"
inlet = {{ plus = "{plus} K" }}
[[state]]
name = "load"
room = "{room} °C"
humidity = "{humidity} %"
heat = {{ cpu = "{cpu} W", gpu = "100 W" }}
speed = {{ pump = "60 %", top = "{speed} rpm" }}
"""
PARTS = (
    '[[part]]\nid = "pump"\ncard = "pump-heard"\nmounting = "hard"\n',
    '[[part]]\nid = "gpu"\ncard = "block"\nlimit = "{chip} °C"\n',
    '[[part]]\nid = "cpu"\ncard = "block"\nlimit = "{chip} °C"\n',
    '[[part]]\nid = "rad"\ncard = "radiator"\n',
)
USUAL = {
    "coolant": 45, "noise": 30, "low": 700, "high": 800, "thresholds": "", "plus": 0, "room": 24, "humidity": 50,
    "cpu": 200, "speed": 1000, "chip": 90,
}  # fmt: skip
FEW = settings(max_examples=25, deadline=None)


def text_of(order=(0, 1, 2, 3), **values):
    values = {**USUAL, **values}
    parts = "".join(PARTS[index] for index in order).format(chip=values["chip"])
    return BUILD.format(**{**values, "parts": parts})


@cache
def results_of(text):
    build = solve_build(parse_build(text, "build.toml", cards("NOISE-01")))
    return tuple(result for rule in OWN for result in rule.run(build))


def found(text, id_):
    return [result for result in results_of(text) if isinstance(result, Finding) and result.check.id == id_]


def worst(text, id_):
    """0 for none, 1 for notes, 2 for more."""
    return max((1 if one.check.severity is Severity.NOTE else 2 for one in found(text, id_)), default=0)


@FEW
@given(st.integers(30, 60), st.integers(0, 10))
def test_a_higher_coolant_limit_finds_no_more(limit, more):
    for id_ in ("HEAT-03", "HEAT-05"):
        easier, harder = worst(text_of(coolant=limit + more), id_), worst(text_of(coolant=limit), id_)
        other = worst(text_of(coolant=limit), "HEAT-03")  # summer keeps silent where the limit is passed already
        assert easier <= max(harder, other)


@FEW
@given(st.integers(60, 110), st.integers(0, 10))
def test_a_higher_chip_limit_finds_no_more(limit, more):
    assert worst(text_of(chip=limit + more), "HEAT-02") <= worst(text_of(chip=limit), "HEAT-02")
    assert len(found(text_of(chip=limit + more), "HEAT-08")) <= len(found(text_of(chip=limit), "HEAT-08"))


@FEW
@given(st.integers(18, 45), st.integers(0, 6))
def test_a_higher_noise_limit_finds_no_more(limit, more):
    assert worst(text_of(noise=limit + more), "NOISE-01") <= worst(text_of(noise=limit), "NOISE-01")


@FEW
@given(st.integers(300, 1500), st.integers(0, 300))
def test_faster_fans_are_no_quieter(speed, more):
    assert worst(text_of(speed=speed), "NOISE-01") <= worst(text_of(speed=speed + more), "NOISE-01")


@FEW
@given(st.integers(0, 20), st.integers(0, 10))
def test_warmer_air_is_found_no_less(plus, more):
    assert len(found(text_of(plus=plus), "HEAT-04")) <= len(found(text_of(plus=plus + more), "HEAT-04"))
    assert worst(text_of(plus=plus), "HEAT-10") <= worst(text_of(plus=plus + more), "HEAT-10")


@FEW
@given(st.integers(20, 95), st.integers(0, 40), st.integers(1, 30))
def test_damper_air_is_found_no_less(humidity, more, below):
    damp = text_of(humidity=min(humidity + more, 100), plus=-below, cpu=20)
    assert len(found(text_of(humidity=humidity, plus=-below, cpu=20), "HEAT-06")) <= len(found(damp, "HEAT-06"))


@given(st.floats(278.0, 323.0), st.floats(0.05, 1.0))
def test_air_is_never_colder_than_its_dew_point(temp_k, humidity):
    assert float(dew_point_k(temp_k, humidity)) <= temp_k + 1e-6


@FEW
@given(st.integers(300, 1700), st.integers(300, 1600), st.integers(1, 100))
def test_a_speed_is_found_just_inside_its_band(speed, low, width):
    text = text_of(speed=speed, low=low, high=low + width)
    assert bool(found(text, "NOISE-03")) is (low < speed < low + width)


@FEW
@given(st.permutations(range(4)))
def test_the_order_of_parts_in_the_file_plays_no_part(order):
    def told(text):
        return sorted(
            (one.check.id, one.subject, one.found_text()) for one in results_of(text) if hasattr(one, "found")
        )

    assert told(text_of(tuple(order), chip=68)) == told(text_of(chip=68))


@pytest.mark.parametrize("threshold", ["warm_inlet", "coolant_air", "coolant_air_most", "tight_margin", "dew_margin"])
@FEW
@given(low=st.integers(0, 25), more=st.integers(0, 5))
def test_a_threshold_moves_findings_one_way(threshold, low, more):
    values = {"plus": -8, "cpu": 20, "humidity": 60} if threshold == "dew_margin" else {"plus": 8, "chip": 80}
    few, many = (text_of(thresholds=f'{threshold} = "{one} K"', **values) for one in (low, low + more))
    few, many = (many, few) if threshold in ("warm_inlet", "coolant_air", "coolant_air_most") else (few, many)
    for id_ in ("HEAT-04", "HEAT-06", "HEAT-08", "HEAT-10"):
        assert worst(few, id_) <= worst(many, id_)


@pytest.mark.parametrize("name", sorted(path.name for path in EXAMPLES.iterdir()))
def test_no_note_of_chance_where_the_chance_is_over_95_percent(name):
    build = solve_build(load_build(EXAMPLES / name))
    for result in run_checks(build).findings:
        chance = re.search(r"chance of keeping it is (\d+) %", result.fix)
        if chance is not None:
            assert result.check.severity is Severity.NOTE
            assert int(chance[1]) <= 95


@pytest.mark.parametrize(
    ("name", "states"),
    [("compact-single-radiator", 3), ("dual-gpu-workstation", 1), ("quiet-studio", 2), ("games-and-rendering", 1)],
)
def test_a_band_is_never_wider_than_the_estimate_that_spares_it(name, states):
    build = solve_build(load_build(EXAMPLES / name))
    for state, solution in build.solutions[:states]:
        bands = build.band(state.name).bands
        port, hottest_k = solution.hottest
        high_k = bands["coolant_temp_k"][port][1]
        assert in_reach(build, Worst(hottest_k, port, state.name, 0, 1), high_k)
        for chip, temp_k in solution.part_temp_k.items():
            high_k = bands["part_temp_k"][chip][1]
            assert in_reach(build, Worst(temp_k, chip, state.name, 0, 1), high_k, chip)
        total = Worst(solution.noise.total_db, "", state.name, 0, 1)
        assert sound_in_reach(build, total, bands["noise_db"][""][1])


@pytest.mark.parametrize("file", ["fail-in-time", "fail-late", "fail-margin"])
def test_the_time_to_a_limit_is_that_of_the_whole_course(file):
    """Two masses in closed form against the course of all water and metal."""
    build = build_of(HERE / "HEAT-07" / f"{file}.toml")
    (found,) = [result for rule in OWN for result in rule.run(build) if result.check.id == "HEAT-07"]
    event = find_event(build.loop, build.loop.states[0], "pump stops")
    (outcome,) = run_events(build.loop, build.route, [event], 60.0)
    times = {watched.name: watched.to_limit_s for watched in outcome.watched}
    assert found.found == pytest.approx(times["chip.cpu"], rel=0.01)


def test_a_state_that_lacks_heat_is_skipped_by_all_that_judge_the_first_one():
    text = text_of().replace('cpu = "200 W", ', "")
    skipped = {result.check.id for result in results_of(text) if isinstance(result, Skipped)}
    assert skipped >= {"HEAT-04", "HEAT-05", "HEAT-07", "HEAT-10"}
