"""The checks of ports as laws: moving away, wider limits and the order of the file."""

from pathlib import Path

import pytest
from checkers.rule_files import build_of
from hypothesis import given, settings
from hypothesis import strategies as st

from headrace.checks.build import Build
from headrace.checks.finding import Finding, Severity
from headrace.checks.rules import (
    bridge_pitch,
    collar_gap,
    elbow_sweep,
    fitting_box,
    fitting_case,
    fitting_gap,
    joint_meet,
    rotary_count,
    seat_width,
    tool_room,
)
from headrace.checks.screwed import down_mm, pieces, stood_on, things, up_mm
from headrace.loop.arms import arm_of
from headrace.loop.fitted import lines
from headrace.loop.loader import parse_build
from headrace.loop.route import stated_route
from headrace.parts.loader import load_cards

HERE = Path(__file__).parent
CARDS = load_cards(
    [HERE / "parts.toml", HERE / "PORT-05" / "parts.toml"],
    {},
)
SPOTS = st.tuples(*[st.integers(100, 160)] * 3)


def build(text):
    loop = parse_build("format = 1\n" + text, "build.toml", CARDS)
    return Build(loop, stated_route(loop), (), ())


def part(id_, card, at):
    return f'[[part]]\nid = "{id_}"\ncard = "{card}"\nat_mm = {list(at)}\n'


def use(at, *with_):
    return f'[[port]]\nat = "{at}"\nuse = "plug"\nwith = [{", ".join(map(repr, with_))}]\n'


def findings(rule, text):
    return [result for result in rule.run(build(text)) if isinstance(result, Finding)]


FITTED = use("a.top", "elbow-turning", "nut-20") + use("a.side", "nut-20") + use("b.top", "nut-20", "nut-20")
FITTED += use("b.low", "elbow-fixed")
CASE = '[case]\ncard = "case-500"\n'
GAPS = (fitting_gap, fitting_box, tool_room, elbow_sweep)


@given(SPOTS, SPOTS, SPOTS, st.permutations([0, 1, 2]))
@settings(max_examples=60, deadline=None)
@pytest.mark.parametrize("rule", [*GAPS, fitting_case])
def test_the_order_of_parts_in_the_file_does_not_matter(rule, a, b, c, order):
    parts = [part("a", "post", a), part("b", "post", b), part("slab", "slab", c)]
    said = [
        {(f.subject, f.found_text(), f.limit_text(), f.fix, f.check.severity) for f in findings(rule, text)}
        for text in (CASE + "".join(parts) + FITTED, CASE + "".join(parts[i] for i in order) + FITTED)
    ]
    assert said[0] == said[1]


@given(SPOTS, SPOTS, st.sampled_from(["x", "y", "z"]), st.integers(1, 200))
@settings(max_examples=60, deadline=None)
@pytest.mark.parametrize("rule", [fitting_gap, fitting_box])
def test_moving_a_part_away_never_adds_a_clash(rule, a, b, way, far):
    """Away: beyond the other along an axis already, and further along it."""
    along = "xyz".index(way)
    start = [max(x, y) if i == along else y for i, (x, y) in enumerate(zip(a, b, strict=True))]
    start[along] += 60  # beyond every body of the other along that axis
    beyond = [x + far * (i == along) for i, x in enumerate(start)]
    near, away = (
        findings(rule, part("a", "post", a) + part("b", "post", at) + use("a.top", "nut-20") + use("b.top", "nut-20"))
        for at in (start, beyond)
    )
    assert {f.subject for f in away} <= {f.subject for f in near}


@given(SPOTS, SPOTS, SPOTS, st.integers(0, 80), st.integers(0, 80))
@settings(max_examples=60, deadline=None)
@pytest.mark.parametrize(
    ("rule", "name"), [(fitting_gap, "collar_gap"), (fitting_box, "collar_gap"), (tool_room, "tool_gap")]
)
def test_a_smaller_gap_asked_for_never_adds_a_finding(rule, name, a, b, c, one, other):
    text = part("a", "post", a) + part("b", "post", b) + part("slab", "slab", c) + FITTED
    small, large = (
        {f.subject for f in findings(rule, f'{text}[thresholds]\n{name} = "{gap / 10} mm"\n')}
        for gap in sorted((one, other))
    )
    assert small <= large


@given(st.floats(0, 12), st.floats(0, 12), SPOTS)
@settings(max_examples=40, deadline=None)
def test_a_wider_joint_gap_never_adds_a_finding(one, other, at):
    joint = '[[joint]]\nfrom = "a.top"\nto = "b.low"\nwith = ["nut-20"]\n'
    text = part("a", "post", [130, 130, 90]) + part("b", "post", at) + joint
    narrow, wide = (
        findings(joint_meet, f'{text}[thresholds]\njoint_gap = "{gap:.3f} mm"\n') for gap in sorted((one, other))
    )
    assert len(wide) <= len(narrow)


@given(SPOTS, SPOTS)
@settings(max_examples=60, deadline=None)
def test_what_a_fitting_finding_says_to_move_cures_it(a, c):
    text = part("a", "post", a) + use("a.top", "nut-20")
    for finding in findings(fitting_box, text + part("slab", "slab", c)):
        words = finding.fix.split()
        far, axis = float(words[words.index("mm") - 1]), words[words.index("along") + 1]
        moved = [x + far * (1 if axis[0] == "+" else -1) * (axis[1] == way) for x, way in zip(c, "xyz", strict=True)]
        moved = [round(x, 4) for x in moved]
        assert findings(fitting_box, text + part("slab", "slab", moved)) == []


@given(SPOTS)
@settings(max_examples=60, deadline=None)
def test_every_gap_is_found_by_one_check_of_boxes_at_most(c):
    text = part("a", "post", [130, 130, 90]) + use("a.top", "nut-20") + part("slab", "slab", c)
    touching, near = findings(fitting_box, text), findings(tool_room, text)
    assert not (touching and near)
    assert all(finding.found < 1e-3 for finding in touching)
    assert all(1e-3 - 1e-9 <= finding.found < 3e-3 for finding in near)


@pytest.mark.parametrize(("length_mm", "up", "down"), [(0.5, "0.5 mm", "0.5 mm"), (0.51, "0.6 mm", "0.5 mm")])
def test_what_must_be_enough_is_rounded_up_and_what_must_not_be_too_much_down(length_mm, up, down):
    assert (up_mm(length_mm / 1000), down_mm(length_mm / 1000)) == (up, down)


def test_a_part_of_two_boxes_is_stood_on_where_its_port_is():
    loop = build_of(HERE / "PORT-04" / "fail-own-tower.toml").loop
    (box,) = (box for _, box in stood_on(loop, "a.top"))
    assert [round(side * 1000) for side in box.size] == [30, 30, 20]
    assert len(things(loop)) == 2


def test_a_joint_stands_on_both_parts():
    loop = build_of(HERE / "PORT-04" / "pass-in-a-joint.toml").loop
    assert {id_ for id_, _ in stood_on(loop, "a.top")} == {"a", "b"}
    assert len(pieces(loop)) == 1


def test_an_arm_carries_what_is_beyond_it_up_to_the_next_elbow():
    loop = build(part("a", "post", [0, 0, 0]) + use("a.top", "elbow-turning", "nut-20", "elbow-turning", "nut-20")).loop
    (line,) = lines(loop)
    arm, alone = arm_of(line), arm_of(line, alone=True)
    assert [round(length * 1000) for length, _ in arm.bars] == [14, 20, 21]
    assert alone.bars == arm.bars[:1]
    assert [round(x * 1000, 3) for x in arm.pivot] == [5, 5, 20 + 21 - 8.5]


def test_a_line_without_an_elbow_has_no_arm():
    loop = build(part("a", "post", [0, 0, 0]) + use("a.top", "nut-20")).loop
    assert [arm_of(line) for line in lines(loop)] == [""]


@pytest.mark.parametrize("rule", [*GAPS, fitting_case, joint_meet, bridge_pitch, rotary_count, seat_width])
def test_a_build_with_nothing_screwed_in_is_silent(rule):
    assert list(rule.run(build(part("a", "post", [0, 0, 0])))) == []


@pytest.mark.parametrize(
    ("rule", "file", "severity"),
    [
        (collar_gap, "fail-collars-touch", Severity.BEFORE_POWER),
        (collar_gap, "fail-just-lifted", Severity.BEFORE_POWER),
        (collar_gap, "fail-one-extender", Severity.STOP),
        (collar_gap, "fail-tube", Severity.BEFORE_POWER),
        (collar_gap, "fail-hard-tube", Severity.STOP),
        (fitting_gap, "fail-touching", Severity.BEFORE_POWER),
        (fitting_gap, "fail-overlap", Severity.STOP),
        (fitting_box, "fail-touching", Severity.BEFORE_POWER),
        (fitting_box, "fail-overlap", Severity.STOP),
        (joint_meet, "fail-just-far", Severity.BEFORE_POWER),
        (joint_meet, "fail-far", Severity.STOP),
        (bridge_pitch, "fail-between-slots", Severity.NOTE),
        (bridge_pitch, "fail-sure", Severity.STOP),
        (tool_room, "fail-one-part", Severity.NOTE),
        (tool_room, "fail-box", Severity.BEFORE_POWER),
    ],
)
def test_what_touches_is_milder_than_what_overlaps(rule, file, severity):
    found = [r for r in rule.run(build_of(HERE / rule.CHECK.id / f"{file}.toml")) if isinstance(r, Finding)]
    assert {finding.check.severity for finding in found} == {severity}


def test_a_lifted_collar_is_compared_at_its_height():
    found = [f for f in collar_gap.run(build_of(HERE / "PORT-01" / "fail-one-extender.toml")) if isinstance(f, Finding)]
    assert [f.found for f in found] == [pytest.approx(-1e-3)]


def test_fans_of_another_radiator_move_with_it():
    (found,) = fitting_box.run(build_of(HERE / "PORT-04" / "fail-fans-of-another.toml"))
    assert found.fix.startswith('Move the whole stack ("rad" and "fans") 0.5 mm along +x')


@pytest.mark.parametrize(
    ("file", "moves"),
    [
        ("fail-between-two", ['Move "middle" 5 mm along -x,'] * 2),
        ("fail-last", ['Move "high" 2 mm along -x,']),
        ("fail-turned", ['Move "b" 20 mm along +z (at_mm is where the origin of its card comes to stand, turned),']),
    ],
)
def test_the_part_that_is_off_is_the_one_to_move(file, moves):
    found = list(joint_meet.run(build_of(HERE / "PORT-09" / f"{file}.toml")))
    assert [f.fix.partition(" or ")[0] for f in found] == moves
