"""Every number of a solution opens, and what stands below a number gives it again.

The build and its numbers are invented. Values are computed anew from the inputs an opened number shows, with the
formulas of `headrace.physics` that it names; those are held against sources of their own in tests/published.
"""

import math
import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from checkers.small_build import BUILD, CARDS

from headrace.loop.loader import load_build, parse_build
from headrace.loop.override import override_state
from headrace.loop.route import stated_route
from headrace.parts.loader import load_catalogue, read_cards
from headrace.parts.tomltext import parse_toml
from headrace.physics.core import Core
from headrace.physics.effectiveness import strength_w_k
from headrace.physics.fins import LOUVRE_LAWS
from headrace.physics.heat import capacity_w_k
from headrace.physics.radiator import bound_w_k, fit_strength, thin_air_w_k, ua_w_k
from headrace.physics.sound import energy_sum_db, equal_sources_db, fan_level_db, room_db
from headrace.report.explain import report_names
from headrace.solve import laws
from headrace.solve.explain.explained import from_card
from headrace.solve.explain.explainer import Explainer
from headrace.solve.explain.laws import LAW_FORMULAS, law_formulas
from headrace.solve.steady import solve
from headrace.units import show

ROOT = Path(__file__).parents[3]
EXAMPLES = sorted(path.name for path in (ROOT / "examples").iterdir())
LISTED = set(re.findall(r"^\| \[([^\]]+)\]", (ROOT / "docs" / "sources.md").read_text(encoding="utf-8"), re.M))
CASE_DP_PA = 0.01  # what a balance of the air promises

OWN = """
[[card]]
id = "louvred"
kind = "radiator"
port = [{ name = "in" }, { name = "out" }]
fan_size = "120 mm"
fan_places = 3
[card.geometry]
fins = "louvred"
tube_length = "355 mm"
tubes = 12
passes = 2
tube_height = "2 mm"
tube_depth = "18 mm"
tube_wall = "0.25 mm"
fin_height = "7.2 mm"
fin_pitch = "1.5875 mm"
fin_thickness = "0.06 mm"
fin_conductivity = "360 W/(m K)"
louvre_pitch = "1.1 mm"
louvre_angle = "27 deg"
louvre_length = "5.8 mm"
[[card]]
id = "plain"
like = "louvred"
loss = { flow = "L/min", loss = "kPa", points = [[2, 0.9], [4, 2.9], [6, 6.0]] }
[card.geometry]
fins = "plain"
tube_length = "355 mm"
tubes = 12
passes = 2
tube_height = "2 mm"
tube_depth = "18 mm"
tube_wall = "0.25 mm"
fin_height = "7.2 mm"
fin_pitch = "1.5875 mm"
fin_thickness = "0.06 mm"
fin_conductivity = "360 W/(m K)"
[[card]]
id = "law"
kind = "radiator"
port = [{ name = "in" }, { name = "out" }]
fan_places = 3
loss = { flow = "L/min", loss = "kPa", points = [[2, 0.9], [4, 2.9], [6, 6.0]] }
ua = { air = "m3/h", flow = "L/min", ka = 2.2, ma = 0.6, kw = 30, mw = 0.25, arrangement = "air mixed" }
air_loss = { air = "m3/h", loss = "Pa", points = [[60, 3.1], [120, 8]] }
[[card]]
id = "by-speed"
like = "still"
strength = { speed = "rpm", strength = "W/K", points = [[0, 3], [500, 12], [1000, 20]], spread = "8 %" }
"""
AIRY = """
[[part]]
id = "r2"
card = "law"
[[part]]
id = "r3"
card = "radiator-240-30"
[[part]]
id = "r4"
card = "plain"
[[part]]
id = "r5"
card = "by-speed"
[[part]]
id = "r6"
card = "still"
[[stack]]
id = "front"
radiator = "rad"
behind = ["r2"]
fan = "fan-120"
mount = "push-pull"
screens = ["filter-mesh"]
recirculated = "10 %"
out = "case"
[[stack]]
id = "top"
radiator = "r3"
fan = "fan-120"
screens = ["grille-stamped"]
inlet = [{ from = "case", share = "80 %" }, { from = "front", share = "5 % ± 1 %" }, { plus = "1 K", share = "15 %" }]
[[stack]]
id = "side"
radiator = "r4"
fans = 3
fan = "fan-120-fast"
air = "90 m3/h ± 5 %"
inlet = [{ from = "front", share = "30 %", plus = "0.5 K" }, { from = "off" , share = "10 %" }]
recirculated = "5 %"
[[stack]]
id = "back"
radiator = "r5"
fan = "fan-140"
fans = 2
air_per_fan = "40 m3/h"
air_at = "1000 rpm"
inlet = { from = "side" }
[[stack]]
id = "off"
radiator = "r6"
fans = 2
air_per_fan = "40 m3/h"
[[vent]]
id = "intake"
fan = "fan-140"
fans = 2
blows = "in"
screens = ["filter-mesh", "grille-stamped"]
[[vent]]
id = "rear"
air = "30 m3/h"
blows = "out"
[[vent]]
id = "slots"
area = "60 cm2"
[[vent]]
id = "meshed"
area = "80 cm2"
screens = ["grille-stamped"]
[limits]
noise = "30 dBA"
noise_at = "0.6 m"
background = "16 dBA"
"""
STATE = """room = "24 °C"
altitude = "600 m"
case_heat = "90 W"
heat = { cpu = "280 W" }
fans_out = { front = 2, intake = 1 }
speed = { pump = "60 %", front = "900 rpm", top = "60 %", back = "800 rpm", intake = "900 rpm", off = "0 rpm", side = "700 rpm" }
"""


def explainer(*changes, more="", depth=4, settings=()):
    text = BUILD.replace('id = "rad"\ncard = "radiator"', 'id = "rad"\ncard = "louvred"')
    text = text.replace('card = "pump"', 'card = "pump-large"\nmounting = "hard"')
    text = text.replace('[[stack]]\nid = "front"\nradiator = "rad"\nair = "120 m3/h"\n', "")
    text = text.replace('"cpu", "rad"]', '"cpu", "rad", "r2", "r3", "r4", "r5", "r6"]')
    text = text[: text.index('room = "24 °C"')] + STATE + AIRY + more
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    loop = parse_build(text, "build.toml", cards())
    state = override_state(loop, loop.state(), settings)
    return Explainer(loop, state, solve(loop, stated_route(loop), state), depth)


@cache
def cards():
    return {**load_catalogue(), **read_cards([parse_toml(CARDS + OWN, "cards.toml")], load_catalogue())}


@cache
def airy():
    return explainer(depth=6)


def walk(node):
    yield node
    for child in node.inputs:
        yield from walk(child)


def below(node, *names):
    """The number below `node` along `names`; the first input whose name starts so."""
    for name in names:
        found = [child for child in node.inputs if child.name.startswith(name)]
        assert found, (name, [child.name for child in node.inputs])
        node = found[0]
    return node


def value(node, *names):
    return float(below(node, *names).value)


def every_explainer():
    for name in EXAMPLES:
        loop = load_build(ROOT / "examples" / name)
        for state in loop.states:
            yield pytest.param(name, state.name, id=f"{name}-{state.name}")


# --- every number opens -----------------------------------------------------------------------------------------------


def check_all(found):
    names = list(found.names())
    assert len(names) == len(set(names))
    for name in names:
        top = found.open(name)
        assert top.name == name
        assert top.formulas, name
        for node in walk(top):
            assert isinstance(node.value, str) or math.isfinite(node.value), (name, node)
            assert set(node.sources) <= LISTED, (name, node)
            assert node.name
    return names


@pytest.mark.parametrize(("build", "state"), list(every_explainer()))
def test_every_number_of_every_example_opens(build, state):
    loop = load_build(ROOT / "examples" / build)
    chosen = loop.state(state)
    names = check_all(Explainer(loop, chosen, solve(loop, stated_route(loop), chosen)))
    assert {"coolant_rise", "noise"} <= set(names)


def test_every_number_of_a_build_with_all_kinds_of_air_opens():
    names = set(check_all(airy()))
    s = airy().solution
    assert {"case_temp", "case_pressure", "noise", "noise_heard"} <= names
    assert {f"air_flow.{air.id}" for air in s.air} <= names
    assert {"air_flow.intake", "air_flow.rear", "noise.pump", "noise.intake", "dp.rad"} <= names
    assert {f"air_out_temp.{r.part}" for r in s.radiators if r.part != "r6"} <= names
    assert "air_out_temp.r6" not in names, "its air stands still"


def test_the_build_that_is_opened_has_all_kinds_of_air():
    s = airy().solution
    assert {r.form for r in s.radiators} == {"points", "UA law", "geometry"}
    assert {air.origin for air in s.air} == {"stated", "fan curve"}
    assert s.case_pa != 0.0


def test_every_law_has_its_formula():
    kinds = {kind for kind in vars(laws).values() if isinstance(kind, type) and kind.__module__ == laws.__name__}
    kinds = {kind for kind in kinds if hasattr(kind, "dp_pa")} - {laws.Law, laws.Bundle}
    assert set(LAW_FORMULAS) == kinds


def test_what_stands_below_a_number_has_a_name_a_person_reads():
    """Names that can be asked for, keys of a file and what a person called a part stand as they are written."""
    own = {"case_heat", "path_mm"}
    for name in airy().names():
        for node in walk(airy().open(name)):
            known = node.closed or "." in node.name or node.name in airy().numbers or node.name in own
            assert known or "_" not in node.name, (name, node.name)
            assert not any("`" in formula for formula in node.formulas), (name, node.formulas)


def test_every_head_has_words_and_every_name_its_value():
    sections = report_names(airy()).body
    listed = [row[0].text for section in sections for row in section.body[0].rows]
    assert listed == list(airy().names())
    assert sections[-1].title == "Thresholds"
    values = {row[0].text: row[1].text for section in sections for row in section.body[0].rows}
    assert values["flow.pump"] == show(airy().solution.flow_m3_s["pump"], "flow_m3_s")


@pytest.mark.parametrize(
    "name", ["strength.rad", "air_flow.front", "dp.rad", "noise.pump", "case_temp", "air_in_temp.r3"]
)
def test_less_depth_closes_what_lies_deeper(name):
    shallow, deep = (Explainer(airy().loop, airy().state, airy().solution, depth).open(name) for depth in (1, 6))
    assert shallow.value == deep.value
    assert len(list(walk(shallow))) <= len(list(walk(deep)))
    assert all(not node.inputs for node in walk(shallow) if node.closed)


def test_what_is_stated_says_where_and_what_is_assumed_says_so():
    e = airy()
    assert re.search(r'build\.toml:\d+:\d+ as "90 m3/h ± 5 %"$', below(e.open("air_flow.side"), "stated").said)
    assert below(e.open("air_flow.back"), "airflow of").said.endswith('as "40 m3/h", ± 10 % (assumed)')
    top = e.open("air_in_temp.r3")
    assert 'as "80 %", ± 20 % (assumed)' in below(top, "share of case").said
    assert below(top, "share of the exhaust of front").said.endswith('as "5 % ± 1 %"')
    assert 'card "louvred" (± 20 % (assumed))' in e.open("strength.rad").said
    assert 'card "fan-120" (estimated, ± 10 %, invented)' in below(e.open("air_flow.front"), "fans").said
    assert 'card "filter-mesh" (estimated, ± 30 %, invented)' in below(e.open("air_flow.front"), "screen").said
    assert "± 3.0 dB (assumed)" in below(e.open("noise.pump"), "level").said
    assert "full speed of card" in below(e.open("air_flow.top"), "fan speed").said


def test_where_a_value_comes_from_is_said_by_itself_before_its_card():
    card = cards()["by-speed"]
    own = card.strength.model_copy(update={"origin": "measured"})
    card = card.model_copy(update={"strength": own, "origin": "estimated"})
    assert from_card(card, "strength", "here") == 'from card "by-speed" (measured, ± 8 %), used in here'
    assert from_card(card, "loss", "here") == 'from card "by-speed" (estimated, ± 15 % (assumed)), used in here'
    mesh = cards()["filter-mesh"].model_copy(update={"origins": {"face_loss": "measured"}})
    assert "(measured, ± 30 %, invented)" in from_card(mesh, "face_loss", "here")


# --- strength and heat ------------------------------------------------------------------------------------------------


def streams(node):
    return value(node, "capacity rate of the air"), value(node, "capacity rate of the coolant")


def thinned(node, strength):
    """The strength of the points in the thin air of this build."""
    return float(thin_air_w_k(strength, streams(node)[0], value(node, "air pressure over that at sea level")))


def test_a_strength_from_points_follows_from_its_points_and_streams():
    top, table = airy().open("strength.r3"), cards()["radiator-240-30"].strength
    points = [pair.split(":") for pair in below(top, "points").value.split(";")]
    air = [float(x.split()[0]) / 3600.0 for x, _ in points]
    strength = [float(y.split()[0]) for _, y in points]
    assert [x * 3600 for x in air] == pytest.approx([x for x, _ in table.points])
    found = thinned(top, fit_strength(air, strength).strength_w_k(value(top, "air_flow.top")))
    found = min(found, bound_w_k(*streams(top)))
    assert top.value == pytest.approx(found, rel=1e-9)


def test_a_strength_by_fan_speed_follows_from_the_speed():
    top = airy().open("strength.r5")
    rpm = value(top, "fan speed") * 60
    found = fit_strength([0.0, 500.0, 1000.0], [3.0, 12.0, 20.0]).strength_w_k(rpm)
    assert top.value == pytest.approx(min(thinned(top, found), bound_w_k(*streams(top))), rel=1e-9)


def test_a_strength_held_at_its_streams_says_so():
    thin = explainer(
        ('air_per_fan = "40 m3/h"\nair_at = "1000 rpm"\ninlet', 'air_per_fan = "4 m3/h"\nair_at = "1000 rpm"\ninlet')
    )
    top = thin.open("strength.r5")
    assert "held at what its streams carry" in top.said
    air, water = streams(top)
    assert top.value == pytest.approx(float(bound_w_k(air + 3.0, water)), rel=1e-9)  # 3 W/K pass without any fan
    assert "held" not in airy().open("strength.r5").said


def test_a_strength_from_a_law_follows_from_its_constants():
    top = airy().open("strength.r2")
    ua = below(top, "UA")
    live = 1.0  # in push-pull the other fan of a pair blows on
    flows = value(ua, "air_flow.front") / live, value(ua, "flow.r2")
    again = live * ua_w_k(*flows, value(ua, "ka"), value(ua, "ma"), value(ua, "kw"), value(ua, "mw"))
    assert ua.value == pytest.approx(float(again), rel=1e-9)
    found = strength_w_k(float(ua.value), *streams(top), "crossflow, a mixed")
    assert top.value == pytest.approx(float(found), rel=1e-6)
    assert below(top, "arrangement").value == "air mixed"
    assert any("[kays-london-1984]" in formula for formula in top.formulas)


@pytest.mark.parametrize(("part", "stack"), [("rad", "front"), ("r4", "side")])
def test_a_strength_from_geometry_follows_from_its_lengths(part, stack):
    top = airy().open(f"strength.{part}")
    ua = below(top, "UA")
    air, coolant = below(ua, "conductance of the air"), below(ua, "conductance of the coolant")
    core = shape(below(top, "core"))
    live = 1.0
    properties = [value(air, name) for name in ("density", "viscosity", "heat capacity", "conductivity")]
    assert air.value == pytest.approx(
        float(core.air_w_k(value(air, f"air_flow.{stack}") / live, *properties)), rel=1e-9
    )
    water = [value(coolant, name) for name in ("coolant density", "viscosity", "heat capacity", "conductivity")]
    assert coolant.value == pytest.approx(float(core.coolant_w_k(value(coolant, f"flow.{part}"), *water)), rel=1e-9)
    assert ua.value == pytest.approx(live * float(core.ua_w_k(air.value, coolant.value)), rel=1e-9)
    assert value(ua, "conductance of the tube walls") == pytest.approx(float(core.wall_w_k), rel=1e-9)
    assert top.value == pytest.approx(float(core.strength_w_k(ua.value, *streams(top))), rel=1e-6)
    law = "[chang-wang-1997]" if part == "rad" else "[shah-london-1978]"
    assert any(law in formula for formula in air.formulas)


def shape(node):
    """The core whose lengths a number shows."""
    shown = {child.unit: child.value for child in node.inputs}
    whole = {name: int(shown.pop(name)) for name in ("tubes", "rows", "passes")}
    law = shown.pop("", "chang-wang")  # the law of the louvres is a word without a unit
    return Core(**shown, **whole, louvre_law=law)


def test_slow_air_in_louvres_names_its_extra_uncertainty():
    slow = explainer(settings=["front.speed=150 rpm"])
    air = below(slow.open("strength.rad"), "UA", "conductance of the air")
    assert value(air, "Re of the air") < 100
    assert value(air, "extra uncertainty") > 0


def test_the_heat_of_every_radiator_is_strength_times_difference():
    for part in airy().radiators:
        top = airy().open(f"heat.{part}")
        difference = value(top, "coolant_temp") - value(top, "air_in_temp")
        assert top.value == pytest.approx(value(top, "strength") * difference, rel=1e-6)


def test_the_loss_of_a_radiator_from_geometry_follows_from_its_lengths():
    tubes = below(airy().open("dp.rad"), "tubes")
    lengths = [child for child in tubes.inputs if child.unit in vars(shape(below(airy().open("strength.rad"), "core")))]
    core = shape(type(tubes)("", "", inputs=(*lengths, below(tubes, "law of the louvres"))))
    found = core.coolant_dp_pa(value(tubes, "flow.rad"), value(tubes, "coolant density"), value(tubes, "viscosity"))
    assert tubes.value == pytest.approx(float(found), rel=1e-9)
    assert 'card "louvred" (± 15 % (assumed))' in tubes.said, "that of a loss, not that of a conductance"
    assert any("[shah-london-1978]" in formula for formula in tubes.formulas)


@pytest.mark.parametrize("law", LOUVRE_LAWS)
def test_fins_name_the_friction_of_their_own_law(law):
    core = shape(below(airy().open("strength.rad"), "core"))
    core = Core(**{**{k: v for k, v in vars(core).items() if k in Core.__dataclass_fields__}, "louvre_law": law})
    key = {"chang-wang": "[chang-2000]", "kim-bullard": "[kim-bullard-2002]"}[law]
    assert key in law_formulas(laws.Fins(core, 1.0))[-1]


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
