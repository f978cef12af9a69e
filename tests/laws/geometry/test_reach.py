"""From a point to a box: both ways agree on the axes, and a fall ends where the box begins."""

import math

import hypothesis.strategies as st
import pytest
from hypothesis import given

from headrace.geometry.reach import along_axes_m, find_fall_m, straight_m
from headrace.geometry.solid import Box

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
