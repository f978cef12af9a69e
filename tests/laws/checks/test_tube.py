"""Laws of the checks of tubes, joints and materials: more room never adds a finding, the order of a file means nothing."""

from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from headrace.checks.build import solve_build
from headrace.checks.every import RULES
from headrace.checks.finding import Finding, Severity
from headrace.checks.rules import (
    bend_radius,
    insertion,
    month_loss,
    near_size,
    straight_between,
    straight_end,
    thread_turns,
    tube_pressure,
)
from headrace.loop.loader import parse_build
from headrace.parts.loader import load_cards

HERE = Path(__file__).parent
IDS = (
    *(f"TUBE-{number:02d}" for number in range(3, 11)),
    "THREAD-03",
    *(f"METAL-{number:02d}" for number in range(3, 6)),
    *(f"COOLANT-{number:02d}" for number in range(2, 7)),
)
OURS = [rule for rule in RULES if rule.CHECK.id in IDS]
MORE = """format = 1
[[card]]
id = "hard"
like = "hard-14-10"
kind = "tube"
min_bend_radius = "28 mm"
max_pressure = "60 kPa"
month_loss = "4 mL"
[[card]]
id = "socket"
like = "socket-14"
kind = "fitting"
tube = { grip = "socket", outside = "14.07 mm", insertion = "7 mm" }
stud = "3.5 mm"
max_pressure = "60 kPa"
[[card]]
id = "plug-silver"
like = "plug"
kind = "fitting"
wetted = ["silver"]
"""
FEW = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def build(tmp_path_factory):
    more = tmp_path_factory.mktemp("cards") / "more.toml"
    more.write_text(MORE)
    cards = load_cards([HERE / "parts.toml", more], {})
    return lambda text: solve_build(parse_build("format = 1\n" + text, "build.toml", cards))


COOLANT = '[coolant]\nadditives = ["biocide", "opaque particles"]\nleft_over = "unknown coolant"\n'
HANDLING = "[handling]\ntransport_filled = true\n"
DEFAULTS = '[defaults]\ntube = "hard"\nfitting = "socket"\nlength = "0.4 m"\n'
PARTS = [
    f'[[part]]\nid = "{id_}"\ncard = "{card}"\n'
    for id_, card in {
        "tank": "reservoir", "one": "pump", "two": "pump", "cpu": "block", "rad": "radiator-bleed", "net": "filter",
    }.items()
]  # fmt: skip
ROUTE = ["tank", "one", "two", "cpu", "net", "rad", "tank"]
RUNS = [
    f'[[run]]\nid = "r{index}"\nfrom = "{a}.out"\nto = "{b}.{"return" if b == "tank" else "in"}"\n'
    for index, (a, b) in enumerate(pairwise(ROUTE))
]
PORT = '[[port]]\nat = "rad.bleed"\nuse = "bleed"\nwith = ["plug-silver"]\n'


def path(corner_mm, middle_mm, radius_mm):
    points = [[0, 0, 0], [0, corner_mm, 0], [middle_mm, corner_mm, 0], [middle_mm, 2 * corner_mm, 0]]
    return f'path_mm = {points}\nbend_radius = "{radius_mm} mm"\n'


def whole(parts=None, runs=None, more=""):
    return COOLANT + HANDLING + DEFAULTS + "".join(parts or PARTS) + "".join(runs or RUNS) + PORT + more


def said(build, rules=OURS):
    """What rules find, without lines."""
    results = [result for rule in rules for result in rule.run(build)]
    found = [r for r in results if isinstance(r, Finding)]
    return sorted((f.check.id, f.check.severity.value, f.found_text(), f.limit_text()) for f in found)


def count(build, rule):
    return sum(isinstance(result, Finding) for result in rule.run(build))


@FEW
@given(st.permutations(PARTS), st.permutations(RUNS))
def test_the_order_of_parts_and_runs_means_nothing(build, parts, runs):
    wanted = said(build(whole()))
    assert {id_ for id_, *_ in wanted} >= {"TUBE-07", "TUBE-09", "THREAD-03", "COOLANT-03", "COOLANT-04", "METAL-05"}
    assert said(build(whole(parts, runs))) == wanted


MM = st.integers(5, 150)


def runs_with(text):
    return [RUNS[0] + text, *RUNS[1:]]


@FEW
@given(MM, MM, MM, MM)
def test_a_larger_radius_that_fits_is_never_tighter(build, corner, middle, radius, more):
    small, large = (count(build(whole(runs=runs_with(path(c, m, r)))), bend_radius) for c, m, r in (
        (corner, middle, radius), (corner + more, middle + more, radius + more),
    ))  # fmt: skip
    assert large <= small


@FEW
@given(MM, MM, MM, MM)
def test_longer_legs_never_leave_less_straight(build, corner, middle, radius, more):
    short = build(whole(runs=runs_with(path(corner, middle, radius))))
    long = build(whole(runs=runs_with(path(corner + more, middle + more, radius))))
    worse = {Severity.BEFORE_POWER: 2, Severity.NOTE: 1}
    for rule in (straight_end, straight_between):
        grade = [
            sum(worse[f.check.severity] for f in rule.run(each) if isinstance(f, Finding)) for each in (short, long)
        ]
        assert grade[1] <= grade[0]


@FEW
@given(
    st.sampled_from([
        (straight_end, "straight_reserve", "mm", 100, -1),
        (straight_between, "straight_between_good", "mm", 200, -1),
        (straight_between, "straight_between", "", 10, -1),
        (insertion, "least_insertion", "mm", 50, -1),
        (thread_turns, "thread_turns", "", 20, -1),
        (near_size, "same_size", "mm", 1, 1),
        (month_loss, "month_loss", "mL", 40, 1),
    ]),
    st.floats(0, 1),
    st.floats(0, 1),
)  # fmt: skip
def test_a_wider_limit_never_adds_a_finding(build, which, one, other):
    rule, name, unit, most, sign = which
    runs = runs_with(path(50, 80, 30))
    tight, wide = sorted((most * one, most * other), reverse=sign < 0)
    found = [
        count(
            build(whole(runs=runs, more=f'[thresholds]\n{name} = "{value:.4f} {unit}"\n'.replace(' "\n', '"\n'))), rule
        )
        for value in (tight, wide)
    ]
    assert found[1] <= found[0]


def test_a_second_pump_never_takes_pressure_away(build):
    text = COOLANT + DEFAULTS + "".join(PARTS) + '[[order]]\nthrough = ["tank", {}, "cpu"]\n'
    found = [count(build(text.replace("{}", pumps)), tube_pressure) for pumps in ('"one"', '"one", "two"')]
    assert found == [0, 2]  # 38 and 76 kPa on tube and sockets that bear 60 kPa
