"""Every number of a solution opens, and what stands below a number gives it again.

The build and its numbers are invented. Values are computed anew from the inputs an opened number shows, with the
formulas of `headrace.physics` that it names; those are held against sources of their own in tests/published.
"""

import re

import pytest
from checkers.opened import (
    ROOT,
    airy,
    below,
    cards,
    check_all,
    every_explainer,
    explainer,
    value,
    walk,
)

from headrace.loop.loader import load_build
from headrace.loop.route import stated_route
from headrace.physics.core import Core
from headrace.physics.effectiveness import strength_w_k
from headrace.physics.fins import LOUVRE_LAWS
from headrace.physics.radiator import bound_w_k, fit_strength, thin_air_w_k, ua_w_k
from headrace.report.explain import report_names
from headrace.solve import laws
from headrace.solve.explain.explained import from_card
from headrace.solve.explain.explainer import Explainer
from headrace.solve.explain.laws import LAW_FORMULAS, law_formulas
from headrace.solve.steady import solve
from headrace.units import show


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
