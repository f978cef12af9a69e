"""Laws of the flow balance on random networks: it closes, agrees with an independent solver, and knows its symmetries.

The checker finds node pressures, headrace circuit flows; see tests/checkers/flow_checker.py. `closure` takes the
pressures from the checker's own formulas and the circuits from networkx.
"""

from dataclasses import replace
from random import Random

import numpy as np
import pytest
from checkers.flow_cases import CLASS_L as POINTS
from checkers.flow_cases import (
    L_MIN,
    WATER,
    agree,
    law_pump,
    loss_curve,
    mirrored,
    network_of,
    points_pump,
    random_loss,
    random_network,
    solve,
)
from checkers.flow_checker import Branch, closure, driven_branches, live_branches, solve_nodes
from checkers.flow_physics import Element
from hypothesis import given
from hypothesis import strategies as st

MASS_REL, PRESSURE_PA = 1e-9, 0.01  # what a balance promises
SOAK_CHUNKS = 40  # of 100 networks each
EXACT_REL = 1e-9  # of the largest flow
REST_M3_S = 1e-12  # ten times what the solver calls nothing; 60 nanolitres a minute
seeds = st.integers(0, 2**32 - 1)
randoms = seeds.map(Random)
networks = st.builds(random_network, seeds, st.integers(3, 40), st.integers(1, 4))
LOSSLESS = Element("fitting", {"bore_m": 0.01, "k_laminar": 0.0, "k_turbulent": 0.0})


def flows(branches, **options):
    return solve(branches, **options).flow_m3_s[0]


def passive(branches):
    return [i for i, b in enumerate(branches) if not b.has_pump and not b.closed]


def assert_closes_and_agrees(branches):
    balance = solve(branches)
    flow = balance.flow_m3_s[0]
    mass, pressure = closure(branches, flow)
    assert mass <= MASS_REL
    assert pressure <= PRESSURE_PA
    assert balance.left_pa[0] <= PRESSURE_PA
    checked = solve_nodes(branches)
    assert checked.mass_rel <= MASS_REL
    assert checked.pressure_pa <= PRESSURE_PA
    assert agree(branches, flow, checked.flow) <= 1.0
    return mass, pressure, checked, flow


# ---------------------------------------------------------------- balance


@given(networks)
def test_every_network_closes_and_agrees_with_the_node_checker(branches):
    assert_closes_and_agrees(branches)


def sample(numbers):
    """Check many networks; print and return the worst mass, pressure and share of what `agree` allows."""
    worst = np.zeros(3)
    for number in numbers:
        branches = random_network(number)
        mass, pressure, checked, flow = assert_closes_and_agrees(branches)
        worst = np.maximum(worst, (mass, pressure, agree(branches, flow, checked.flow)))
    print(f"\n{len(numbers)} networks: mass {worst[0]:.1e}, pressure {worst[1]:.1e} Pa, {worst[2]:.2f} of the allowed")
    return worst


def test_the_first_two_hundred_networks_close_and_agree():
    mass, pressure, allowed = sample(range(200))
    assert (mass <= MASS_REL, pressure <= PRESSURE_PA, allowed <= 1.0) == (True, True, True)


@pytest.mark.parametrize("number", [670, 942])
def test_a_network_that_needs_shortened_steps_closes(number):
    assert_closes_and_agrees(random_network(number))  # plain Newton leaves 300 Pa and more here after 120 steps


@pytest.mark.soak
@pytest.mark.parametrize("chunk", range(SOAK_CHUNKS))
def test_every_chunk_of_networks_closes_and_agrees(chunk, soak_done):
    with soak_done(f"networks-{chunk}") as done:
        if not done:
            mass, pressure, allowed = sample(range(1000 + 100 * chunk, 1100 + 100 * chunk))
            assert (mass <= MASS_REL, pressure <= PRESSURE_PA, allowed <= 1.0) == (True, True, True)


@given(networks)
def test_pressure_reported_is_that_of_the_laws_at_the_flow_reported(branches):
    balance = solve(branches)
    own = [b.loss()(q) for b, q in zip(branches, balance.flow_m3_s[0], strict=True)]
    assert balance.dp_pa[0] == pytest.approx(own, rel=1e-9, abs=1e-9)
    assert np.sum(balance.element_dp_pa) == pytest.approx(np.sum(balance.dp_pa), rel=1e-9, abs=1e-6)


@given(networks)
def test_node_pressures_differ_by_what_the_links_take(branches):
    balance, network = solve(branches), network_of(branches)
    pressure = network.node_pressure_pa(balance.dp_pa, [1])[0]
    assert pressure[1] == 0.0
    for b, dp in zip(branches, balance.dp_pa[0], strict=True):
        if not b.closed:
            assert pressure[b.start] - pressure[b.end] == pytest.approx(dp, rel=1e-12, abs=PRESSURE_PA)


@given(networks)
def test_branches_in_no_circuit_and_closed_ones_carry_exactly_nothing(branches):
    flow, live = flows(branches), live_branches(branches)
    still = [i for i in range(len(branches)) if i not in live]
    assert set(network_of(branches).dead_links()) == set(still)
    assert all(flow[i] == 0.0 for i in still)


@given(networks)
def test_water_rests_where_no_pump_drives_it(branches):
    flow, driven = flows(branches), driven_branches(branches)
    for i, b in enumerate(branches):
        if i not in driven:
            assert abs(b.loss()(flow[i])) <= (PRESSURE_PA if not b.has_pump else np.inf)


# ---------------------------------------------------------------- symmetries


@given(networks, randoms)
def test_a_link_written_the_other_way_round_only_changes_its_sign(branches, rng):
    turned = {i for i in passive(branches) if rng.random() < 0.5}
    sign = np.array([-1.0 if i in turned else 1.0 for i in range(len(branches))])
    flow = flows(branches)
    other = sign * flows([mirrored(b) if i in turned else b for i, b in enumerate(branches)])
    assert other == pytest.approx(flow, abs=EXACT_REL * np.max(np.abs(flow)) + REST_M3_S)


@given(networks, randoms)
def test_the_order_of_links_and_the_names_of_nodes_do_not_matter(branches, rng):
    order = list(range(len(branches)))
    rng.shuffle(order)
    names = list(range(1 + max(max(b.start, b.end) for b in branches)))
    rng.shuffle(names)
    shuffled = [replace(branches[i], start=names[branches[i].start], end=names[branches[i].end]) for i in order]
    flow = flows(branches)
    assert agree(shuffled, flows(shuffled), flow[order]) <= 1.0


coolants = st.lists(st.tuples(st.floats(0.9, 1.1), st.floats(0.2, 5.0)), min_size=2, max_size=6)


def in_coolants(branches, ratios):
    return [[replace(b, density=b.density * rho, viscosity=b.viscosity * mu) for b in branches] for rho, mu in ratios]


@given(networks, coolants)
def test_a_batch_gives_each_variant_its_own_answer(branches, ratios):
    variants = in_coolants(branches, ratios)
    for row, variant in zip(solve(*variants).flow_m3_s, variants, strict=True):
        assert agree(variant, row, flows(variant)) <= 1.0


@given(networks, coolants)
def test_a_variant_does_not_feel_the_others_in_its_batch(branches, ratios):
    variants = in_coolants(branches, ratios)
    for row, variant in zip(solve(*variants).flow_m3_s, variants, strict=True):
        alone = flows(variant)
        assert row == pytest.approx(alone, abs=EXACT_REL * np.max(np.abs(alone)) + REST_M3_S)


@given(networks, randoms)
def test_where_the_search_starts_does_not_matter(branches, rng):
    flow = flows(branches)
    elsewhere = np.array([[rng.uniform(-3e-4, 3e-4) for _ in branches]])
    assert agree(branches, flows(branches, start=elsewhere), flow) <= 1.0


@given(networks)
def test_a_balanced_start_is_already_the_answer(branches):
    balance = solve(branches)
    again = solve(branches, start=balance.flow_m3_s)
    assert again.steps <= 1
    assert agree(branches, again.flow_m3_s[0], balance.flow_m3_s[0]) <= 1.0


@given(networks, randoms)
def test_equal_branches_side_by_side_share_equally(branches, rng):
    choice = passive(branches)
    if choice:
        twin = branches[rng.choice(choice)]
        if twin.elements != (LOSSLESS,):
            flow = flows([*branches, replace(twin, id="twin")])
            slack = EXACT_REL * np.max(np.abs(flow)) + 1e-13  # what the solver calls nothing
            assert flow[-1] == pytest.approx(flow[branches.index(twin)], abs=slack)


@given(networks, randoms)
def test_a_bypass_never_increases_the_flow_beside_it(branches, rng):
    choice = passive(branches)
    if choice:
        beside = rng.choice(choice)
        b = branches[beside]
        bypass = replace(b, id="bypass", elements=(random_loss(rng),))
        before, after = flows(branches), flows([*branches, bypass])
        slack = 1e-6 * np.max(np.abs(after))
        same_way = after[beside] * np.sign(before[beside])
        if b.elements != (LOSSLESS,):
            assert same_way <= abs(before[beside]) + slack or b.loss()(same_way) <= b.loss()(abs(before[beside])) + 0.01
            assert same_way >= -slack or abs(b.loss()(after[beside])) <= PRESSURE_PA


@given(randoms, st.integers(1, 5), st.sampled_from([0.3, 0.6, 1.0]))
def test_a_bypass_takes_from_its_neighbours_and_gives_to_the_pump(rng, count, speed):
    def fan(ways):
        trunk = [Branch("pump", 0, 1, (points_pump(POINTS, speed), loss_curve(0.3, 0.3)), *WATER)]
        return flows(trunk + [Branch(f"way{i}", 1, 0, e, *WATER) for i, e in enumerate(ways)])

    ways = [(loss_curve(0.2, 0.2), random_loss(rng)) for _ in range(count + 1)]
    without, having = fan(ways[:-1]), fan(ways)
    slack = EXACT_REL * having[0]
    assert having[0] >= without[0] - slack
    assert np.all(having[1:-1] <= without[1:] + slack)
    assert np.all(having > 0.0)


@given(networks, st.floats(0.1, 1.0))
def test_flow_goes_with_speed_where_every_loss_is_quadratic(branches, speed):
    def quadratic(b, share):
        loss = loss_curve(0.2 + len(b.elements), 0.0, b.density, b.viscosity)
        pump = (law_pump(30e3, 30e3 / (15.0 * L_MIN) ** 2, share),) if b.has_pump else ()
        return replace(b, elements=(loss, *pump))

    full, slow = (flows([quadratic(b, share) for b in branches]) for share in (1.0, speed))
    branches = [quadratic(b, speed) for b in branches]
    assert agree(branches, slow, speed * full) <= 1.0


# ---------------------------------------------------------------- edges


def ring(*elements):
    """One branch for each element, one after the other."""
    ends = [(i, (i + 1) % len(elements)) for i in range(len(elements))]
    return [Branch(f"r{i}", *pair, (e,), *WATER) for i, (pair, e) in enumerate(zip(ends, elements, strict=True))]


def tube(length_m=0.5, bore_m=0.01):
    return {"length_m": length_m, "bore_m": bore_m, "roughness_m": 1.5e-6}


def test_pumps_that_stand_still_move_nothing():
    branches = ring(points_pump(POINTS, 0.0), loss_curve(0.7, 0.5), Element("tube", tube()))
    assert flows(branches) == pytest.approx(np.zeros(3), abs=1e-15)


def test_two_equal_pumps_head_to_head_move_nothing():
    one, other = (Branch(name, 0, 1, (points_pump(POINTS), loss_curve(1.0, 1.0)), *WATER) for name in ("one", "other"))
    assert flows([one, other]) == pytest.approx(np.zeros(2), abs=1e-15)


def test_a_ring_without_a_pump_rests():
    running = ring(points_pump(POINTS), loss_curve(0.75, 0.56))
    step, tail = Element("step", {"bore_from_m": 0.02, "bore_to_m": 0.025}), Element("tube", tube(0.02, 0.025))
    beside = [Branch("out", 1, 2, (step, tail), *WATER), Branch("back", 2, 1, (loss_curve(0.001, 0.0),), *WATER)]
    assert flows(running + beside)[2:] == pytest.approx(np.zeros(2), abs=1e-12)


def test_a_narrow_step_at_rest_closes_in_few_steps():
    narrow = Element("step", {"bore_from_m": 0.002, "bore_to_m": 0.0005})
    balance = solve(ring(points_pump(POINTS, 0.0), narrow, Element("tube", tube())))
    assert balance.left_pa[0] < 1e-5
    assert balance.steps < 40


def test_a_pump_closed_on_itself_runs_at_its_free_flow():
    branches = ring(points_pump(POINTS), LOSSLESS)
    assert flows(branches) == pytest.approx(np.full(2, 22.5 * L_MIN), rel=1e-5)


def test_lossless_ways_side_by_side_still_close():
    branches = ring(points_pump(POINTS), loss_curve(0.85, 0.9), LOSSLESS)
    branches.append(replace(branches[2], id="beside"))
    flow = flows(branches)
    mass, pressure = closure(branches, flow)
    assert mass <= MASS_REL
    assert pressure <= PRESSURE_PA
    assert flow[0] == pytest.approx(5.965902 * L_MIN, rel=1e-5)  # class L at full speed, as published/solve has it


def test_a_free_way_beside_a_lossless_one_settles_in_few_steps():
    branches = ring(points_pump(POINTS), loss_curve(0.85, 0.9), LOSSLESS)
    free = Element("valve", {"kv": 4.0})
    balance = solve([*branches, replace(branches[2], id="free", elements=(free,))])
    assert balance.steps < 60
    assert abs(balance.flow_m3_s[0, 3]) < 1e-12


def test_a_network_without_a_circuit_rests():
    branches = [Branch("a", 0, 1, (loss_curve(1.0, 1.0),), *WATER)]
    assert list(flows(branches)) == [0.0]
