"""Balances of whole loops, and the loops that have none."""

import math

import pytest
from checkers.small_build import small, solved
from hypothesis import given
from hypothesis import strategies as st

from headrace.errors import DeadBranch, NoBalance, NoRadiator, OpenPump, Unknown
from headrace.fluids.coolant import water
from headrace.loop.route import stated_route

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
from = "cpu2.out"
to = "join.three"
[[run]]
from = "join.one"
to = "rad.in"
[[run]]
from = "rad.out"
to = "vessel.in"
"""
NO_ORDER = ('[[order]]\nthrough = ["vessel", "pump", "cpu", "rad"]\n', "")


@given(st.floats(0, 2000), st.floats(5, 40), st.floats(25, 100))
def test_heat_in_is_heat_out_and_everything_closes(heat, room, speed):
    s = solved((HEAT, f'heat = {{ cpu = "{heat:.3f} W" }}'), ("24 °C", f"{room:.2f} °C"), ("60 %", f"{speed:.2f} %"))
    assert s.closure.mass_rel <= 1e-9
    assert s.closure.pressure_pa <= 0.01
    assert s.closure.energy_rel <= 1e-6
    pump_heat = next(link.heat_w for link in s.links if link.does == "pump")
    assert sum(s.heat_w.values()) == pytest.approx(round(heat, 3) + pump_heat, rel=1e-6, abs=1e-4)
    assert all(t >= s.room_k - 1e-6 for t in s.coolant_temp_k.values())


def test_the_rise_over_a_block_is_heat_over_capacity():
    """dT = P / (rho Q cp), the energy balance; cp of water near 33 °C 4179 J/kg K, computed with iapws 1.5.5."""
    s = solved()
    link = next(link for link in s.links if link.id == "cpu")
    assert link.temp_out_k - link.temp_in_k == pytest.approx(280.0 / (link.mass_flow_kg_s * 4179.0), rel=2e-3)


def test_the_block_runs_over_its_outlet_by_heat_times_resistance():
    s = solved()
    assert s.part_temp_k["cpu"] == pytest.approx(s.coolant_temp_k["cpu.out"] + 280 * 0.15, abs=1e-9)
    assert s.margin_k["cpu"] == pytest.approx(363.15 - s.part_temp_k["cpu"])


def test_a_run_written_the_other_way_round_turns_its_sign_and_nothing_else():
    one = solved(NO_ORDER, more=PARALLEL)
    two = solved(
        NO_ORDER, more=PARALLEL.replace('from = "join.one"\nto = "rad.in"', 'from = "rad.in"\nto = "join.one"')
    )
    assert two.flow_m3_s["rad-in-to-join-one"] == pytest.approx(-one.flow_m3_s["join-one-to-rad-in"], rel=1e-9)
    assert two.part_temp_k["cpu"] == pytest.approx(one.part_temp_k["cpu"], abs=1e-7)
    assert two.coolant_temp_k["rad.in"] == pytest.approx(one.coolant_temp_k["rad.in"], abs=1e-7)


def test_equal_branches_share_equally_and_a_closed_one_carries_nothing():
    even = solved(NO_ORDER, (HEAT, 'heat = { cpu = "140 W", cpu2 = "140 W" }'), more=PARALLEL)
    assert even.flow_m3_s["cpu"] == pytest.approx(even.flow_m3_s["cpu2"], rel=1e-9)
    s = solved(NO_ORDER, more=PARALLEL)
    assert s.flow_m3_s["cpu"] > s.flow_m3_s["cpu2"], "warm water is thinner and takes a little more"
    assert s.coolant_temp_k["cpu.out"] > s.coolant_temp_k["cpu2.out"]
    shut = solved(NO_ORDER, ("speed = {", 'closed = ["cpu2"]\nspeed = {'), more=PARALLEL)
    assert shut.flow_m3_s["cpu2"] == 0.0
    assert any("no flow in" in note and "cpu2" in note for note in shut.notes)


def test_mixing_closes_the_energy_where_branches_meet():
    s = solved(NO_ORDER, more=PARALLEL)
    hot, cold = (next(link for link in s.links if link.id == id_) for id_ in ("cpu", "cpu2"))
    enthalpy = water().enthalpy_j_kg
    total = hot.mass_flow_kg_s * enthalpy(hot.temp_out_k) + cold.mass_flow_kg_s * enthalpy(cold.temp_out_k)
    mixed = enthalpy(s.coolant_temp_k["rad.in"]) * (hot.mass_flow_kg_s + cold.mass_flow_kg_s)
    assert mixed == pytest.approx(total, rel=1e-9)


def test_two_loops_in_one_case_do_not_touch():
    alone = solved()
    parts = "".join(
        f'[[part]]\nid = "{i}"\ncard = "{c}"\n'
        for i, c in (("v2", "vessel"), ("p2", "pump"), ("g2", "block"), ("r2", "radiator"))
    )
    more = (
        parts
        + '[[order]]\nthrough = ["v2", "p2", "g2", "r2"]\n[[stack]]\nid = "top"\nradiator = "r2"\nair = "60 m3/h"\n'
    )
    both = solved((HEAT, 'heat = { cpu = "280 W", g2 = "100 W" }'), more=more)
    for port in ("cpu.in", "cpu.out", "rad.in"):
        assert both.coolant_temp_k[port] == pytest.approx(alone.coolant_temp_k[port], abs=1e-6)
    assert both.heat_w["r2"] == pytest.approx(100.0 + 0.85 * 20.0, rel=1e-6)  # pump 2 at full speed, nothing said

    assert both.coolant_rise_k < max(both.coolant_temp_k.values()) - min(both.coolant_temp_k.values())
    assert both.pump_dp_pa["pump"] == pytest.approx(alone.pump_dp_pa["pump"], rel=1e-6)


def test_a_pump_with_two_outlets_pumps_once():
    card = ('card = "vessel"', 'card = "both"')
    more = '[[part]]\nid = "join"\ncard = "tee"\n[[run]]\nid = "a"\nfrom = "vessel.out"\nto = "join.two"\n'
    more += '[[run]]\nid = "b"\nfrom = "vessel.out2"\nto = "join.three"\n[[run]]\nid = "c"\nfrom = "join.one"\nto = "cpu.in"\n'
    more += (
        '[[run]]\nid = "d"\nfrom = "cpu.out"\nto = "rad.in"\n[[run]]\nid = "e"\nfrom = "rad.out"\nto = "vessel.in"\n'
    )
    off = ('id = "pump"\ncard = "pump"', 'id = "spare"\ncard = "vessel"')
    two = solved(card, NO_ORDER, off, ('pump = "60 %"', 'vessel = "60 %"'), more=more)
    assert sum(link.heat_w for link in two.links if link.does == "pump") == pytest.approx(0.85 * 20 * 0.6**3)
    assert len({link.id for link in two.links}) == len(two.links)
    one = solved(card, off, ('"vessel", "pump", "cpu"', '"vessel", "cpu"'), ('pump = "60 %"', 'vessel = "60 %"'))
    assert one.flow_m3_s["cpu"] > 0, "a spare outlet that nothing uses does not close the loop"


def test_air_of_two_warmths_balances_without_any_heat():
    parts = '[[part]]\nid = "rad2"\ncard = "radiator"\n'
    stack = '[[stack]]\nid = "top"\nradiator = "rad2"\nair = "100 m3/h"\ninlet = { plus = "10 K" }\n'
    s = solved(('"cpu", "rad"]', '"cpu", "rad", "rad2"]'), (HEAT, ""), more=parts + stack)
    assert s.closure.energy_rel <= 1e-6
    assert s.heat_w["rad2"] < -50 < 50 < s.heat_w["rad"]


def test_a_stack_fed_by_anothers_exhaust_is_never_cooler():
    parts = '[[part]]\nid = "rad2"\ncard = "radiator"\n'
    stack = '[[stack]]\nid = "top"\nradiator = "rad2"\nair = "100 m3/h"\n'
    order = ('"cpu", "rad"]', '"cpu", "rad", "rad2"]')
    fresh = solved(order, more=parts + stack)
    warm = solved(order, more=parts + stack + 'inlet = { from = "front", share = "60 %" }\n')
    air = next(r for r in warm.radiators if r.part == "rad2")
    front = next(r for r in warm.radiators if r.part == "rad")
    assert air.air_in_temp_k == pytest.approx(297.15 + 0.6 * (front.air_out_temp_k - front.air_in_temp_k), abs=1e-6)
    assert warm.hottest[1] > fresh.hottest[1]


def test_air_passed_on_along_a_chain_of_stacks_keeps_its_balance():
    """T_in = room + stated rise + share (T_out of the stack before - room), along all of a chain."""
    parts = "".join(f'[[part]]\nid = "rad{n}"\ncard = "radiator"\n' for n in (2, 3))
    chain = '[[stack]]\nid = "two"\nradiator = "rad2"\nair = "100 m3/h"\ninlet = { from = "front", share = "60 %", plus = "1 K" }\n'
    chain += '[[stack]]\nid = "three"\nradiator = "rad3"\nair = "80 m3/h"\ninlet = { from = "two", share = "50 %", plus = "3 K" }\n'
    s = solved(('"cpu", "rad"]', '"cpu", "rad", "rad2", "rad3"]'), more=parts + chain)
    one, two, three = s.radiators
    assert two.air_in_temp_k == pytest.approx(s.room_k + 1 + 0.6 * (one.air_out_temp_k - s.room_k), abs=1e-6)
    assert three.air_in_temp_k == pytest.approx(s.room_k + 3 + 0.5 * (two.air_out_temp_k - s.room_k), abs=1e-6)


def test_a_stack_whose_fans_stand_still_passes_no_air_on():
    """Its still-air strength goes on working, and who breathes from it breathes room air."""
    parts = '[[part]]\nid = "rad2"\ncard = "still"\n[[part]]\nid = "rad3"\ncard = "radiator"\n'
    stacks = '[[stack]]\nid = "off"\nradiator = "rad2"\nair_per_fan = "40 m3/h"\nair_at = "1000 rpm"\nfans = 3\n'
    stacks += '[[stack]]\nid = "back"\nradiator = "rad3"\nair = "80 m3/h"\ninlet = { from = "off", share = "50 %" }\n'
    speed = ('speed = { pump = "60 %" }', 'speed = { pump = "60 %", off = "0 rpm" }')
    s = solved(
        ('"cpu", "rad"]', '"cpu", "rad", "rad2", "rad3"]'),
        speed,
        more=parts + stacks,
    )
    off, back = s.radiators[1:]
    assert off.heat_w == pytest.approx(3.0 * (off.coolant_in_k - s.room_k))
    assert back.air_in_temp_k == pytest.approx(s.room_k)


def test_fans_at_rest_move_no_air_whatever_was_given():
    front = next(iter(solved(('"60 %" }', '"60 %", front = "1000 rpm" }')).radiators))
    assert front.air_flow_m3_s == pytest.approx(120 / 3600)
    with pytest.raises(NoBalance):
        solved(('"60 %" }', '"60 %", front = "0 rpm" }'))


def test_a_length_of_nothing_is_nothing():
    run = '[[run]]\nid = "short"\nfrom = "rad.out"\nto = "vessel.in"\nlength = "0 m"\n'
    loop = small(('"cpu", "rad"]', '"cpu", "rad"]\nclosed = false'), more=run)
    assert stated_route(loop).paths["short"].length_m == 0.0


def test_no_heat_means_no_rise():
    s = solved((HEAT, ""), ("60 %", "0 %"))
    assert s.coolant_rise_k == pytest.approx(0.0, abs=1e-9)
    assert all(math.isfinite(t) for t in s.coolant_temp_k.values())
    assert s.coolant_temp_k["cpu.in"] == pytest.approx(297.15, abs=1e-6)


def test_shares_of_the_loss_add_up_to_one():
    assert sum(solved().share_frac.values()) == pytest.approx(1.0)
    assert sum(solved(NO_ORDER, more=PARALLEL).share_frac.values()) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("changes", "more", "error", "words"),
    [
        ([('"cpu", "rad"]', '"cpu", "rad"]\nclosed = false')], "", OpenPump, 'pump "pump": has no closed path'),
        ([("60 %", "0 %")], "", DeadBranch, "280 W to water that does not flow"),
        ([("speed = {", 'closed = ["cpu"]\nspeed = {')], "", OpenPump, "no closed path"),
        ([('"cpu", "rad"]', '"cpu"]')], "", NoRadiator, "meets no radiator"),
        ([('[[stack]]\nid = "front"\nradiator = "rad"\nair = "120 m3/h"\n', "")], "", Unknown, "stands in no stack"),
        ([('air = "120 m3/h"\n', "")], "", Unknown, "airflow is not known"),
    ],
)
def test_a_loop_without_an_answer_says_where_and_why(changes, more, error, words):
    with pytest.raises(error, match=words) as caught:
        solved(*changes, more=more)
    assert caught.value.faults[0].place.line > 0
    assert caught.value.faults[0].fix


def test_much_heat_still_balances_and_says_it_left_the_range():
    s = solved((HEAT, 'heat = { cpu = "3 kW" }'))
    assert s.closure.energy_rel <= 1e-6
    assert any("outside their range" in note for note in s.notes)


def test_mad_heat_is_refused_with_its_numbers():
    with pytest.raises(NoBalance, match=r"coolant would boil away: .*29 W/K of radiators"):
        solved((HEAT, 'heat = { cpu = "10000000 W" }'))


@pytest.mark.parametrize(("fans", "told"), [(2, False), (3, True), (30, True)])
def test_more_fans_than_places_are_told(fans, told):
    places = ('kind = "radiator"\n', 'kind = "radiator"\nfan_places = 2\n')
    s = solved(('air = "120 m3/h"\n', f'air = "120 m3/h"\nfans = {fans}\n'), cards_too=(places,))
    assert any(f"{fans} fans on 2 places" in note for note in s.notes) is told
