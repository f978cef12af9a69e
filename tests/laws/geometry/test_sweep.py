"""Arms that turn and boxes that come near, against what plain geometry says of them."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from headrace.geometry.clearance import clearance_m
from headrace.geometry.near import pairs_within, shift_apart
from headrace.geometry.solid import Box, Cylinder
from headrace.geometry.sweep import QUARTERS, STEPS, Arm, _skin, clear_ways
from headrace.geometry.turn import AXES, unit

MM = 1e-3
RIGHT = math.pi / 2
coordinate = st.integers(-60, 60).map(lambda n: n * MM)
size = st.integers(1, 40).map(lambda n: n * MM)


@st.composite
def boxes(draw):
    low = tuple(draw(coordinate) for _ in range(3))
    return Box(low, tuple(a + draw(size) for a in low))


@st.composite
def arms(draw):
    bars = draw(st.lists(st.tuples(size, st.integers(2, 12).map(lambda n: n * MM)), min_size=1, max_size=3))
    turn = draw(st.sampled_from([math.radians(45), math.radians(60), RIGHT]))
    return Arm(tuple(draw(coordinate) for _ in range(3)), draw(st.sampled_from(AXES)), turn, tuple(bars))


@given(arms())
def test_every_point_of_the_skin_lies_within_reach_and_the_box_around(arm):
    points = _skin(arm, range(STEPS))
    assert np.linalg.norm(points - np.array(arm.pivot), axis=-1).max() <= arm.reach_m + 1e-9
    around = arm.around()
    assert (points >= np.array(around.low) - 1e-9).all()
    assert (points <= np.array(around.high) + 1e-9).all()


@given(arms())
def test_the_tip_stands_at_the_angle_of_the_elbow(arm):
    tips = _skin(arm, range(STEPS))[:, -1] - np.array(arm.pivot)  # the last point is the middle of the far end
    length = sum(bar for bar, _ in arm.bars)
    assert np.linalg.norm(tips, axis=-1) == pytest.approx(length)
    assert tips @ np.array(unit(arm.axis)) == pytest.approx(length * math.cos(arm.turn_rad), abs=1e-9)


@pytest.mark.parametrize("axis", AXES)
def test_the_four_right_angles_look_along_the_other_four_axes(axis):
    arm = Arm((0.0, 0.0, 0.0), axis, RIGHT, ((10 * MM, 5 * MM),))
    tips = {tuple(np.round(tip / (10 * MM), 9) + 0.0) for tip in _skin(arm, QUARTERS)[:, -1]}
    assert tips == {unit(other) for other in AXES if other[1] != axis[1]}


@given(arms(), boxes())
@settings(max_examples=60)
def test_a_single_bar_at_right_angles_is_judged_as_its_exact_clearance_says(arm, box):
    arm = Arm(arm.pivot, arm.axis, RIGHT, arm.bars[:1])
    radius, gap = arm.bars[0][1], 1 * MM
    for way in QUARTERS:
        tip = _skin(arm, [way])[0, -1]
        tip = tuple(float(t) if abs(t - p) > 1e-9 else p for t, p in zip(tip, arm.pivot, strict=True))
        exact = clearance_m(Cylinder(arm.pivot, tip, radius), box)
        free = bool(clear_ways(arm, [box], gap, None, [way])[0])
        if exact >= gap:
            assert free  # points lie on the skin: they are never nearer than the bar
        elif exact < gap - 1.6 * MM and min(box.size) > 4 * MM:  # the widest hole between points, and no thin plate
            assert not free or exact < -0.9 * min(*box.size, radius)  # a box that lies wholly within the bar


@given(arms(), boxes(), boxes())
@settings(max_examples=60)
def test_another_body_and_a_wider_gap_never_free_a_way(arm, one, other):
    few = clear_ways(arm, [one], 1 * MM, None)
    assert not (clear_ways(arm, [one, other], 1 * MM, None) & ~few).any()
    assert not (clear_ways(arm, [one], 2 * MM, None) & ~few).any()
    assert not (clear_ways(arm, [one], 1 * MM, arm.around().moved((1 * MM, 0, 0))) & ~few).any()


@given(arms(), boxes(), st.tuples(coordinate, coordinate, coordinate))
@settings(max_examples=60)
def test_moving_everything_changes_nothing(arm, box, by):
    moved = Arm(tuple(p + b for p, b in zip(arm.pivot, by, strict=True)), arm.axis, arm.turn_rad, arm.bars)
    gap = 1.037 * MM  # no whole number: rounding does not decide
    assert (clear_ways(arm, [box], gap, None) == clear_ways(moved, [box.moved(by)], gap, None)).all()


@given(st.lists(boxes(), max_size=6), st.lists(boxes(), max_size=6), st.integers(0, 20).map(lambda n: n * MM))
def test_pairs_that_are_left_out_stand_at_least_the_reach_apart(ones, others, reach):
    near = set(pairs_within(ones, others, reach))
    for i, one in enumerate(ones):
        for j, other in enumerate(others):
            if clearance_m(one, other) < reach - 1e-9:
                assert (i, j) in near


@given(boxes(), boxes(), st.integers(0, 10).map(lambda n: n * MM))
def test_a_shift_leaves_the_gap_and_is_the_least_of_its_kind(moved, still, gap):
    axis, far = shift_apart(moved, still, gap)
    by = tuple(far * way for way in unit(axis))
    if far >= 0.0:
        assert clearance_m(moved.moved(by), still) >= gap - 1e-9
    if clearance_m(moved, still) < 0.0:
        assert far == pytest.approx(gap - clearance_m(moved, still), abs=1e-9)
