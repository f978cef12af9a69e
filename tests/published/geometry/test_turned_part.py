"""A turned part and bars beside boxes, worked by hand; plane and solid geometry, any textbook."""

import math
from dataclasses import replace

import pytest

from headrace.geometry.clearance import clearance_m
from headrace.geometry.posture import Posture
from headrace.geometry.solid import Box, Capsule, Cylinder
from headrace.loop.fitted import lines
from headrace.loop.loader import parse_build
from headrace.loop.placed import boxes_of, fan_boxes, port_axis, port_point
from headrace.parts.loader import read_cards
from headrace.parts.tomltext import parse_toml

CARDS = """
format = 1
[[card]]
id = "radiator"
kind = "radiator"
outline_mm = [[0, 0, 0, 277, 120, 30]]
port = [
  { name = "in", at_mm = [264, 30, 0], axis = "-z", thread = "G1/4" },
  { name = "out", at_mm = [264, 90, 0], axis = "-z", thread = "G1/4" },
]
[[card]]
id = "fan"
kind = "fan"
size = "120 mm"
[[card]]
id = "tube"
kind = "tube"
bore = "10 mm"
outside = "16 mm"
[[card]]
id = "extender"
kind = "fitting"
thread = "G1/4"
collar = "17 mm"
height = "12 mm"
opens = "G1/4"
[[card]]
id = "elbow"
like = "extender"
kind = "fitting"
height = "20 mm"
turn = "90 deg"
[[card]]
id = "collar"
kind = "fitting"
thread = "G1/4"
collar = "21 mm"
tube = { grip = "collar", bore = "10 mm", outside = "16 mm" }
"""
# The radiator stands at the front on end: its length looks up (+x of the card to +z), its face with the ports to the rear
# (-z of the card to -x, so +z to +x). Then y = z x x looks along (+x) x (+z) = -y.
BUILD = """
format = 1
[[part]]
id = "rad"
card = "radiator"
at_mm = [500, 185, 20]
turned = { x = "+z", z = "+x" }
[[run]]
id = "loop"
from = "rad.out"
to = "rad.in"
tube = "tube"
length = "0.4 m"
from_with = ["extender", "elbow", "collar"]
to_with = ["collar"]
[[stack]]
id = "front"
radiator = "rad"
fan = "fan"
fans = 2
fans_at = ["-x"]
"""


@pytest.fixture(scope="module")
def loop():
    return parse_build(BUILD, "build.toml", read_cards([parse_toml(CARDS, "parts.toml")]))


def mm(*values):
    return pytest.approx(tuple(value / 1000 for value in values), abs=1e-12)


def test_the_room_of_a_turned_radiator(loop):
    (box,) = boxes_of(loop.part("rad"))
    assert box.low == mm(500, 65, 20)
    assert box.high == mm(530, 185, 297)


@pytest.mark.parametrize(("name", "at"), [("in", (500, 155, 284)), ("out", (500, 95, 284))])
def test_its_ports(loop, name, at):
    part, port = loop.port(f"rad.{name}")
    assert port_point(part, port) == mm(*at)
    assert port_axis(part, port) == "-x"


def test_its_fans_lie_on_the_face_that_looks_to_the_rear_off_its_ports(loop):
    """240 mm of fans on a body of 277 mm; ports at z 284 with a flat of 19 mm leave 274.5 mm and below."""
    ((face, box),) = fan_boxes(loop, loop.stacks[0])
    assert face == "-x"
    assert (box.low, box.high) == (mm(475, 65, 34.5), mm(500, 185, 274.5))


def test_fans_on_a_face_without_ports_lie_in_its_middle(loop):
    ((_, box),) = fan_boxes(loop, replace(loop.stacks[0], fans_at=("+x",)))
    assert (box.low, box.high) == (mm(530, 65, 38.5), mm(555, 185, 278.5))


def test_an_extender_and_an_elbow_stand_in_line_and_the_collar_beyond(loop):
    line = next(line for line in lines(loop) if line.port == "rad.out")
    first, second = line.pieces
    assert (first.body.start, first.body.end) == (mm(500, 95, 284), mm(488, 95, 284))
    assert (second.body.start, second.body.end) == (mm(488, 95, 284), mm(468, 95, 284))
    assert second.body.radius_m == pytest.approx(0.0085)
    assert line.elbow is second
    assert [fitting.id for fitting in line.beyond] == ["collar"]


def test_a_line_with_a_collar_of_unknown_height_says_what_it_lacks(loop):
    line = next(line for line in lines(loop) if line.port == "rad.in")
    assert (line.pieces, "height" in line.lack) == ((), True)


ROOT = math.sqrt(2.0)
BOX = Box((0.0, 0.0, 0.0), (0.100, 0.100, 0.100))
UPRIGHT = Cylinder((0.130, 0.140, 0.020), (0.130, 0.140, 0.080), 0.010)
BY_HAND = [
    ("beside an edge: 3-4-5 from it, less the radius", UPRIGHT, 0.040),
    ("over the top face", Cylinder((0.05, 0.05, 0.115), (0.05, 0.05, 0.150), 0.01), 0.015),
    (
        "over an edge: 15 up, and its round 12 - 4 = 8 out",
        Cylinder((0.112, 0.05, 0.115), (0.112, 0.05, 0.2), 0.004),
        0.017,
    ),
    ("in the top face by 6", Cylinder((0.05, 0.05, 0.094), (0.05, 0.05, 0.150), 0.01), -0.006),
    ("in the side by 3", Cylinder((0.107, 0.05, -0.5), (0.107, 0.05, 0.5), 0.010), -0.003),
    ("lying along x, in line with the front face", Cylinder((0.104, 0.05, 0.05), (0.150, 0.05, 0.05), 0.02), 0.004),
    ("in the corner seen from above: 3-4-5 again", Cylinder((0.103, 0.104, 0.02), (0.103, 0.104, 0.08), 0.006), -0.001),
    ("a ball off a corner", Capsule((0.102, 0.103, 0.106), (0.102, 0.103, 0.106), 0.002), 0.005),
    (
        "a tube across an edge at 45 degrees",
        Capsule((0.14, 0.10, 0.05), (0.10, 0.14, 0.05), 0.008),
        0.04 / ROOT - 0.008,
    ),
    ("a tube through the middle", Capsule((0.05, 0.05, -0.2), (0.05, 0.05, 0.2), 0.008), -0.058),
]


@pytest.mark.parametrize(("bar", "gap_m"), [case[1:] for case in BY_HAND], ids=[case[0] for case in BY_HAND])
def test_bars_beside_a_box(bar, gap_m):
    assert clearance_m(bar, BOX) == pytest.approx(gap_m, abs=1e-9)
    assert clearance_m(BOX, bar) == pytest.approx(gap_m, abs=1e-9)


def test_a_leaning_bar_over_a_face_stands_on_its_rim():
    # axis 3-4-5 in x and z: the lowest point of the rim is radius x 3/5 below the end
    bar = Cylinder((0.050, 0.05, 0.130), (0.080, 0.05, 0.170), 0.010)
    assert clearance_m(bar, BOX) == pytest.approx(0.030 - 0.006, abs=1e-7)


@pytest.mark.parametrize(
    ("one", "other", "gap_m"),
    [
        (Cylinder((0, 0, 0), (0, 0, 0.02), 0.0085), Cylinder((0.02, 0, 0), (0.02, 0, 0.02), 0.011), 0.0005),
        (Cylinder((0, 0, 0), (0, 0, 0.02), 0.0085), Cylinder((0, 0, 0.023), (0, 0, 0.04), 0.011), 0.003),
        (Capsule((0, 0, 0), (0.1, 0, 0), 0.008), Capsule((0.05, -0.1, 0.02), (0.05, 0.1, 0.02), 0.008), 0.004),
        (Capsule((0, 0, 0), (0.1, 0, 0), 0.008), Capsule((0.05, -0.1, 0.0), (0.05, 0.1, 0.0), 0.008), -0.016),
    ],
)
def test_bars_beside_one_another(one, other, gap_m):
    assert clearance_m(one, other) == pytest.approx(gap_m, abs=1e-9)


def test_a_front_lifted_by_thirty_degrees():
    # 400 mm to the front of the origin, 300 mm above it: 400 / 2 + 300 x 0.866
    height_m = Posture.tilted(math.radians(30), 0.0).height_m((0.4, 0.0, 0.3))
    assert height_m == pytest.approx(0.2 + 0.3 * math.sqrt(3) / 2)
