"""A small complete build as text, and ways to change one line of it. Plain invented numbers."""

from __future__ import annotations

from functools import cache

from headrace.loop.loader import parse_build
from headrace.loop.model import Loop
from headrace.loop.route import stated_route
from headrace.parts.card import Card
from headrace.parts.loader import read_cards
from headrace.parts.tomltext import parse_toml
from headrace.solve.solution import Solution
from headrace.solve.steady import solve

CARDS = """
format = 1
[[card]]
id = "tube"
kind = "tube"
bore = "10 mm"
outside = "16 mm"
[[card]]
id = "vessel"
kind = "reservoir"
port = [{ name = "in", way = "in" }, { name = "out", way = "out" }, { name = "fill" }]
[[card]]
id = "pump"
kind = "pump"
port = [{ name = "in", way = "in" }, { name = "out", way = "out" }]
curve = { flow = "L/min", head = "kPa", points = [[0, 38], [4, 37], [8, 33.5], [12, 28], [16, 20], [20, 9.5], [22.5, 0]] }
power = "20 W"
[[card]]
id = "block"
kind = "block"
port = [{ name = "in" }, { name = "out" }]
loss = { flow = "L/min", loss = "kPa", points = [[2, 4.1], [4, 14.2], [6, 30.1]] }
resistance = { node = "outlet", value = "0.15 K/W ± 8 %" }
[[card]]
id = "radiator"
kind = "radiator"
port = [{ name = "in" }, { name = "out" }]
loss = { flow = "L/min", loss = "kPa", points = [[2, 0.9], [4, 2.9], [6, 6.0]] }
strength = { air = "m3/h", strength = "W/K", points = [[40, 12.2], [80, 21.5], [120, 29], [180, 37.8]] }
[[card]]
id = "both"
kind = "pump-reservoir"
port = [{ name = "in", way = "in" }, { name = "out", way = "out" }, { name = "out2", way = "out" }]
curve = { flow = "L/min", head = "kPa", points = [[0, 38], [8, 33.5], [16, 20], [22.5, 0]] }
power = "20 W"
[[card]]
id = "still"
like = "radiator"
strength = { air = "m3/h", strength = "W/K", points = [[0, 3], [40, 12.2], [80, 21.5], [120, 29]] }
[[card]]
id = "tee"
kind = "splitter"
port = [{ name = "one" }, { name = "two" }, { name = "three" }]
channel = [
  { from = "one", to = "two", loss = { k = 0.5, bore = "10 mm" } },
  { from = "one", to = "three", loss = { k = 0.5, bore = "10 mm" } },
]
"""

BUILD = """format = 1
name = "small"

[coolant]
base = "water"

[defaults]
tube = "tube"
length = "0.5 m"

[[part]]
id = "vessel"
card = "vessel"

[[part]]
id = "pump"
card = "pump"

[[part]]
id = "cpu"
card = "block"
limit = "90 °C"

[[part]]
id = "rad"
card = "radiator"

[[order]]
through = ["vessel", "pump", "cpu", "rad"]

[[stack]]
id = "front"
radiator = "rad"
air = "120 m3/h"

[[state]]
name = "load"
room = "24 °C"
heat = { cpu = "280 W" }
speed = { pump = "60 %" }
"""


def _changed(text: str, changes: tuple[tuple[str, str], ...]) -> str:
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text


@cache
def cards(changes: tuple[tuple[str, str], ...] = ()) -> dict[str, Card]:
    """The cards of CARDS with pieces of their text replaced."""
    return read_cards([parse_toml(_changed(CARDS, changes), "cards.toml")])


def small(*changes: tuple[str, str], more: str = "", cards_too: tuple[tuple[str, str], ...] = ()) -> Loop:
    """The small build with pieces of its text (and of its cards') replaced and more text after it."""
    return parse_build(_changed(BUILD, changes) + more, "build.toml", cards(cards_too))


def solved(*changes: tuple[str, str], more: str = "", cards_too: tuple[tuple[str, str], ...] = ()) -> Solution:
    """The first state of the changed small build."""
    loop = small(*changes, more=more, cards_too=cards_too)
    return solve(loop, stated_route(loop), loop.state())
