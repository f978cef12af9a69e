"""A build with every kind of air, opened number by number, and ways to walk what was opened. Invented."""

import math
import re
from functools import cache
from pathlib import Path

import pytest
from checkers.small_build import BUILD, CARDS

from headrace.loop.loader import load_build, parse_build
from headrace.loop.override import override_state
from headrace.loop.route import stated_route
from headrace.parts.loader import load_catalogue, read_cards
from headrace.parts.tomltext import parse_toml
from headrace.solve.explain.explainer import Explainer
from headrace.solve.steady import solve

ROOT = Path(__file__).parents[2]
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
