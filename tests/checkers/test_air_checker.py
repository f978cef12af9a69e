"""The air checker itself: closed forms it must meet, and answers it must tell from the right one."""

from dataclasses import dataclass, replace
from math import exp, sqrt

import pytest
from checkers.air_builds import by_hand, load, stack, vent
from checkers.air_cases import deviation, random_build
from checkers.air_checker import LEAK, Water, balance_water, check, find_waters, links_of
from checkers.air_physics import exchanged_w_k, row_links, two_terms

from headrace.fluids.air import Air

M3_H = 1.0 / 3600.0
RING = {"pump": "pump", "cpu": "block", "rad": "points"}
CASE_LEAK_M2, WALL_W_K, DISCHARGE = 30e-4, 3.0, 0.6  # thresholds assumed_case_leak and assumed_case_wall


@dataclass(frozen=True)
class Even:
    """A liquid of one heat capacity."""

    j_kg_k: float

    def enthalpy_j_kg(self, temp_k):
        return self.j_kg_k * temp_k

    def temp_k(self, j_kg):
        return j_kg / self.j_kg_k


def checked(air, state, parts=RING, **options):
    loop = by_hand(parts, air, state).loop()
    return check(loop, loop.state(), **options), Air.at(0.0, 0.45, float(loop.state().room_k))


# ---------------------------------------------------------------- coolant


def test_two_radiators_in_a_row_are_a_geometric_mean_of_exponentials():
    # T1 = T0 + P / C; each radiator leaves a share 1 - G / C of what is above its air, so T0 follows from one line
    capacity, watts, air_k = 0.05 * 4000.0, 300.0, {"a": 295.0, "b": 300.0}
    strengths = {"a": 20.0, "b": 30.0}
    links = [("out", "hot", 0.05, watts, None), ("hot", "mid", 0.05, 0.0, "a"), ("mid", "in", 0.05, 0.0, "b")]
    at = balance_water(Water(links, ("in", "out", 0.05, 0.0)), Even(4000.0), strengths, air_k, 295.0)
    left = {r: 1.0 - strengths[r] / capacity for r in strengths}
    gained = (
        left["a"] * left["b"] * watts / capacity + left["b"] * (1 - left["a"]) * air_k["a"] + (1 - left["b"]) * 300.0
    )
    assert at["out"] == pytest.approx(gained / (1.0 - left["a"] * left["b"]), rel=1e-12)


def test_arms_that_meet_mix_by_their_flow():
    links = [("out", "x", 0.01, 40.0, None), ("out", "y", 0.03, 0.0, None), ("x", "mix", 0.01, 0.0, None)]
    links += [("y", "mix", 0.03, 0.0, None), ("mix", "in", 0.04, 0.0, "a")]
    at = balance_water(Water(links, ("in", "out", 0.04, 0.0)), Even(4000.0), {"a": 16.0}, {"a": 300.0}, 300.0)
    assert at["mix"] - at["out"] == pytest.approx(40.0 / (0.04 * 4000.0), rel=1e-9)
    assert at["mix"] - 300.0 == pytest.approx(40.0 / 16.0, rel=1e-9)  # what comes in must go out
    assert at["x"] - at["y"] == pytest.approx(1.0, rel=1e-9)


def test_links_are_cut_at_the_pump_and_follow_the_water():
    links = [("in", "out", 0.05, "pump", "p"), ("cold", "out", -0.05, "cool", "r"), ("cold", "in", 0.05, None, "")]
    (water,) = find_waters(links, {"p": 4.0})
    assert water.cut == ("in", "out", 0.05, 4.0)
    assert [(start, end, owner) for start, end, _, _, owner in water.links] == [
        ("out", "cold", "r"),
        ("cold", "in", None),
    ]


def test_a_ring_of_parts_is_a_quadratic_equation():
    # a pump of 38 kPa (1 - (Q / 22.5)^2) against losses that are all a Q^2, all of them in water of one density
    curve = "[[0, 38], [22.5, 0]]"
    build = by_hand(RING, stack(air="100 m3/h"), load(heat=0.0, room=25.0, pump="100 %"))
    points = [line for line in build.cards.splitlines() if line.startswith("curve = { flow")]
    cards = build.cards.replace(points[0].split("points = ")[1], f"{curve} }}")
    for old, new in (
        ("[[2, 4.1], [4, 14.2], [6, 30.1]]", "[[4, 14.0]]"),
        ("[[2, 0.9], [4, 2.9], [6, 6.0]]", "[[4, 2.0]]"),
    ):
        cards = cards.replace(old, new)
    loop = replace(build, cards=cards).loop()
    found = check(loop, loop.state())
    litres = sqrt(38.0 / (38.0 / 22.5**2 + 16.0 / 4.0**2))  # per minute
    density = float(loop.coolant.fluid().density_kg_m3(298.15))
    assert found.mass_kg_s == pytest.approx(litres / 60000.0 * density, rel=1e-9)
    assert {link[4] for link in row_links(loop, 1.0)} == {"pump", "cpu", "rad", ""}


# ---------------------------------------------------------------- air


def test_a_fan_into_a_leaky_case_is_a_quadratic_equation():
    # p0 (1 - (V / V0)^2) rho / 1.2 = rho / 2 (V / (Cd A))^2, the case as warm as the room
    build = by_hand(
        RING, stack(air="100 m3/h") + vent("in", fan="fan", blows="in"), load(heat=0.0, **{"in": "2000 rpm"})
    )
    points = build.cards.split("curve = { air")[1].split("points = ")[1].split(", speed")[0]
    loop = replace(build, cards=build.cards.replace(points, "[[0, 29.0], [105, 0]]")).loop()
    found = check(loop, loop.state())
    resistance = 29.0 / 1.2 / (105.0 * M3_H) ** 2 + 0.5 / (DISCHARGE * CASE_LEAK_M2) ** 2
    assert found.air_flow["in"] == pytest.approx(sqrt(29.0 / 1.2 / resistance), rel=1e-9)
    assert found.air_flow[LEAK] == pytest.approx(-found.air_flow["in"], rel=1e-9)
    assert found.mass_rel < 1e-12


def test_warm_case_air_leaves_through_the_leak_in_its_own_density():
    state = load(heat=0.0, case_heat="200 W")
    found, air = checked(stack(air="100 m3/h") + vent("in", air="60 m3/h", blows="in"), state)
    mass = 60.0 * M3_H * air.density_kg_m3(297.15)
    rise = 200.0 / (mass * air.heat_capacity_j_kg_k(297.15) + WALL_W_K)
    assert found.case_k == pytest.approx(297.15 + rise, abs=1e-9)
    assert -found.air_flow[LEAK] == pytest.approx(mass / air.density_kg_m3(found.case_k), rel=1e-9)


def test_own_exhaust_warms_by_its_share_over_the_rest():
    # T = T_room + x / (1 - x) P / (rho V cp)
    found, air = checked(stack(air="180 m3/h", recirculated="30 %"), load(heat=300.0))
    capacity = 180.0 * M3_H * air.density_kg_m3(found.air_in["rad"]) * air.heat_capacity_j_kg_k(300.0)
    assert found.heat["rad"] == pytest.approx(300.0, rel=1e-8)
    assert found.air_in["rad"] == pytest.approx(297.15 + 0.3 / 0.7 * 300.0 / capacity, abs=1e-8)


def test_case_air_is_drawn_only_in_the_share_that_comes_from_it():
    # a vent blows 50 m3/h in; the stack takes 40 % of its 100 m3/h from the case and the walls keep the rest
    parts = stack(air="100 m3/h", inlet='{ from = "case", share = "40 %" }') + vent("in", air="50 m3/h", blows="in")
    found, air = checked(parts, load(heat=0.0, case_heat="50 W"))
    rho, cp = air.density_kg_m3, air.heat_capacity_j_kg_k(297.15)
    mix_k = 0.4 * found.case_k + 0.6 * 297.15
    assert found.air_in["rad"] == pytest.approx(mix_k, abs=1e-9)
    drawn, blown = 0.4 * 100.0 * M3_H * rho(mix_k), 50.0 * M3_H * rho(297.15)
    out = -found.air_flow[LEAK] * rho(found.case_k)
    assert blown == pytest.approx(drawn + out, rel=1e-9)
    assert blown * cp * (found.case_k - 297.15) + WALL_W_K * (found.case_k - 297.15) == pytest.approx(50.0, rel=1e-7)


def test_effectiveness_is_that_of_the_arrangement():
    # counter-flow of equal streams is N / (1 + N), by definition; one stream without end is 1 - exp(-N)
    assert exchanged_w_k(20.0, 10.0, 10.0, "counterflow") == pytest.approx(10.0 * 2.0 / 3.0, rel=1e-12)
    for arrangement in ("both unmixed", "air mixed", "coolant mixed", "counterflow"):
        assert exchanged_w_k(20.0, 10.0, 1e7, arrangement) == pytest.approx(10.0 * (1.0 - exp(-2.0)), rel=1e-5)
    # the mixed stream is the smaller one, then the larger one: both forms of Kays & London, from memory
    small = 1.0 - exp(-(1.0 - exp(-0.5 * 2.0)) / 0.5)
    large = (1.0 - exp(-0.5 * (1.0 - exp(-2.0)))) / 0.5
    assert exchanged_w_k(20.0, 10.0, 20.0, "air mixed") == pytest.approx(10.0 * small, rel=1e-12)
    assert exchanged_w_k(20.0, 10.0, 20.0, "coolant mixed") == pytest.approx(10.0 * large, rel=1e-12)


def test_two_terms_meet_their_points():
    a, b = two_terms(((0.01, 0.7), (0.02, 2.2)))
    assert (a * 1e-4 + b * 1e-2, a * 4e-4 + b * 2e-2) == pytest.approx((0.7, 2.2), rel=1e-9)


# ---------------------------------------------------------------- telling right from wrong


def test_a_wrong_answer_is_seen():
    loop, solution = random_build(5).solved()
    found = check(loop, loop.state(), links_of(solution))
    assert max(deviation(solution, found).values()) < 1e-5
    wrong = replace(
        found,
        air_flow={id_: flow * 1.001 for id_, flow in found.air_flow.items()},
        air_in={id_: temp + 0.01 for id_, temp in found.air_in.items()},
        heat={id_: heat + 0.1 for id_, heat in found.heat.items()},
        case_k=found.case_k + 0.01,
    )
    told = deviation(solution, wrong)
    assert told["air"] == pytest.approx(1e-3, rel=1e-3)
    assert told["inlet"] == pytest.approx(0.01, rel=1e-3)
    assert told["case"] == pytest.approx(0.01, rel=1e-3)
    assert told["heat"] > 1e-5


def test_random_builds_have_every_feature_of_the_air():
    texts = "".join(random_build(seed).text for seed in range(200))
    for word in (
        "behind",
        "push-pull",
        "screens",
        "recirculated",
        "air_per_fan",
        "area",
        "fans_out",
        'out = "case"',
        "plus",
    ):
        assert word in texts
    for word in (
        'from = "case"',
        'from = "s0"',
        'blows = "out"',
        'card = "tee"',
        "pump2",
        "2500 m",
        "0 rpm",
        "speed = ",
    ):
        assert word in texts
