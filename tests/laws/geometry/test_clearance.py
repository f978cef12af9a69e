"""Clearance of two bodies: symmetric, the same wherever both stand, and as an independent computation has it."""

import math

import pytest
from checkers.clearance_checker import between_planes_m, bounds_m, closest, reach_m
from hypothesis import given, settings
from hypothesis import strategies as st

from headrace.geometry.clearance import clearance_m, overlap_m
from headrace.geometry.solid import Box, Capsule, Cylinder
from headrace.geometry.turn import AXES, TURNS, unit

EXACT_M, DEEP_M = 1e-7, 1e-5
ROUNDING_M = 1e-12
MM = st.integers(-300, 300).map(lambda n: n / 1000)
ANY = st.floats(-0.3, 0.3).map(lambda x: round(x, 7))
RADIUS = st.integers(1, 40).map(lambda n: n / 1000)
COORDINATE = st.one_of(MM, ANY)
POINT = st.tuples(COORDINATE, COORDINATE, COORDINATE)
SIZE = st.tuples(*[st.integers(1, 300).map(lambda n: n / 1000)] * 3)
LENGTH = st.integers(1, 300).map(lambda n: n / 1000)


def box_at(low, size):
    return Box(low, tuple(a + b for a, b in zip(low, size, strict=True)))


def bar(cls, start, axis, length, radius):
    return cls(start, tuple(s + length * u for s, u in zip(start, unit(axis), strict=True)), radius)


BOX = st.builds(box_at, POINT, SIZE)
LEANING = st.one_of(st.builds(cls, POINT, POINT, RADIUS) for cls in (Cylinder, Capsule))
LEANING = LEANING.filter(lambda bar: math.dist(bar.start, bar.end) > 1e-4)  # a bar without length has no way it lies
ALONG = st.builds(bar, st.sampled_from([Cylinder, Capsule]), POINT, st.sampled_from(AXES), LENGTH, RADIUS)
SOLID = st.one_of(BOX, ALONG, LEANING)
WAY = POINT.filter(lambda p: math.hypot(*p) > 0.01).map(lambda p: tuple(x / math.hypot(*p) for x in p))


def moved(body, by):
    if isinstance(body, Box):
        return body.moved(by)
    start, end = (tuple(a + b for a, b in zip(p, by, strict=True)) for p in (body.start, body.end))
    return type(body)(start, end, body.radius_m)


def turned(body, turn):
    if isinstance(body, Box):
        return turn.box(body)
    return type(body)(turn.point(body.start), turn.point(body.end), body.radius_m)


def slack(value):
    return EXACT_M if value > 0.0 else DEEP_M


@settings(max_examples=150, deadline=None)
@given(SOLID, SOLID)
def test_it_is_the_distance_an_independent_computation_finds(one, other):
    lower, upper = bounds_m(one, other)
    found = clearance_m(one, other)
    if lower > 0.0:
        assert lower - EXACT_M <= found <= upper + EXACT_M
        assert upper - lower < EXACT_M
    elif upper == 0.0:
        assert found <= EXACT_M


@settings(max_examples=60, deadline=None)
@given(SOLID, SOLID, st.lists(WAY, min_size=20, max_size=40))
def test_no_pair_of_planes_leaves_more_room(one, other, ways):
    found = clearance_m(one, other)
    assert max(between_planes_m(one, other, way) for way in ways) <= found + slack(found)


@settings(max_examples=60, deadline=None)
@given(SOLID, SOLID)
def test_it_is_symmetric(one, other):
    found = clearance_m(one, other)
    assert clearance_m(other, one) == pytest.approx(found, abs=slack(found))


@settings(max_examples=60, deadline=None)
@given(SOLID, SOLID, POINT)
def test_moving_both_changes_nothing(one, other, by):
    found = clearance_m(one, other)
    assert clearance_m(moved(one, by), moved(other, by)) == pytest.approx(found, abs=slack(found))


@settings(max_examples=60, deadline=None)
@given(SOLID, SOLID, st.sampled_from(TURNS))
def test_turning_both_changes_nothing(one, other, turn):
    found = clearance_m(one, other)
    assert clearance_m(turned(one, turn), turned(other, turn)) == pytest.approx(found, abs=slack(found))


@settings(max_examples=60, deadline=None)
@given(SOLID, SOLID, st.integers(1, 100).map(lambda n: n / 1000))
def test_moving_one_away_along_the_nearest_way_adds_what_it_is_moved(one, other, by):
    found = clearance_m(one, other)
    lower, upper, way = closest(one, other)
    if way is not None and lower > 1e-4 and upper - lower < 1e-8:
        further = moved(other, tuple(by * w for w in way))
        assert clearance_m(one, further) == pytest.approx(found + by, abs=EXACT_M)


@given(BOX, BOX, st.sampled_from(AXES), st.integers(1, 100).map(lambda n: n / 1000))
def test_moving_a_box_out_along_the_shortest_way_adds_what_it_is_moved(one, other, axis, by):
    found = clearance_m(one, other)
    if found < 0.0 and between_planes_m(one, other, unit(axis)) == pytest.approx(found, abs=ROUNDING_M):
        further = other.moved(tuple(by * w for w in unit(axis)))
        if found + by <= 0.0:
            assert clearance_m(one, further) == pytest.approx(found + by, abs=ROUNDING_M)
        assert clearance_m(one, further) >= found + by - ROUNDING_M


@settings(max_examples=60, deadline=None)
@given(SOLID, SOLID, WAY, st.integers(1, 100).map(lambda n: n / 1000))
def test_no_move_changes_it_by_more_than_the_move(one, other, way, by):
    found = clearance_m(one, other)
    other_found = clearance_m(one, moved(other, tuple(by * w for w in way)))
    assert abs(other_found - found) <= by + 2 * DEEP_M


@given(BOX, BOX)
def test_boxes_overlap_by_the_least_of_what_they_share_unless_one_spans_the_other(one, other):
    shared = overlap_m(one, other)
    assert (shared is not None) == (clearance_m(one, other) < 0.0)
    if shared is None:
        return
    spans = [
        min(b, d) - max(a, c) < min(b - a, d - c) - ROUNDING_M
        for a, b, c, d in zip(one.low, one.high, other.low, other.high, strict=True)
    ]
    if all(spans):
        assert clearance_m(one, other) == pytest.approx(-min(shared), abs=ROUNDING_M)
    else:
        assert clearance_m(one, other) <= -min(shared) + ROUNDING_M


@given(BOX, BOX)
def test_the_shortest_way_out_of_a_box_frees_it_and_no_shorter_one_does(one, other):
    deep = clearance_m(one, other)
    if deep > -1e-6:
        return
    ways = [tuple(-deep * u for u in unit(axis)) for axis in AXES]
    assert any(clearance_m(one, other.moved(way)) >= -ROUNDING_M for way in ways)
    shorter = [tuple(0.99 * w for w in way) for way in ways]
    assert all(clearance_m(one, other.moved(way)) < 0.0 for way in shorter)


@given(SOLID, WAY)
def test_no_point_of_a_body_lies_beyond_its_farthest(body, way):
    point = body.farthest(way)
    assert sum(p * w for p, w in zip(point, way, strict=True)) == pytest.approx(reach_m(body, way), abs=1e-12)


@given(SOLID)
def test_the_box_around_a_body_touches_it_on_all_sides(body):
    around = body.around()
    for i, name in enumerate("xyz"):
        assert around.high[i] == pytest.approx(reach_m(body, unit(f"+{name}")), abs=1e-9)
        assert around.low[i] == pytest.approx(-reach_m(body, unit(f"-{name}")), abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(BOX, POINT, RADIUS)
def test_a_bar_without_length_is_a_disc_or_a_ball_and_nothing_falls_over(box, point, radius):
    ball = Capsule(point, point, radius)
    disc = Cylinder(point, point, radius)
    nearest = math.dist(point, tuple(min(max(p, a), b) for p, a, b in zip(point, box.low, box.high, strict=True)))
    found = clearance_m(ball, box)
    if nearest > radius + EXACT_M:
        assert found == pytest.approx(nearest - radius, abs=EXACT_M)
    assert clearance_m(disc, box) >= found - DEEP_M
