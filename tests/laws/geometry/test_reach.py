"""From a point to a box: both ways agree on the axes, and a fall ends where the box begins."""

import math

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from headrace.geometry.clearance import clearance_m
from headrace.geometry.reach import along_axes_m, find_fall_m, line_gap_m, straight_m
from headrace.geometry.solid import Box, Capsule

NUMBERS = st.floats(-2.0, 2.0)
POINTS = st.tuples(NUMBERS, NUMBERS, NUMBERS)
BOXES = st.builds(Box.between, POINTS, POINTS)


@given(POINTS, BOXES)
def test_the_straight_way_is_the_shortest_and_the_axes_cost_at_most_the_root_of_three(point, box):
    straight, along = straight_m(point, box), along_axes_m(point, box)
    assert straight <= along + 1e-12
    assert along <= math.sqrt(3.0) * straight + 1e-12


@given(POINTS, BOXES)
def test_the_straight_way_leads_to_the_nearest_point(point, box):
    nearest = tuple(min(max(x, low), high) for x, low, high in zip(point, box.low, box.high, strict=True))
    assert straight_m(point, box) == pytest.approx(math.dist(point, nearest))


@given(BOXES, st.tuples(*[st.floats(0.0, 1.0)] * 3))
def test_inside_a_box_there_is_no_way_to_go(box, shares):
    point = tuple(low + s * (high - low) for s, low, high in zip(shares, box.low, box.high, strict=True))
    assert along_axes_m(point, box) == pytest.approx(0.0, abs=1e-12)


@given(POINTS, BOXES, st.tuples(*[st.floats(-1.0, 1.0)] * 3).filter(lambda w: math.hypot(*w) > 0.1))
def test_a_fall_ends_on_the_box_and_never_sooner_than_the_straight_way(point, box, way):
    unit = tuple(w / math.hypot(*way) for w in way)
    fall = find_fall_m(point, unit, box)
    if fall is not None:
        end = tuple(x + fall * w for x, w in zip(point, unit, strict=True))
        assert straight_m(end, box) == pytest.approx(0.0, abs=1e-9)
        assert fall >= straight_m(point, box) - 1e-9


@given(st.tuples(*[st.floats(0.01, 0.99)] * 3), st.floats(0.0, 5.0))
def test_what_is_straight_above_a_box_falls_on_it(shares, above):
    box = Box((0.0, 0.0, 0.0), (1.0, 1.0, 1.0))
    assert find_fall_m((shares[0], shares[1], 1.0 + above), (0.0, 0.0, -1.0), box) == pytest.approx(above)
    assert find_fall_m((shares[0], shares[1], 1.0 + above), (0.0, 0.0, 1.0), box) is None
    assert find_fall_m((1.0 + shares[0], shares[1], 2.0), (0.0, 0.0, -1.0), box) is None


@settings(max_examples=60)
@given(POINTS, POINTS, BOXES)
def test_the_gap_of_a_line_is_that_of_a_thin_bar(start, end, box):
    radius_m = 1e-6
    gap = line_gap_m(start, end, box)
    if gap > 1e-3 and math.dist(start, end) > 1e-3:
        assert gap - radius_m == pytest.approx(clearance_m(Capsule(start, end, radius_m), box), abs=2e-6)
    assert gap <= min(straight_m(start, box), straight_m(end, box)) + 1e-6


@settings(max_examples=60)
@given(POINTS, NUMBERS, st.integers(0, 2), BOXES)
def test_a_line_along_an_axis_has_the_gap_of_one_that_hardly_leaves_it(start, by, along, box):
    end = tuple(x + by * (i == along) for i, x in enumerate(start))
    beside = tuple(x + 1e-7 for x in end)
    assert line_gap_m(start, end, box) == pytest.approx(line_gap_m(start, beside, box), abs=1e-6)
