"""The checker itself: closed forms it must meet, and wrong flows it must refuse."""

from math import sqrt

import fluids
import pytest
from checkers.flow_cases import L_MIN, WATER, law_pump, loss_curve, random_network
from checkers.flow_checker import Branch, circuits, closure, solve_nodes
from checkers.flow_physics import LOSSES, Element, churchill


def test_one_loop_is_a_quadratic_equation():
    # 30 kPa - 0.1 Q^2 = 0.5 Q^2 + 0.6 Q: Q = (-0.6 + sqrt(0.36 + 72)) / 1.2
    pump = law_pump(30e3, 0.1e3 / L_MIN**2)
    branches = [Branch("pump", 0, 1, (pump,), *WATER), Branch("block", 1, 0, (loss_curve(0.5, 0.6),), *WATER)]
    assert solve_nodes(branches).flow / L_MIN == pytest.approx([(-0.6 + sqrt(72.36)) / 1.2] * 2, rel=1e-12)


def test_unequal_squares_share_by_the_root_of_their_losses():
    pump = law_pump(30e3, 0.1e3 / L_MIN**2)
    ways = [Branch(f"w{a}", 1, 0, (loss_curve(a, 0.0),), *WATER) for a in (0.4, 1.6, 3.6)]
    flow = solve_nodes([Branch("pump", 0, 1, (pump,), *WATER), *ways]).flow
    assert flow[1:] / flow[1] == pytest.approx([1.0, 1 / 2, 1 / 3], rel=1e-10)


def test_a_bridge_in_balance_carries_nothing():
    pump, half = law_pump(30e3, 0.1e3 / L_MIN**2), loss_curve(0.4, 0.4)
    ends = ((0, 1, pump), (1, 2, half), (1, 3, half), (2, 0, half), (3, 0, half), (2, 3, half))
    flow = solve_nodes([Branch(f"b{i}", a, b, (e,), *WATER) for i, (a, b, e) in enumerate(ends)]).flow
    assert flow[5] == pytest.approx(0.0, abs=1e-9 * flow[0])
    assert flow[1:5] == pytest.approx([flow[0] / 2] * 4, rel=1e-9)


@pytest.mark.parametrize("re", [0.5, 30.0, 2000.0, 3000.0, 1e4, 2e5])
@pytest.mark.parametrize("rough_rel", [0.0, 1.5e-4, 1e-2])
def test_friction_factor_is_the_one_of_fluids(re, rough_rel):
    assert churchill(re, rough_rel) == pytest.approx(fluids.friction.Churchill_1977(re, rough_rel), rel=1e-12)


def test_bend_and_contraction_are_those_of_fluids_in_rough_water():
    # fluids' bend counts the arc's own friction, f angle R / D
    flow, bore, angle, radius = 5e-4, 0.01, 1.2, 0.03
    v = flow / (0.25 * 3.141592653589793 * bore**2)
    head, re = 0.5 * 1000.0 * v * v, 1000.0 * v * bore / 1e-3
    f = churchill(re, 1e-4)
    bend = LOSSES["bend"](1000.0, 1e-3, bore_m=bore, bend_rad=angle, radius_m=radius, roughness_m=1e-6)
    theirs = fluids.bend_rounded(Di=bore, angle=57.29577951308232 * angle, fd=f, rc=radius, method="Rennels")
    assert bend(flow) / head == pytest.approx(theirs - f * angle * radius / bore, rel=1e-9)
    step = LOSSES["step"](1000.0, 1e-3, bore_from_m=0.014, bore_to_m=bore)
    sharp = fluids.contraction_sharp(Di1=0.014, Di2=bore, method="Rennels")
    assert step(flow) / head == pytest.approx(sharp, rel=0.01)


def test_circuits_are_as_many_as_links_less_nodes_and_close_for_potentials():
    branches = random_network(7)
    open_ones = [b for b in branches if not b.closed]
    nodes = {n for b in open_ones for n in (b.start, b.end)}
    pieces = components(open_ones)
    rings = circuits(branches)
    assert len(rings) == len(open_ones) - len(nodes) + pieces
    height = {n: 17.0 * n**2 for n in nodes}
    for ring in rings:
        assert sum(sign * (height[branches[i].end] - height[branches[i].start]) for i, sign in ring) == 0.0


def components(branches):
    groups = {n: n for b in branches for n in (b.start, b.end)}
    for _ in groups:
        for b in branches:
            groups[b.start] = groups[b.end] = min(groups[b.start], groups[b.end])
    return len(set(groups.values()))


@pytest.mark.parametrize("seed", range(12))
def test_a_flow_that_is_off_is_seen(seed):
    branches = random_network(seed)
    checked = solve_nodes(branches)
    if checked.method == "nothing flows":
        return
    most = int(abs(checked.flow).argmax())
    leak = checked.flow.copy()
    leak[most] *= 1.0 + 1e-6
    assert closure(branches, leak)[0] > 1e-7
    swirl = checked.flow.copy()
    for i, sign in max((r for r in circuits(branches) if most in [i for i, _ in r]), key=len):
        swirl[i] += sign * 1e-2 * abs(checked.flow[most])
    assert closure(branches, swirl)[0] < 1e-8
    assert closure(branches, swirl)[1] > 0.01


def test_a_lossless_way_carries_what_is_left():
    pump = law_pump(30e3, 0.1e3 / L_MIN**2)
    open_way = Element("fitting", {"bore_m": 0.01, "k_laminar": 0.0, "k_turbulent": 0.0})
    ends = ((0, 1, pump), (1, 2, open_way), (2, 0, loss_curve(0.4, 0.4)), (2, 0, loss_curve(0.4, 0.4)))
    flow = solve_nodes([Branch(f"b{i}", a, b, (e,), *WATER) for i, (a, b, e) in enumerate(ends)]).flow
    assert flow[1] == pytest.approx(flow[0], rel=1e-12)


def test_a_branch_on_the_level_part_of_its_loss_still_closes():
    checked = solve_nodes(random_network(7, 10, 1))  # a widening, Re 5000: any flow there takes 2.936 Pa
    assert checked.method == "flows and pressures"
    assert checked.mass_rel <= 1e-9
    assert checked.pressure_pa <= 0.01
