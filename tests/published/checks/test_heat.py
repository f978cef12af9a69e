"""What the trade and open physics say of heat and sound, held against the checks.

Each number has its mark beside it; builds are invented, only as whole as the question needs.
"""

import math

import psychrolib
import pytest

from headrace.checks.build import solve_build
from headrace.checks.every import RULES
from headrace.checks.finding import Finding, Severity
from headrace.checks.upstream import find_upstream
from headrace.fluids.air import dew_point_k
from headrace.loop.loader import parse_build
from headrace.loop.thresholds import usual_thresholds
from headrace.parts.loader import read_cards
from headrace.parts.tomltext import parse_toml

CARDS = """
format = 1
[[card]]
id = "tube"
kind = "tube"
bore = "10 mm"
outside = "16 mm"
[[card]]
id = "pump"
kind = "pump-reservoir"
port = [{ name = "return", way = "in" }, { name = "out", way = "out" }]
curve = { flow = "L/h", head = "kPa", points = [[0, 20], [400, 0]] }
sound = { level = "24 dBA", distance = "1 m" }
power = "0.001 W"
[[card]]
id = "block"
kind = "block"
port = [{ name = "in" }, { name = "out" }]
loss = { flow = "L/h", loss = "kPa", points = [[100, 1.5], [200, 5], [300, 10]] }
resistance = { node = "inlet", value = "0.05 K/W" }
volume = "1 mL"
heat_capacity = "200 J/K"
[[card]]
id = "radiator"
kind = "radiator"
port = [{ name = "in" }, { name = "out" }]
loss = { flow = "L/h", loss = "kPa", points = [[100, 0.5], [200, 1.6], [300, 3]] }
strength = { air = "m3/h", strength = "W/K", points = [[0, 40], [200, 40]] }
[[card]]
id = "fan"
kind = "fan"
size = "120 mm"
blades = 7
full_speed = "2000 rpm"
sound = { level = "24 dBA", speed = "1000 rpm", distance = "1 m" }
"""
BUILD = """
format = 1
[limits]
{limits}
[defaults]
tube = "tube"
length = "0.3 m"
[[part]]
id = "pump"
card = "pump"
{pump}
[[part]]
id = "gpu"
card = "block"
limit = "{gpu_limit}"
[[part]]
id = "cpu"
card = "block"
limit = "{cpu_limit}"
[[part]]
id = "rad"
card = "radiator"
[[order]]
through = ["pump", "gpu", "cpu", "rad"]
[[stack]]
id = "top"
radiator = "rad"
fan = "fan"
fans = 1
air = "200 m3/h"
inlet = {{ plus = "{plus}" }}
[[vent]]
id = "rear"
fan = "fan"
blows = "out"
air = "30 m3/h"
[[state]]
name = "load"
room = "20 °C"
humidity = "{humidity}"
heat = {{ gpu = "{gpu}", cpu = "{cpu}" }}
speed = {{ pump = "100 %", top = "{top}", rear = "{rear}" }}
"""
USUAL = {
    "limits": 'coolant = "90 °C"',
    "pump": "",
    "gpu_limit": "149 °C",
    "cpu_limit": "149 °C",
    "plus": "0 K",
    "humidity": "50 %",
    "gpu": "100 W",
    "cpu": "100 W",
    "top": "1000 rpm",
    "rear": "1000 rpm",
}
psychrolib.SetUnitSystem(psychrolib.SI)


def build(**values):
    faults = []
    known = read_cards([parse_toml(CARDS, "cards.toml")], {}, faults)
    assert not faults
    return solve_build(parse_build(BUILD.format(**{**USUAL, **values}), "build.toml", known))


def found(id_, which):
    rule = next(rule for rule in RULES if rule.CHECK.id == id_)
    return [result for result in rule.run(which) if isinstance(result, Finding)]


def test_dew_point_of_a_room():
    """9.26 °C at 20 °C and 50 %, computed with psychrolib 2.5.0."""
    theirs = psychrolib.GetTDewPointFromRelHum(20.0, 0.5)
    assert theirs == pytest.approx(9.26, abs=0.02)
    assert float(dew_point_k(293.15, 0.5)) - 273.15 == pytest.approx(theirs, abs=0.05)


@pytest.mark.parametrize(("above_k", "wet"), [(2.8, True), (3.2, False)])
def test_coolant_keeps_three_kelvin_from_the_dew_point(above_k, wet):
    """2 to 3 K above the dew point is what server liquid cooling asks for: common practice, no source."""
    plus = psychrolib.GetTDewPointFromRelHum(20.0, 0.5) + above_k - 20.0
    chilled = build(plus=f"{plus:.3f} K", gpu="1 W", cpu="0 W")
    assert bool(found("HEAT-06", chilled)) is wet


def test_coolant_warmer_than_the_room_is_never_wet():
    assert not found("HEAT-06", build(plus="-0.5 K", humidity="100 %", gpu="100 W"))


@pytest.mark.parametrize(
    ("watt", "severity"), [(590, None), (610, Severity.NOTE), (790, Severity.NOTE), (810, "fault")]
)
def test_coolant_over_the_room(watt, severity):
    """Up to 15 K is fine, over 20 K marginal: common practice, no source. Here 40 W/K of coolant coming in."""
    results = found("HEAT-10", build(gpu="0 W", cpu=f"{watt} W"))
    graded = [result.check.severity for result in results]
    assert graded == ([] if severity is None else [Severity.BEFORE_HANDOVER if severity == "fault" else severity])


def test_what_warm_air_costs():
    """Strength times rise: 40 W/K and 8 K are 320 W. By definition."""
    (result,) = found("HEAT-04", build(plus="8 K"))
    assert result.found == pytest.approx(8.0)
    assert "320 W" in result.fix


def test_what_the_order_is_worth():
    """Rise = heat / (mass flow * heat capacity), first law; water carries 4.18 kJ/(kg K), from memory of steam tables."""
    which = build(gpu="300 W")
    solution = which.solutions[0][1]
    flow = solution.links[0].mass_flow_kg_s
    before = find_upstream(which.loop, solution, "cpu")
    assert before is not None
    assert before.blocks == ("gpu",)
    assert before.rise_k == pytest.approx(300.0 / (flow * 4180.0), rel=5e-3)


def test_300_w_at_200_l_h_are_1_3_k():
    """Calculated from water of 1000 kg/m3 and 4180 J/(kg K)."""
    rise_k = 300.0 / (200.0 / 3600.0 / 1000.0 * 1000.0 * 4180.0)
    assert rise_k == pytest.approx(1.3, abs=0.05)
    assert rise_k > float(usual_thresholds()["order_matters"].value)


def test_a_chip_over_standing_water_warms_by_a_kelvin_a_second():
    """200 W into 200 J/K and hardly any water: 1 K/s, common practice for a block; here by definition."""
    hot = build(cpu="200 W", gpu="0 W", cpu_limit="60 °C")
    start_k = hot.solutions[0][1].part_temp_k["cpu"]
    (result,) = found("HEAT-07", hot)
    assert result.found == pytest.approx((333.15 - start_k) / 1.0, rel=0.15)


def test_sound_adds_as_energy():
    """Three equal sources of 24 dBA are 24 + 10 lg 3 = 28.8 dBA: energy addition."""
    level = 24.0 + 10.0 * math.log10(3.0)
    (result,) = found("NOISE-01", build(limits='noise = "28 dBA"'))
    assert result.found == pytest.approx(level, abs=0.1)
    assert result.limit == 28.0


def test_sound_of_a_faster_fan():
    """50 lg(n / n0): 1260 rpm instead of 1000 are 5 dB more; published fan law as the trade uses it."""
    slow = build(limits='noise = "10 dBA"', top="1000 rpm", rear="0 rpm")
    fast = build(limits='noise = "10 dBA"', top="1259 rpm", rear="0 rpm")
    levels = [which.solutions[0][1].noise.level_db["top"] for which in (slow, fast)]
    assert levels[1] - levels[0] == pytest.approx(5.0, abs=0.01)


@pytest.mark.parametrize(
    ("rear", "beats"), [("1000 rpm", None), ("1012 rpm", 1.4), ("1120 rpm", 14.0), ("1140 rpm", None)]
)
def test_beats_a_second(rear, beats):
    """Blades times the difference in turns a second: 7 * 12 / 60 = 1.4; geometry. Heard up to 15: common practice."""
    results = found("NOISE-02", build(rear=rear))
    assert [f"{beats:.1f} times" in result.found for result in results] == ([] if beats is None else [True])


def test_soft_feet_take_off_what_the_table_says():
    """7.5 dB, common practice, no source; of the whole, less, for the fans stay."""
    (result,) = found("NOISE-04", build(limits='noise = "40 dBA"', pump='mounting = "hard"'))
    assert "7.5 dB off the pump" in result.fix
    fans, pump = 2 * 10**2.4, 10**2.4
    off = 10.0 * math.log10((fans + pump) / (fans + pump * 10**-0.75))
    assert f"{off:.1f} dB off the whole" in result.fix
