"""Fittings in a case against published sizes, closed forms and the invented demo scenarios; each number with its mark."""

import math

import pytest

from headrace.checks.build import Build
from headrace.checks.every import RULES
from headrace.checks.finding import Finding, Severity
from headrace.loop.loader import parse_build
from headrace.loop.route import stated_route
from headrace.loop.thresholds import usual_thresholds
from headrace.parts.loader import load_cards
from headrace.parts.tables import find_thread

INCH = 25.4
CARDS = """
format = 1
[[card]]
id = "case"
kind = "case"
inside_mm = [600, 250, 580]
window = "right"
slot_pitch = "{pitch}"
[[card]]
id = "gpu"
kind = "block"
cools = "GPU"
port = [{{ name = "in" }}, {{ name = "out" }}]
[[card]]
id = "bridge"
kind = "bridge"
port = [{{ name = "a" }}, {{ name = "b" }}]
channel = [{{ from = "a", to = "b" }}]
[[card]]
id = "tank"
kind = "reservoir"
outline_mm = [[0, 0, 0, 60, 60, 20]]
port = [{{ name = "top", thread = "G1/4", at_mm = [30, 30, 20], axis = "+z", seat = "{seat} mm" }}]
[[card]]
id = "nut"
kind = "fitting"
thread = "G1/4"
collar = "{collar} mm"
height = "21 mm"
[[card]]
id = "elbow"
like = "nut"
turn = "{turn} deg"
arm = "14 mm"
rotary = {rotary}
[[card]]
id = "wall"
kind = "obstacle"
outline_mm = [[0, 0, 0, 20, 200, 200]]
"""
USUAL = {"pitch": "20.32 mm", "seat": 25, "collar": 17, "turn": 90, "rotary": "false"}


@pytest.fixture
def findings(tmp_path):
    def find(id_, text, **numbers):
        path = tmp_path / "cards.toml"
        path.write_text(CARDS.format(**(USUAL | numbers)), encoding="utf-8")
        loop = parse_build("format = 1\n" + text, "build.toml", load_cards([path], {}))
        rule = next(rule for rule in RULES if rule.CHECK.id == id_)
        return [r for r in rule.run(Build(loop, stated_route(loop), (), ())) if isinstance(r, Finding)]

    return find


def part(id_, card, at):
    return f'[[part]]\nid = "{id_}"\ncard = "{card}"\nat_mm = {list(at)}\n'


def beside(gap_mm, fitting="nut", radius=8.5):
    """A fitting around x 130 and a wall that begins `gap_mm` beyond its collar."""
    used = f'[[port]]\nat = "tank.top"\nuse = "plug"\nwith = ["{fitting}"]\n'
    return part("tank", "tank", [100, 100, 100]) + used + part("wall", "wall", [130 + radius + gap_mm, 30, 115])


def cards_apart(mm):
    joints = '[[joint]]\nfrom = "bridge.a"\nto = "one.in"\n[[joint]]\nfrom = "two.in"\nto = "bridge.b"\n'
    places = (
        part("one", "gpu", [30, 20, 100]) + part("two", "gpu", [30, 20, 100 + mm]) + part("bridge", "bridge", [0, 0, 0])
    )
    return '[case]\ncard = "case"\n' + places + joints


@pytest.mark.parametrize("pitch", ["20.32 mm", "0.8 in"])  # 0.8 in: from memory of the ATX and PCI card specifications
@pytest.mark.parametrize("slots", range(1, 8))
def test_cards_in_slots_take_a_bridge_and_cards_between_them_do_not(findings, slots, pitch):
    assert findings("PORT-10", cards_apart(slots * 0.8 * INCH), pitch=pitch) == []
    (found,) = findings("PORT-10", cards_apart((slots + 0.5) * 0.8 * INCH - 0.01), pitch=pitch)
    assert found.limit == pytest.approx(slots * 0.8 * INCH / 1000)
    assert f"The nearest number of slots is {slots}, with {slots - 1} between" in found.fix


def test_the_cards_of_the_workstation_stand_80_mm_apart_and_four_slots_are_81_28_mm(findings):  # scenario B, invented
    (found,) = findings("PORT-10", cards_apart(80))
    assert (found.found, found.limit) == pytest.approx((0.080, 0.08128))
    assert "1.28 mm along +z" in found.fix


@pytest.mark.parametrize(
    ("collar", "seat", "fits"),
    [
        (17, 19, True),  # spot face of a G1/4 port 19 mm wide: from memory of ISO 1179-1
        (19, 19, True),
        (21, 19, False),  # collar of a 10/16 fitting: class figure, common practice, no source
        (24.5, 19, False),  # 13/19
        (21, 25, True),  # flat of a block or radiator: class figure, common practice, no source
        (24.5, 25, True),
    ],
)
def test_an_industrial_spot_face_is_too_narrow_for_wide_collars(findings, collar, seat, fits):
    assert bool(findings("PORT-11", beside(100), collar=collar, seat=seat)) is not fits


@pytest.mark.parametrize(
    ("port_mm", "radius_mm", "check", "gap_mm", "severity"),
    [  # invented demo scenarios: distance from the axis of the port to the edge of the fans, radius of the collar
        (9, 8.5, "PORT-04", 0.5, Severity.BEFORE_POWER),  # A2
        (6, 8.5, "PORT-04", -2.5, Severity.STOP),  # B14
        (10, 8.5, "PORT-07", 1.5, Severity.BEFORE_POWER),  # B16
        (9.5, 8.5, "PORT-07", 1.0, Severity.BEFORE_POWER),  # at 1 mm it stands clear: common practice, no source
        (11.5, 8.5, "", 3.0, None),  # 3 mm for a tool: common practice, no source
    ],
)
def test_the_planted_clashes_of_ports_beside_fans(findings, port_mm, radius_mm, check, gap_mm, severity):
    text = beside(port_mm - radius_mm, radius=radius_mm)
    for id_ in ("PORT-04", "PORT-07"):
        found = findings(id_, text)
        assert [round(f.found * 1000, 6) for f in found] == ([gap_mm] if id_ == check else [])
        assert all(f.check.severity is severity for f in found)


@pytest.mark.parametrize(("port_mm", "offered"), [(9, True), (8.9, False), (7.5, False), (6, False)])
def test_no_slimmer_collar_is_offered_than_the_trade_has(findings, port_mm, offered):
    assert find_thread("G1/4").major_m == pytest.approx(13.157e-3)  # from memory of ISO 228-1
    (found,) = findings("PORT-04", beside(port_mm - 8.5))
    assert ("whose collar is" in found.fix) is offered  # 2 (port - 1 mm) against 16 mm: common practice, no source


@pytest.mark.parametrize(
    ("turn", "reach_mm"),
    [  # the edge of the end of an arm of 14 mm, 17 mm thick: a sin t + r cos t out, or the corner of a square end
        (90, math.hypot(14, 8.5)),
        (45, 14 * math.sin(math.pi / 4) + 8.5 * math.cos(math.pi / 4)),
    ],
)
def test_a_fixed_elbow_sweeps_as_far_as_the_edge_of_its_arm(findings, turn, reach_mm):
    gap = 1  # common practice, no source
    far, near = reach_mm + gap + 0.1, reach_mm + gap - 0.6
    straight = 14 * math.sin(math.radians(turn))
    assert findings("PORT-05", beside(far, "elbow", 0), turn=turn) == []
    for at in (near, straight + gap - 0.1):
        assert len(findings("PORT-05", beside(at, "elbow", 0), turn=turn)) == (at > 8.5)
    assert findings("PORT-05", beside(straight, "elbow", 0), turn=turn, rotary="true") == []


@pytest.mark.parametrize(
    ("name", "mm"), [("collar_gap", 1), ("tool_gap", 3), ("joint_gap", 1), ("slot_slack", 1), ("panel_gap", 3)]
)
def test_the_usual_limits_are_common_practice(name, mm):  # common practice, no source
    row = usual_thresholds()[name]
    assert float(row.value) == pytest.approx(mm / 1000)
    assert row.mark == "common practice, no source"


@pytest.mark.parametrize(("gap_mm", "severity"), [(3, None), (2.9, Severity.BEFORE_POWER), (-0.1, Severity.STOP)])
def test_three_millimetres_to_a_panel_that_opens(findings, gap_mm, severity):  # common practice, no source
    tank = part("tank", "tank", [100, 250 - 30 - 8.5 - gap_mm, 100])
    text = '[case]\ncard = "case"\n' + tank + '[[port]]\nat = "tank.top"\nuse = "plug"\nwith = ["nut"]\n'
    found = findings("PORT-12", text)
    assert [f.check.severity for f in found] == ([] if severity is None else [severity])
