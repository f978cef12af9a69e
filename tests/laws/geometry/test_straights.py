"""What stays straight of a path, and the largest radius that fits: plane geometry, against what the rest of it says."""

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from headrace.geometry.path import find_bends, largest_radius_m, path_length_m, straights_m

FAR_M = st.integers(-400, 400).map(lambda mm: mm / 1000)
POINTS = st.lists(st.tuples(FAR_M, FAR_M, FAR_M), min_size=2, max_size=6).map(tuple)


def distinct(points):
    return all(math.dist(a, b) > 1e-3 for a, b in pairwise(points))


def turns_back(points):
    return any(bend.bend_rad > 3.0 for bend in find_bends(points, 0.0))


@given(POINTS, st.floats(0.0, 0.1))
def test_straights_and_arcs_are_the_whole_length(points, radius_m):
    assume(distinct(points) and not turns_back(points))
    arcs = sum(bend.radius_m * bend.bend_rad for bend in find_bends(points, radius_m))
    assert sum(straights_m(points, radius_m)) + arcs == pytest.approx(path_length_m(points, radius_m), abs=1e-9)


@given(POINTS)
def test_at_the_largest_radius_the_shortest_straight_is_nothing(points):
    assume(distinct(points) and not turns_back(points) and find_bends(points, 0.0))
    radius_m = largest_radius_m(points)
    assert min(straights_m(points, radius_m)) == pytest.approx(0.0, abs=1e-9)
    assert min(straights_m(points, 0.9 * radius_m)) >= -1e-12


@given(POINTS, st.floats(0.0, 0.1))
def test_a_path_read_backwards_has_the_same_straights(points, radius_m):
    assume(distinct(points) and not turns_back(points))
    back = straights_m(points[::-1], radius_m)[::-1]
    assert back == pytest.approx(straights_m(points, radius_m), abs=1e-9)


@given(POINTS, st.floats(0.0, 0.1), st.floats(0.5, 3.0))
def test_a_path_twice_as_large_has_straights_twice_as_long(points, radius_m, scale):
    assume(distinct(points) and not turns_back(points))
    grown = tuple(tuple(scale * x for x in point) for point in points)
    wanted = [scale * straight for straight in straights_m(points, radius_m)]
    assert straights_m(grown, scale * radius_m) == pytest.approx(wanted, rel=1e-9, abs=1e-9)


def test_a_straight_path_has_one_straight_and_any_radius():
    path = ((0.0, 0.0, 0.0), (0.0, 0.1, 0.0), (0.0, 0.1, 0.0), (0.0, 0.3, 0.0))
    assert straights_m(path, 0.05) == pytest.approx((0.3,))
    assert largest_radius_m(path) == math.inf


def test_a_corner_of_90_degrees_takes_its_radius_from_both_legs():
    path = ((0.0, 0.0, 0.0), (0.0, 0.1, 0.0), (0.08, 0.1, 0.0))
    assert straights_m(path, 0.038) == pytest.approx((0.062, 0.042))
    assert largest_radius_m(path) == pytest.approx(0.08)


def test_a_path_that_turns_back_on_itself_takes_no_radius():
    assert largest_radius_m(((0.0, 0.0, 0.0), (0.0, 0.1, 0.0), (0.0, 0.0, 0.0))) == pytest.approx(0.0, abs=1e-12)


def test_one_point_is_no_path():
    assert straights_m(((0.0, 0.0, 0.0),), 0.05) == ()
    assert largest_radius_m(()) == math.inf
