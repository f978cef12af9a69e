"""Air at its edges: too weak, still, backwards, unknown or absurd. A clear message or a flagged result, never a NaN."""

from math import isfinite

import pytest
from checkers.air_builds import (
    FROM_CASE,
    RING,
    WIND,
    air_in,
    airflow,
    by_hand,
    joints,
    known,
    load,
    part,
    stack,
    vent,
)
from checkers.air_cases import FED, answers, random_build, reversed_ways
from hypothesis import given
from hypothesis import strategies as st

from headrace.errors import BadInput, NoBalance, Unknown

M3_H = 1.0 / 3600.0
builds = st.integers(0, 2**32 - 1).map(random_build).filter(answers)


def assert_finite(solution):
    numbers = [*solution.coolant_temp_k.values(), *solution.part_temp_k.values(), *solution.heat_w.values()]
    numbers += [*solution.flow_m3_s.values(), *solution.dp_pa.values(), solution.case_k, solution.case_pa]
    numbers += [value for air in solution.air for value in (air.air_flow_m3_s, air.speed_hz)]
    for r in solution.radiators:
        numbers += [r.strength_w_k, r.coolant_in_k, r.air_in_temp_k, r.air_out_temp_k, r.air_flow_m3_s]
    assert all(isfinite(number) for number in numbers if number is not None)


@given(builds)
def test_nothing_in_a_solution_is_not_a_number(build):
    assert_finite(build.solved()[1])


FAN = stack(fan="fan")
WAITING = part("spare", "law") + stack("b", "spare", fan="fan")


@pytest.mark.parametrize(
    ("air", "state", "error", "words"),
    [
        (FAN, load(top="20 rpm"), NoBalance, "whether the fans turn"),
        (FAN, load(top="0 rpm"), NoBalance, "whether the fans turn"),
        (stack(air="0 m3/h"), load(), NoBalance, "whether the fans turn"),
        (FAN, load(top="1000 rpm", fans_out="{ top = 3 }"), NoBalance, "whether the fans turn"),
        (stack(fan="fan", recirculated="100 %"), load(top="1000 rpm"), BadInput, "limit 90 %"),
        (FAN, load(top="2500 rpm"), BadInput, "limit 2000 rpm"),
        (FAN, load(top="120 %"), BadInput, "the most is 100 %"),
        (FAN, load(top="1000 rpm", fans_out="{ top = 4 }"), BadInput, "limit 3"),
        (stack(), load(), Unknown, 'stack "top": its airflow is not known: it names no fan'),
        (stack(fan="plain-fan"), load(top="1000 rpm"), Unknown, "states no curve"),
        (stack(air_per_fan="40 m3/h", air_at="1000 rpm"), load(), Unknown, "no fan speed in state"),
        (FAN + vent("v", fan="plain-fan", blows="in"), load(top="1000 rpm"), Unknown, "states no curve"),
        (FAN + part("spare", "law"), load(top="1000 rpm"), Unknown, "stands in no stack"),
    ],
)
def test_air_without_an_answer_says_where_and_why(air, state, error, words):
    with pytest.raises(error, match=words) as caught:
        by_hand(RING, air, state).solved()
    assert caught.value.faults[0].place.line > 0
    assert caught.value.faults[0].fix


@pytest.mark.parametrize(
    ("air", "state", "words"),
    [
        (FAN, load(top="150 rpm", heat=5.0), "fan laws at 7.5 %"),
        (stack(fan="fan", inlet=FROM_CASE), load(top="1500 rpm"), "its fans stall"),
        (stack(fan="fan", out="case") + WIND, load(top="300 rpm", wind="2000 rpm"), "air goes backwards"),
        (stack(fan="fan", out="case") + WIND, load(top="0 rpm", wind="2000 rpm"), "air goes backwards"),
        (FAN, load(top="1500 rpm", fans_out="{ top = 1 }"), "1 of its fans stand still"),
        (WAITING + FAN, load(top="1500 rpm", b="900 rpm"), "no flow in spare"),
        (stack(fan="fan", recirculated="90 %"), load(top="1500 rpm"), "boils"),
        (FAN, load(), "taken at full speed"),
        (FAN, load(top="1500 rpm", altitude="11000 m", heat=500.0), "outside their range"),
    ],
)
def test_strange_air_is_solved_and_said(air, state, words):
    solution = by_hand(RING, air, state).solved()[1]
    assert_finite(solution)
    assert any(words in note for note in solution.notes)


def test_two_waters_meet_in_the_air():
    text = part("p2", "pump") + part("gpu", "block") + part("rad2", "law")
    text += joints(("p2.out", "gpu.in"), ("gpu.out", "rad2.in"), ("rad2.out", "p2.in"))
    state = load(top="1500 rpm", p2="50 %").replace("heat = {", 'heat = { gpu = "100 W",')
    solution = by_hand(RING, text + stack(behind='["rad2"]', fan="fan"), state).solved()[1]
    assert_finite(solution)
    assert solution.heat_w["rad2"] == pytest.approx(100.0, rel=1e-6)
    first = next(r for r in solution.radiators if r.part == "rad")
    assert air_in(solution, "rad2") == pytest.approx(first.air_out_temp_k, abs=1e-9)
    assert len(solution.waters) == 2


def test_a_radiator_without_water_passes_no_heat_and_still_takes_pressure():
    alone = by_hand(RING, FAN, load(top="1500 rpm")).solved()[1]
    solution = by_hand(
        RING, stack(behind='["spare"]', fan="fan") + part("spare", "law"), load(top="1500 rpm")
    ).solved()[1]
    assert_finite(solution)
    assert solution.heat_w["spare"] == 0.0
    assert airflow(solution) < airflow(alone)


def test_a_fan_that_is_out_is_a_fan_that_stands():
    """The same three fans stand still; air that others drive goes through them or it does not."""
    air = stack(fan="fan", out="case") + WIND
    out = by_hand(RING, air, load(heat=10.0, top="1000 rpm", wind="1000 rpm", fans_out="{ top = 3 }"))
    still = by_hand(RING, air, load(heat=10.0, top="0 rpm", wind="1000 rpm"))
    assert airflow(out.solved()[1]) == pytest.approx(airflow(still.solved()[1]), rel=0.05)


def test_a_pair_with_one_fan_out_still_blows():
    pairs = stack(fan="fan", mount="push-pull")
    solution = by_hand(RING, pairs, load(top="1000 rpm", fans_out="{ top = 3 }")).solved()[1]
    assert airflow(solution) > 20.0 * M3_H


def test_air_that_nearly_stands_and_turns_is_refused_by_name():
    with pytest.raises(NoBalance, match=r"nearly stands .* turns from one way to the other"):
        random_build(1694).solved()


def test_two_stacks_that_share_an_exhaust_have_an_answer():
    assert_finite(random_build(68, FED).solved()[-1])


@known("the fan of a pair that stands takes no pressure")
def test_a_fan_that_stands_in_the_way_takes_more_than_no_fan():
    pairs, single = (stack(fan="fan", mount=mount) for mount in ("push-pull", "push"))
    one_each = by_hand(RING, pairs, load(top="1000 rpm", fans_out="{ top = 3 }")).solved()[1]
    assert airflow(one_each) < 0.99 * airflow(by_hand(RING, single, load(top="1000 rpm")).solved()[1])


@known("heat that passes in still air is given to the little air that moves")
@pytest.mark.parametrize("air", [1.0, 5.0, 12.0])
def test_no_air_leaves_warmer_than_the_coolant_that_warms_it(air):
    (radiator,) = by_hand({**RING, "rad": "still"}, stack(air=f"{air} m3/h"), load(heat=20.0)).solved()[1].radiators
    assert radiator.air_out_temp_k <= radiator.coolant_in_k + 1e-9


def test_stated_air_of_fans_that_all_stand_does_not_go_backwards():
    air = stack(fan="fan", out="case") + vent("v", fan="fan", air="50 m3/h", blows="in")
    solution = by_hand(RING, air, load(top="1000 rpm", v="1000 rpm", fans_out="{ v = 1 }")).solved()[1]
    assert not reversed_ways(solution)
    assert abs(airflow(solution, "v")) < 1e-3 * M3_H


def test_stated_airflows_that_would_burst_a_case_are_refused():
    air = FAN + vent("v", air="5000 m3/h", blows="out")
    with pytest.raises(NoBalance, match="airflows as stated do not fit together"):
        by_hand(RING, air, load(top="1500 rpm")).solved()


@pytest.mark.parametrize("spread", ["40 %", pytest.param("150 %", marks=known("a spread over 100 % is refused"))])
def test_a_card_may_be_uncertain_beyond_itself(spread):
    build = by_hand(RING, FAN, load(top="1500 rpm"))
    points = "points = [[60, 3.1], [120, 8]]"
    assert_finite(build.with_cards((points, f'{points}, spread = "{spread}"')).solved()[1])


@pytest.mark.parametrize("room", [-40, 60])
def test_a_room_at_the_end_of_its_range_is_read(room):
    assert_finite(by_hand(RING, FAN, load(room=room, top="1500 rpm")).solved()[1])
