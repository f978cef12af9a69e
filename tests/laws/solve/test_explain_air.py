"""What an opened number of air, sound and time shows gives it again.

The build and its numbers are invented, as in test_explain.
"""

import numpy as np
import pytest
from checkers.opened import CASE_DP_PA, EXAMPLES, ROOT, airy, below, check_all, explainer, value

from headrace.loop.loader import load_build
from headrace.loop.route import stated_route
from headrace.physics.heat import capacity_w_k
from headrace.physics.sound import energy_sum_db, equal_sources_db, fan_level_db, room_db
from headrace.solve.explain.explainer import Explainer
from headrace.solve.steady import solve

# --- air --------------------------------------------------------------------------------------------------------------


def test_a_stated_airflow_follows_from_what_is_stated():
    e = airy()
    back = e.open("air_flow.back")
    ratio = value(back, "fan speed") / value(back, "speed it was")
    assert back.value == pytest.approx(value(back, "airflow of") * value(back, "fan places") * ratio, rel=1e-12)
    side = e.open("air_flow.side")
    assert side.value == pytest.approx(
        value(side, "stated airflow") * value(side, "share of its fan places"), rel=1e-12
    )
    assert e.open("air_flow.off").value == 0.0
    assert e.open("air_flow.rear").value == pytest.approx(value(e.open("air_flow.rear"), "stated airflow"))


def test_fans_of_which_some_stand_still_give_their_share():
    half = explainer(("fans_out = { front = 2", "fans_out = { side = 1, front = 2"))
    side = half.open("air_flow.side")
    assert side.value == pytest.approx(value(side, "stated airflow") * 2 / 3)
    assert "1 of 3 fans stand still" in below(side, "share of its fan places").said


@pytest.mark.parametrize(("id_", "sign"), [("front", 1), ("intake", 1), ("top", -1)])
def test_what_fans_cores_and_screens_take_closes_along_the_way(id_, sign):
    """From room to case the pressure rises by that of the case; from case to room it falls by it."""
    top = airy().open(f"air_flow.{id_}")
    laws_of = [child for child in top.inputs if child.unit == "dp_pa" and not child.closed]
    assert sum(child.value for child in laws_of) + sign * value(top, "case_pressure") == pytest.approx(
        0, abs=CASE_DP_PA
    )
    fans = next(child for child in laws_of if child.name.startswith("fans"))
    assert fans.value < 0 < sum(child.value for child in laws_of if child is not fans)
    assert len(laws_of) == {"front": 5, "intake": 3, "top": 4}[id_]


def test_all_air_into_the_case_leaves_it_again():
    e = airy()
    top = e.open("case_pressure")
    density = {child.name: next(iter(densities(e, child)), None) for child in top.inputs}
    into = {"air_flow.front": 1, "air_flow.intake": 1, "air_flow.top": -1, "air_flow.rear": -1}
    mass = [child.value * density[child.name] * into.get(child.name, 1) for child in top.inputs]
    assert len(mass) == 4 + 1 + 3, "four ways with fans, mixtures, two openings, and the leaks"
    assert sum(mass) == pytest.approx(0.0, abs=1e-7 * max(map(abs, mass)))
    assert below(top, "air into the case through leaks", "threshold.assumed_case_leak").value == pytest.approx(30e-4)


def densities(e, child):
    """Density of the air of a flow: as it shows it itself, or as its capacity rate shows it."""
    opened = e.open(child.name) if child.closed else child
    yield from (node.value for node in opened.inputs if node.name == "density of the air")
    if child.name == "air_flow.rear":
        yield float(e.prepared.air.density_kg_m3(e.solution.case_k))


def test_the_temperature_of_the_case_follows_from_what_enters_it():
    top = airy().open("case_temp")
    room = value(top, "room")
    loose = value(top, "capacity rate of the air through openings") + value(top, "threshold.assumed_case_wall")
    front, intake = (value(top, f"capacity rate of the air of {id_}") for id_ in ("front", "intake"))
    front *= value(top, "share of the air of front that reaches")
    given = front * value(top, "air_out_temp.r2") + (intake + loose) * room + value(top, "heat into")
    assert top.value == pytest.approx(given / (front + intake + loose), abs=1e-6)
    heat = below(top, "heat into")
    assert heat.value == pytest.approx(sum(child.value for child in heat.inputs))
    assert value(heat, "case_heat") == 90.0
    assert value(heat, "from the pumps") > 0.0
    assert value(heat, "from the fans") > 0.0


def test_a_state_without_case_heat_says_what_was_taken():
    bare = explainer(('case_heat = "90 W"\n', ""))
    heat = below(bare.open("case_temp"), "heat into", "case_heat")
    assert heat.value == 0.0
    assert "taken as 0 W" in heat.said


def test_the_air_into_a_radiator_follows_from_its_shares():
    e = airy()
    room = e.solution.room_k
    front = e.open("air_in_temp.rad")
    own = value(front, "share of its own exhaust")
    assert own == 0.1
    assert front.value == pytest.approx(own * value(front, "air_out_temp.r2") + (1 - own) * room, abs=1e-6)
    top = e.open("air_in_temp.r3")
    shares = [value(top, f"share of {what}") for what in ("case air", "the exhaust of front", "room air")]
    assert shares == pytest.approx([0.8, 0.05, 0.15])
    temps = value(top, "case_temp"), value(top, "air_out_temp.r2"), room
    assert top.value == pytest.approx(np.dot(shares, temps) + value(top, "stated rise"), abs=1e-6)


def test_what_a_stack_that_stands_still_should_give_is_room_air():
    top = airy().open("air_in_temp.r4")
    assert "the air of off stands still" in top.said
    own, front = value(top, "share of its own exhaust"), value(top, "share of the exhaust of front")
    assert (own, front) == (pytest.approx(0.05), pytest.approx(0.3 * 0.95))
    mixed = own * value(top, "air_out_temp.r4") + front * value(top, "air_out_temp.r2")
    mixed += value(top, "share of room air") * value(top, "room") + (1 - own) * value(top, "stated rise")
    assert top.value == pytest.approx(mixed, abs=1e-6)


def test_a_stack_that_stands_still_draws_none_of_its_own_air_in_again():
    top = explainer(settings=["side.speed=0 rpm"]).open("air_in_temp.r4")
    assert not [child for child in top.inputs if child.name == "share of its own exhaust"]
    mixed = value(top, "share of the exhaust of front") * value(top, "air_out_temp.r2")
    mixed += value(top, "share of room air") * value(top, "room")
    assert top.value == pytest.approx(mixed + (1 - value(top, "r, whose")) * value(top, "stated rise"), abs=1e-6)


def test_a_radiator_behind_another_breathes_what_that_one_gives_off():
    top = airy().open("air_in_temp.r2")
    assert top.value == pytest.approx(value(top, "air_out_temp.rad"), abs=1e-6)
    assert "rad" in top.formulas[0]


def test_the_air_out_of_every_radiator_follows_from_its_heat():
    e = airy()
    for part in e.numbers["air_out_temp"].values:
        top = e.open(f"air_out_temp.{part}")
        capacity = below(top, "capacity rate")
        air = [value(capacity, name) for name in ("air_flow", "density", "heat capacity")]
        assert capacity.value == pytest.approx(float(capacity_w_k(*air)), rel=1e-9)
        assert top.value == pytest.approx(value(top, "air_in_temp") + value(top, "heat") / capacity.value, abs=1e-6)


def test_air_that_goes_backwards_comes_from_where_it_should_go():
    """Weak fans that blow into a case against strong intake fans; no air of its own is drawn in again here."""
    strong = explainer(
        ('recirculated = "10 %"\n', ""), ("intake = 1 }", "intake = 0 }"), ('fan = "fan-140"\nfans = 2\nblows', 'fan = "fan-120-fast"\nfans = 8\nblows'),
        ('{ from = "front", share = "5 % ± 1 %" }, ', ""), settings=["front.speed=200 rpm", "intake.speed=2800 rpm"],
    )  # fmt: skip
    flow, air = strong.open("air_flow.front"), strong.open("air_in_temp.rad")
    assert flow.value < 0
    assert flow.said.startswith("goes backwards")
    assert air.value == pytest.approx(value(air, "air_out_temp.r2"), abs=1e-6)  # it meets the last radiator first
    last = strong.open("air_in_temp.r2")
    assert "comes from the case" in last.said
    assert last.value == pytest.approx(value(last, "case_temp"), abs=1e-6)
    check_all(strong)


def test_fans_that_stall_say_so():
    stalled = explainer(settings=["front.speed=300 rpm"])
    assert "stall" in stalled.open("air_flow.front").said
    assert below(stalled.open("air_flow.front"), "threshold.stall_share").value == pytest.approx(0.4)
    assert airy().open("air_flow.back").said == ""


def test_the_free_airflow_is_that_of_the_card_at_this_speed():
    """Two fans of 110 m3/h at 1850 rpm, of which 60 % are stated: the fan laws."""
    assert value(airy().open("air_flow.top"), "free airflow") == pytest.approx(2 * 110 / 3600 * 0.6, rel=1e-5)


def test_what_a_core_takes_from_its_air_has_the_spread_of_a_loss():
    front = airy().open("air_flow.front")
    assert 'card "louvred" (± 15 % (assumed))' in below(front, "core louvred").said
    assert 'card "law" (± 15 % (assumed))' in below(front, "core law").said


# --- sound ------------------------------------------------------------------------------------------------------------


def test_the_level_of_every_source_follows_from_its_card_speed_distance_and_count():
    e = airy()
    assert set(e.solution.noise.level_db) == {"front", "top", "side", "back", "intake", "pump"}
    for id_ in e.solution.noise.level_db:
        top = e.open(f"noise.{id_}")
        pump = id_ == "pump"
        ratio = value(top, "speed" if pump else "fan speed") / value(top, "speed of the level")
        thin = 1.0 if pump else value(top, "density of the air") / value(top, "density of the level")
        mounting = value(top, "mounting") if pump else 0.0
        level = fan_level_db(value(top, "level") + mounting, ratio, value(top, "exponent"), 1.0, thin)
        level = room_db(level, value(top, "stated at"), value(top, "listener at"))
        assert top.value == pytest.approx(float(equal_sources_db(level, value(top, "number"))), abs=1e-9)


def test_a_pump_does_not_show_the_formula_of_a_fan():
    pump, fan = (airy().open(name).formulas for name in ("noise.pump", "noise.front"))
    assert "[madison-1949]" in fan[0]
    assert pump[0].startswith("L2 = L1 + x lg(n2/n1)")
    assert pump[1:] == fan[1:]


def test_a_pump_on_other_feet_than_those_it_was_heard_on_opens_the_threshold():
    mounting = below(airy().open("noise.pump"), "mounting")
    assert (mounting.value, mounting.said) == (7.5, "mounted hard, heard soft: +7.5 dB")
    assert below(mounting, "threshold.soft_mount").value == 7.5


def test_the_total_is_the_energy_sum_and_background_comes_on_top():
    e = airy()
    total, heard = e.open("noise"), e.open("noise_heard")
    levels = [child.value for child in total.inputs if child.name.startswith("noise.")]
    assert len(levels) == 6
    assert total.value == pytest.approx(float(energy_sum_db(np.array(levels))), abs=1e-9)
    both = np.array([value(heard, "noise"), value(heard, "background")])
    assert heard.value == pytest.approx(float(energy_sum_db(both)), abs=1e-9)
    assert 'as "16 dBA"' in below(heard, "background").said


def test_a_source_without_sound_is_named_below_the_total():
    quiet = explainer(('card = "pump-large"\nmounting = "hard"', 'card = "pump"'))
    assert below(quiet.open("noise"), "pump").value == "not stated"
    assert "noise.pump" not in set(quiet.names())


def test_a_listener_nobody_placed_stands_where_a_bystander_does():
    plain = explainer(('noise_at = "0.6 m"\n', ""))
    listener = below(plain.open("noise.front"), "listener at")
    assert listener.value == 1.0
    assert listener.sources == ("iso-7779-2018",)


# --- time -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_time_constant_is_near_what_its_heat_and_strengths_make(name):
    """All heat capacity as one lump leaves out used air and the way around the loop: right to a factor of two."""
    loop = load_build(ROOT / "examples" / name)
    top = Explainer(loop, loop.state(), solve(loop, stated_route(loop), loop.state())).open("time_constant")
    heat = sum(float(child.value) for child in top.inputs if child.unit == "capacity_j_k")
    strengths = sum(float(child.value) for child in top.inputs if child.name.startswith("strength."))
    assert value(top, "for comparison") == pytest.approx(heat / strengths, rel=1e-9)
    assert 0.5 < top.value / value(top, "for comparison") < 2.0
    assert "[incropera-2007]" in top.formulas[0]
