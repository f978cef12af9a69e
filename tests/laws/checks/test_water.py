"""What holds of the checks of water whatever the numbers: heights turn over, more room never hurts, order is nothing."""

import math
import re

import pytest
from checkers.rule_files import FILES, cards
from hypothesis import given, settings
from hypothesis import strategies as st

from headrace.checks.build import solve_build
from headrace.checks.every import RULES
from headrace.checks.finding import Finding
from headrace.checks.heights import port_heights_m, ports_of, span_m, surface_m
from headrace.geometry import level
from headrace.geometry.posture import POSTURES, UPRIGHT, Posture
from headrace.loop.loader import parse_build
from headrace.loop.placed import boxes_of
from headrace.physics.expansion import column_pa, expanded_m3, sealed_rise_pa

BY_ID = {rule.CHECK.id: rule for rule in RULES}
HERE = [file for file in FILES if "WATER-03" <= file.parent.name <= "WATER-14"]
FEW = settings(max_examples=25, deadline=None)
MM = st.integers(-300, 600)
BUILD = """# A pump-reservoir, a radiator and a lid.
format = 1

[defaults]
tube = "soft-10-16"
fitting = "collar-10-16"
length = "0.4 m"

[[part]]
id = "pump"
card = "pump-tank"
at_mm = [0, 0, {pump}]

[[part]]
id = "rad"
card = "rad"
at_mm = [{x}, 0, {rad}]

[[part]]
id = "lid"
card = "lid"
at_mm = [0, 0, {lid}]

[[order]]
through = ["pump", "rad"]

[[port]]
at = "pump.{drain}"
use = "drain"
with = "ball-valve"

[[port]]
at = "pump.fill"
use = "fill"
with = "plug"

[thresholds]
drain_height = "{drain_height} mm"
fill_room = "{fill_room} mm"
"""


def build(pump=0, rad=0, lid=900, x=300, drain="drain", drain_height=20, fill_room=60):
    text = BUILD.format(pump=pump, rad=rad, lid=lid, x=x, drain=drain, drain_height=drain_height, fill_room=fill_room)
    return solve_build(parse_build(text, "build.toml", cards("WATER-07")))


def found(id_, of):
    return [result for result in BY_ID[id_].run(of) if isinstance(result, Finding)]


@FEW
@given(MM, MM, st.integers(0, 300))
def test_a_higher_drain_never_removes_a_finding(pump, rad, lift):
    """The drain goes up as the radiator goes down: only their difference counts."""
    if found("WATER-05", build(pump, rad)):
        assert found("WATER-05", build(pump, rad - lift))
    before, after = (found("WATER-05", build(pump, rad - down)) for down in (0, lift))
    assert sum(f.found for f in before) <= sum(f.found for f in after) + 1e-12


@FEW
@given(MM, MM, st.integers(0, 300))
def test_the_whole_case_higher_changes_nothing(pump, rad, lift):
    for id_ in ("WATER-05", "WATER-06"):
        one, other = (found(id_, build(pump + up, rad + up, 1900)) for up in (0, lift))
        assert [f.subject for f in one] == [f.subject for f in other]
        assert [f.found for f in one] == pytest.approx([f.found for f in other])


@FEW
@given(MM, st.integers(0, 100), st.integers(0, 100))
def test_a_wider_limit_never_adds_a_finding(rad, limit, more):
    if not found("WATER-05", build(100, rad, drain_height=limit)):
        assert not found("WATER-05", build(100, rad, drain_height=limit + more))
    lid = 200 + abs(rad)
    if not found("WATER-07", build(lid=lid, fill_room=limit + more)):
        assert not found("WATER-07", build(lid=lid, fill_room=limit))


@FEW
@given(st.integers(200, 400), st.integers(0, 300))
def test_moving_a_lid_away_never_takes_room(lid, away):
    near, far = (found("WATER-07", build(lid=z)) for z in (lid, lid + away))
    assert len(far) <= len(near)
    if far:
        assert far[0].found >= near[0].found - 1e-12


@given(st.sampled_from(["upright", "upside down", "on its left side", "on its front", "on its back"]))
def test_a_case_turned_over_has_its_heights_turned_over(name):
    posture = POSTURES[name]
    other = Posture("the other way up", (-posture.up[0], -posture.up[1], -posture.up[2]))
    loop = build().loop
    ports = ports_of(loop, {"pump", "rad"})
    one, turned = (port_heights_m(loop, ports, way) for way in (posture, other))
    assert {port: -height for port, height in one.items()} == pytest.approx(turned)
    low, high = span_m(loop.part("rad"), posture)
    assert span_m(loop.part("rad"), other) == pytest.approx((-high, -low))


@given(st.floats(-0.7, 0.7), st.floats(-0.7, 0.7))
def test_water_stands_between_bottom_and_top_of_its_tank(front, right):
    posture = Posture.tilted(front, right)
    part = build().loop.part("pump")
    low, high = span_m(part, posture)
    assert low <= surface_m(part, posture) <= high
    assert surface_m(part, posture) == pytest.approx(level.surface_m(boxes_of(part)[0], posture, 0.5))
    assert surface_m(part, UPRIGHT) == pytest.approx(0.1)  # half full, 200 mm high, on the floor


LITRES = st.floats(1e-6, 1e-2)


@given(LITRES, LITRES, LITRES, st.floats(0.0, 60.0))
def test_more_air_never_presses_more(air, more, taken, warmer):
    less, rise = (sealed_rise_pa(a, taken, 293.15, 293.15 + warmer) for a in (air + more, air))
    assert less <= rise
    assert rise > 0.0


@given(LITRES, LITRES, st.floats(280.0, 350.0))
def test_what_does_not_warm_does_not_press(air, water, temp_k):
    assert expanded_m3(water, 998.0, 998.0) == 0.0
    assert sealed_rise_pa(air, 0.0, temp_k, temp_k) == pytest.approx(0.0, abs=1e-9)


@given(LITRES, LITRES)
def test_water_that_takes_all_the_air_presses_without_end(air, more):
    assert sealed_rise_pa(air, air + more, 293.15, 313.15) == math.inf


@given(st.floats(0.0, 10.0), st.floats(0.0, 10.0))
def test_columns_add_up(one, other):
    assert column_pa(one, 1000.0) + column_pa(other, 1000.0) == pytest.approx(column_pa(one + other, 1000.0))


@pytest.mark.parametrize(
    "file", [f for f in HERE if f.name.startswith("fail")], ids=lambda f: f"{f.parent.name}/{f.stem}"
)
def test_the_order_of_parts_in_the_file_does_not_matter(file):
    text = file.read_text(encoding="utf-8")
    parts = re.findall(r"\[\[part\]\]\n(?:[^\[\n][^\n]*\n)+", text)
    turned = text
    for part, other in zip(parts, parts[::-1], strict=True):
        turned = turned.replace(part, f"<{parts.index(other)}>", 1)
    for index, part in enumerate(parts):
        turned = turned.replace(f"<{index}>", part)
    one, other = (
        {(f.found_text(), f.limit_text()) for f in BY_ID[file.parent.name].run(of) if isinstance(f, Finding)}
        for of in (solve_build(parse_build(t, file.name, cards(file.parent.name))) for t in (text, turned))
    )
    assert turned != text or len(parts) == 1
    assert one == other
