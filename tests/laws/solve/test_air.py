"""Laws of the coupled solve of coolant and air: it agrees with an independent checker, keeps heat and mass, and gets
better or worse the way a machine does.

The checker finds one unknown at a time with brentq; see tests/checkers/air_checker.py. Random builds hold every form of
radiator and of air a file can state.
"""

import numpy as np
import pytest
from checkers.air_builds import (
    FORMS,
    FROM_CASE,
    RING,
    WIND,
    air_in,
    airflow,
    by_hand,
    coolant_in,
    joints,
    load,
    part,
    ring_of,
    stack,
    vent,
    written,
)
from checkers.air_cases import FED, INSIDE, OWN, SHARED, answers, deviation, random_build, reversed_ways
from checkers.air_checker import LEAK, check, find_ways, links_of
from hypothesis import assume, given, reject, settings
from hypothesis import strategies as st

from headrace.errors import NoBalance
from headrace.fluids.air import Air
from headrace.loop.route import stated_route
from headrace.solve.balance import balance
from headrace.solve.prepared import Prepared

SOAK_CHUNKS = 20  # of 100 builds each
SLACK_K = 1e-6
# what a stated airflow that works against the case may miss (20 Pa move it by 2e-9 m3/s), and what follows from it
STATED = {"air": 3e-6, "inlet": 1e-4, "coolant": 2e-4, "heat": 2e-6, "strength": 2e-5, "case": 1e-4, "pressure": 2e-2}
FOUND = {name: 5e-2 * most for name, most in STATED.items()}  # the air network closes to 1e-9 of its flow
seeds = st.integers(0, 2**32 - 1)
builds = seeds.map(random_build).filter(answers)
forms = st.sampled_from(FORMS)
mounts = st.sampled_from(("push", "pull", "push-pull"))
speeds = st.floats(500.0, 2000.0)
airs = st.floats(20.0, 300.0)


# ---------------------------------------------------------------- the independent checker


def allowed(loop, state):
    """How far apart both may be: in a case stated airflows and what mixtures draw are kept to what STATED says."""
    ways = find_ways(loop, state)
    mixes = any(way.recirculated or any(0.0 < share < 1.0 for share in way.sources.values()) for way in ways)
    stiff = (mixes or any(way.stated is not None for way in ways)) and ways[-1].id == LEAK
    return STATED if stiff else FOUND


def misfits(build, **options):
    """Distances of a build beyond what is allowed, by name."""
    loop, solution = solved(build)
    links = None if options.pop("own", False) else links_of(solution)
    try:
        found = check(loop, loop.state(), links, **options)
    except RuntimeError:  # the checker steps blindly and does not come to rest on every build
        return reject()
    assert found.mass_rel < 1e-9
    most = allowed(loop, loop.state())
    return {name: far for name, far in deviation(solution, found).items() if far > most[name]}


def turned_to_nowhere(build):
    """Stacks breathed from by others, or that draw some case air, whose air goes backwards: nobody says where to."""
    loop, solution = solved(build)
    breathed = {inlet.from_ for each in loop.stacks for inlet in each.inlets}
    back = [each for each in loop.stacks if each.id in reversed_ways(solution)]
    return [each.id for each in back if each.id in breathed or any(0.0 < i.share_frac < 1.0 for i in each.inlets)]


@settings(max_examples=20)
@given(builds)
def test_every_build_agrees_with_the_checker(build):
    assume(not turned_to_nowhere(build))
    assert not misfits(build)


@settings(max_examples=15)
@given(seeds)
def test_a_ring_agrees_without_being_told_its_flow(seed):
    build = random_build(seed, water="ring")
    assume(answers(build) and not turned_to_nowhere(build))
    assert not misfits(build, own=True)


@pytest.mark.soak
@pytest.mark.parametrize("chunk", range(SOAK_CHUNKS))
def test_every_chunk_of_builds_agrees_with_the_checker(chunk, soak_done):
    with soak_done(f"air-{chunk}") as done:
        for seed in () if done else range(1000 + 100 * chunk, 1100 + 100 * chunk):
            build = random_build(seed)
            if answers(build) and not turned_to_nowhere(build):
                assert not misfits(build), build


@pytest.mark.parametrize(
    "special",
    [
        SHARED,
        OWN,
        INSIDE,
        FED,
    ],
)
def test_builds_with_air_of_several_places_agree_with_the_checker(special):
    for seed in range(12):
        build = random_build(seed, special)
        if answers(build) and not turned_to_nowhere(build):
            assert not misfits(build), build


def test_air_that_is_driven_backwards_meets_the_last_radiator_first():
    parts = {"pump": "pump", "cpu": "block", "rad": "points", "rad2": "law"}
    air = stack(behind='["rad2"]', fan="fan", out="case") + WIND
    build = by_hand(parts, air, load(top="300 rpm", wind="2000 rpm"))
    assert reversed_ways(solved(build)[1]) == {"top"}
    assert not misfits(build)


def test_air_that_leaves_the_case_has_the_density_of_case_air():
    air = stack(fan="fan", out="case") + vent("slot", area="100 cm2")
    assert not misfits(by_hand(RING, air, load(case_heat="150 W", top="1500 rpm")))


def test_as_much_air_comes_to_the_second_radiator_as_leaves_the_first():
    parts = {"pump": "pump", "cpu": "block", "rad": "geometry", "rad2": "geometry"}
    assert not misfits(by_hand(parts, stack(behind='["rad2"]', fan="fan"), load(top="900 rpm")))


# ---------------------------------------------------------------- heat and mass


def heat_to_room(loop, solution, *, tight=False):
    """(heat put in, heat that reaches the room with the air and through the walls), both in W.

    What openings and leak carry is what the other ways leave over in the case, so no law of an opening is in it; a
    `tight` case has none.
    """
    state, room_k = loop.state(), solution.room_k
    air = Air.at(float(state.altitude_m), float(state.humidity_frac), room_k)
    cp = float(air.heat_capacity_j_kg_k(room_k))
    case_k = room_k if solution.case_k is None else solution.case_k
    ways = {way.id: way for way in find_ways(loop, state)}
    last = {way.cores[-1][0]: way.id for way in ways.values() if way.cores}
    out_k = {last[r.part]: r.air_out_temp_k or r.air_in_temp_k for r in solution.radiators if r.part in last}
    given = sum(link.heat_w for link in solution.links) + float(state.case_heat_w or 0.0) * (LEAK in ways)
    given += sum(way.fan_w for way in ways.values() if way.sink == "case")
    given += sum(0.15 / 0.85 * link.heat_w for link in solution.links if link.does == "pump" and LEAK in ways)
    reached, left_kg_s = 3.0 * (case_k - room_k), 0.0
    for flow in solution.air:
        way = ways[flow.id]
        there = {"room": room_k, "case": case_k, **out_k}
        first_k = next((r.air_in_temp_k for r in solution.radiators if way.cores and r.part == way.cores[0][0]), None)
        inlet_k = first_k if way.cores else there[next(iter(way.sources))]
        mass = float(air.density_kg_m3(inlet_k)) * (flow.air_flow_m3_s or 0.0) * (1.0 - way.recirculated)
        exhaust_k = out_k.get(way.id, inlet_k)
        given += mass * cp * way.plus_k
        reached += mass * cp * (exhaust_k - room_k) * (way.sink == "room")
        for name, share in way.sources.items():
            place = name if name in ("room", "case") else ways[name].sink
            reached -= share * mass * cp * (there[name] - room_k) * (place == "room")
            left_kg_s -= share * mass * (place == "case")
        left_kg_s += mass * (way.sink == "case")
    return given, reached + (0.0 if tight else max(left_kg_s, 0.0) * cp * (case_k - room_k))


def asks_too_much(loop, solution):
    """True where stacks together breathe more of an exhaust than there is: what they get then is not as stated."""
    flow = {air.id: air.air_flow_m3_s or 0.0 for air in solution.air}
    for stack_ in loop.stacks:
        shares = [(o.id, float(i.share_frac)) for o in loop.stacks for i in o.inlets if i.from_ == stack_.id]
        if sum(share * flow[id_] for id_, share in shares) > 0.97 * flow[stack_.id]:  # densities differ a little
            return True
    return False


def solved(build, *changes):
    """Its loop and solution; one whose stated airflows do not fit one another is another build's matter."""
    try:
        return build.solved(*changes)
    except NoBalance as refused:
        if "limit 500 Pa" not in str(refused):
            raise
        reject()


@given(builds)
def test_radiators_give_off_what_is_put_in(build):
    solution = solved(build)[1]
    given = sum(link.heat_w for link in solution.links)
    assert sum(solution.heat_w.values()) == pytest.approx(given, rel=1e-6, abs=1e-4)
    assert solution.closure.energy_rel <= 1e-6


@given(builds)
def test_all_heat_reaches_the_room(build):
    loop, solution = solved(build)
    assume(not reversed_ways(solution) and all(air.air_flow_m3_s is not None for air in solution.air))
    assume(not asks_too_much(loop, solution))
    given, reached = heat_to_room(loop, solution)
    assert reached == pytest.approx(given, rel=1e-5, abs=1e-3)


TIGHT = '[thresholds]\nassumed_case_leak = "0.0001 cm2"\n'
INTO = vent("in", fan="fan", blows="in")
OUT = vent("out", fan="fan", blows="out")
SECOND = {"pump": "pump", "cpu": "block", "rad": "points", "rad2": "law"}
_MOST, _SOME = (f'{{ from = "case", share = "{share} %" }}' for share in (70, 40))
_FED = stack("b", "rad2", fan="fan", inlet='{ from = "top", share = "30 %" }')


@pytest.mark.parametrize(
    ("parts", "air"),
    [
        pytest.param(RING, stack(fan="fan", inlet=_MOST) + INTO, id="most of it case air"),
        pytest.param(RING, stack(fan="fan", inlet=_SOME) + INTO + OUT, id="some case air"),
        pytest.param(RING, stack(fan="fan", inlet=FROM_CASE, recirculated="25 %") + INTO, id="own"),
        pytest.param(RING, stack(fan="fan", out="case", recirculated="25 %") + OUT, id="own, in"),
        pytest.param(RING, stack(fan="fan", inlet=FROM_CASE, out="case") + INTO + OUT, id="within"),
        pytest.param(SECOND, stack(fan="fan", out="case") + _FED + OUT, id="fed in the case"),
    ],
)
def test_all_heat_reaches_the_room_whatever_the_stack_breathes(parts, air):
    state = load(
        case_heat="90 W", top="1500 rpm", **{id_: "1200 rpm" for id_ in ("in", "out", "b") if f'"{id_}"' in air}
    )
    loop, solution = by_hand(parts, air, state, more=TIGHT).solved()
    given, reached = heat_to_room(loop, solution, tight=True)
    assert reached == pytest.approx(given, rel=1e-4)


@given(builds)
def test_the_case_is_never_colder_than_the_room(build):
    solution = solved(build)[1]
    assume(solution.case_k is not None)
    assert solution.case_k >= solution.room_k - 1e-9
    assert all(r.air_in_temp_k >= solution.room_k - 1e-9 for r in solution.radiators)


@given(builds)
def test_as_much_air_comes_into_the_case_as_leaves_it(build):
    loop = build.loop()
    prepared = Prepared.of(loop, stated_route(loop), loop.state())
    assume(prepared.air_model.network is not None)
    flow = balance(prepared, prepared.nominal()).air.link_flow[0]
    links = prepared.air_model.network.solver.network.links
    into = sum(q * ((link.end == 1) - (link.start == 1)) for q, link in zip(flow, links, strict=True))
    assert abs(into) <= 1e-9 * np.max(np.abs(flow))


# ---------------------------------------------------------------- more and less


@given(forms, airs, st.floats(1.0, 3.0), st.floats(20.0, 500.0))
def test_more_air_never_warms_the_coolant(form, air, factor, heat):
    less, more = (
        by_hand(ring_of(form), stack(air=f"{v:.6g} m3/h"), load(heat=heat)).solved()[1] for v in (air, factor * air)
    )
    for port, temp_k in more.coolant_temp_k.items():
        assert temp_k <= less.coolant_temp_k[port] + SLACK_K


@given(st.floats(0.0, 60.0), st.floats(0.1, 30.0))
def test_more_air_never_warms_the_coolant_of_a_core_that_works_in_still_air(air, more):
    temps = []
    for flow in (air, air + more):
        build = by_hand(ring_of("still"), stack(air=f"{flow:.6g} m3/h"), load(heat=20.0))
        temps.append(coolant_in(solved(build)[1]))
    assert temps[1] <= temps[0] + SLACK_K


BLOCKS = {
    "inlet": 'resistance = { node = "inlet", r0 = "0.03 K/W", c = "0.03 K/W", n = 0.5, at = "1 L/min" }',
    "mean": 'resistance = { node = "mean", value = "0.1 K/W" }',
    "outlet": 'resistance = { node = "outlet", value = "0.1 K/W" }',
}
BLOCK = 'resistance = { node = "inlet", value = "0.05 K/W" }'


@given(forms, st.sampled_from(sorted(BLOCKS)), airs, st.floats(15.0, 90.0), st.floats(1.0, 3.0))
def test_more_water_never_warms_what_enters_the_radiators_nor_a_block_over_its_inlet(form, node, air, speed, factor):
    parts = {"pump": "pump", "cpu": "block", "rad": form, "rad2": "law"}
    stacks = stack(air=f"{air:.6g} m3/h") + stack("low", "rad2", air="90 m3/h")
    found = []
    for pump in (speed, min(speed * factor, 100.0)):
        build = by_hand(parts, stacks, load(pump=f"{pump:.6g} %"))
        build = build.with_cards((BLOCK, BLOCKS[node]))
        solution = solved(build)[1]
        rise = solution.part_temp_k["cpu"] - solution.coolant_temp_k["cpu.in"]
        found.append((solution.pump_flow_m3_s, coolant_in(solution), rise))
    (slow, warm, high), (fast, cool, low) = found
    assert fast >= slow
    assert cool <= warm + SLACK_K
    assert low <= high + SLACK_K


def test_a_block_behind_a_radiator_gets_warmer_with_more_water():
    """The slower the water, the colder it leaves a radiator: T = T_air + P / G - P / C. So not every chip gains by flow."""
    parts = {"pump": "pump", "rad": "points", "cpu": "block"}
    slow, fast = (by_hand(parts, stack(air="120 m3/h"), load(pump=f"{pump} %")).solved()[1] for pump in (15, 90))
    assert fast.pump_flow_m3_s > 4 * slow.pump_flow_m3_s
    assert fast.part_temp_k["cpu"] > slow.part_temp_k["cpu"] + 3.0
    assert coolant_in(fast) < coolant_in(slow)


@given(forms, airs, st.floats(20.0, 300.0), st.floats(20.0, 100.0))
def test_equal_arms_share_water_and_heat_equally(form, air, heat, pump):
    arms = (("two", "cpu", "rad"), ("three", "gpu", "rad2"))
    ends = [("pump.out", "split.one"), ("join.one", "pump.in")]
    for port, block, rad in arms:
        ends += [(f"split.{port}", f"{block}.in"), (f"{block}.out", f"{rad}.in"), (f"{rad}.out", f"join.{port}")]
    text = part("pump", "pump") + part("split", "tee") + part("join", "tee") + joints(*ends)
    text += "".join(part(block, "block") + part(rad, form) for _, block, rad in arms)
    text += stack(air=f"{air:.6g} m3/h") + stack("low", "rad2", air=f"{air:.6g} m3/h")
    state = load(heat=heat, pump=f"{pump:.6g} %").replace("heat = {", f'heat = {{ gpu = "{heat} W",')
    build = written(text, state)
    solution = solved(build)[1]
    flow = solution.flow_m3_s
    assert flow["cpu"] == pytest.approx(flow["gpu"], rel=1e-9)
    assert flow["cpu"] == pytest.approx(0.5 * flow["pump:tank"] if "pump:tank" in flow else flow["cpu"], rel=1e-2)
    assert solution.heat_w["rad"] == pytest.approx(solution.heat_w["rad2"], rel=1e-8)
    assert solution.part_temp_k["cpu"] == pytest.approx(solution.part_temp_k["gpu"], abs=1e-6)


@given(forms, st.floats(20.0, 150.0), airs, st.floats(0.0, 100.0), st.booleans())
def test_a_stack_that_is_fed_is_never_cooler_than_one_on_room_air(form, air, other, share, out_of_case):
    parts = {"pump": "pump", "cpu": "block", "rad": form, "rad2": "law"}
    found = []
    for inlet in (f'{{ from = "top", share = "{share:.6g} %" }}', '{ from = "room" }'):
        air_of = stack(air=f"{air:.6g} m3/h", **({"inlet": FROM_CASE} if out_of_case else {}))
        low = stack("low", "rad2", air=f"{other:.6g} m3/h", inlet=inlet)
        found.append(by_hand(parts, air_of + low, load(case_heat="60 W")).solved()[1])
    fed, fresh = found
    assert air_in(fed, "rad2") >= air_in(fresh, "rad2") - SLACK_K
    assert coolant_in(fed) >= coolant_in(fresh) - SLACK_K


@given(forms, mounts, speeds, st.floats(0.0, 3000.0), st.floats(0.0, 2000.0), st.booleans(), st.booleans())
def test_thinner_air_never_cools_better(form, mount, speed, low, higher, screened, stated):
    keys = {"air": "120 m3/h"} if stated else {"fan": "fan", "mount": mount}
    keys |= {"screens": '["mesh"]'} if screened else {}
    below, above = (
        by_hand(ring_of(form), stack(**keys), load(top=f"{speed:.6g} rpm", altitude=f"{z:.6g} m")).solved()[1]
        for z in (low, low + higher)
    )
    assert coolant_in(above) >= coolant_in(below) - SLACK_K


@given(forms, st.booleans(), speeds, st.floats(1.0, 200.0), st.floats(0.0, 1.0), st.floats(0.0, 100.0))
def test_closing_an_opening_never_lets_more_air_through(form, into, speed, area, share, case_heat):
    through = []
    for free in (area, max(share * area, 0.01)):
        place = {"out": "case"} if into else {"inlet": FROM_CASE}
        air = stack(fan="fan", **place) + vent("slot", area=f"{free:.6g} cm2")
        state = load(heat=100.0, case_heat=f"{case_heat:.6g} W", top=f"{speed:.6g} rpm")
        through.append(airflow(by_hand(ring_of(form), air, state).solved()[1]))
    assert through[1] <= through[0] * (1.0 + 1e-9)


@given(forms, mounts, speeds, st.integers(0, 2), st.booleans())
def test_one_fan_out_never_cools_better(form, mount, speed, out, stated):
    keys = {"air": "120 m3/h", "fans": 3} if stated else {"fan": "fan", "mount": mount}
    turning = {} if stated else {"top": f"{speed:.6g} rpm"}
    temps = []
    for standing in (out, out + 1):
        build = by_hand(ring_of(form), stack(**keys), load(heat=50.0, fans_out=f"{{ top = {standing} }}", **turning))
        try:
            temps.append(coolant_in(solved(build)[1]))
        except NoBalance:
            temps.append(1e3)  # the coolant boils
    assert temps[1] >= temps[0] - SLACK_K


def test_a_little_more_case_air_changes_little():
    one, other = (
        by_hand(
            RING,
            stack(fan="fan", inlet=f'{{ from = "case", share = "{share} %" }}'),
            load(case_heat="90 W", top="1500 rpm"),
        )
        for share in (50, 51)
    )
    assert airflow(other.solved()[1]) == pytest.approx(airflow(one.solved()[1]), rel=0.05)


def test_a_stack_breathes_no_more_exhaust_than_there_is():
    """Of 200 m3/h no more than a quarter can be the exhaust of a stack that blows 50 m3/h."""
    air = stack(air="50 m3/h") + stack("low", "rad2", air="200 m3/h", inlet='{ from = "top" }')
    solution = by_hand(SECOND, air, load()).solved()[1]
    first = next(r for r in solution.radiators if r.part == "rad")
    warmest = solution.room_k + 0.26 * (first.air_out_temp_k - solution.room_k)
    told = any("exhaust" in note for note in solution.notes)
    assert told or air_in(solution, "rad2") <= warmest
