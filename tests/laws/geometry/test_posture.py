"""Postures: the way up is one unit vector, and what is lifted is higher."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headrace.geometry.posture import POSTURES, UPRIGHT, Posture

ANGLE = st.floats(-math.pi, math.pi)
LEAN = st.floats(0.01, math.pi / 2 - 0.01)
POINT = st.tuples(*[st.floats(-1.0, 1.0)] * 3)


@given(ANGLE, ANGLE)
def test_up_is_a_unit_vector(front, right):
    assert math.hypot(*Posture.tilted(front, right).up) == pytest.approx(1.0)


@pytest.mark.parametrize("posture", POSTURES.values(), ids=lambda posture: posture.name)
def test_up_of_a_named_posture_is_one_axis(posture):
    assert sorted(map(abs, posture.up)) == [0.0, 0.0, 1.0]


def test_a_case_that_is_not_tilted_stands_upright():
    assert Posture.tilted(0.0, 0.0).up == UPRIGHT.up


@given(LEAN)
def test_a_lifted_front_raises_points_further_to_the_front(angle):
    tilted = Posture.tilted(angle, 0.0)
    assert tilted.height_m((0.3, 0.0, 0.0)) > tilted.height_m((0.1, 0.0, 0.0))
    assert tilted.height_m((0.0, 0.3, 0.0)) == tilted.height_m((0.0, 0.1, 0.0))


@given(LEAN)
def test_a_lifted_right_side_raises_points_further_to_the_right(angle):
    tilted = Posture.tilted(0.0, angle)
    assert tilted.height_m((0.0, 0.3, 0.0)) > tilted.height_m((0.0, 0.1, 0.0))
    assert tilted.height_m((0.3, 0.0, 0.0)) == tilted.height_m((0.1, 0.0, 0.0))


@pytest.mark.parametrize(
    ("front_deg", "right_deg", "name"),
    [
        (0, 90, "on its left side"),
        (0, -90, "on its right side"),
        (90, 0, "on its back"),
        (-90, 0, "on its front"),
        (180, 0, "upside down"),
    ],
)
def test_a_tilt_by_a_right_angle_is_a_named_posture(front_deg, right_deg, name):
    tilted = Posture.tilted(math.radians(front_deg), math.radians(right_deg))
    assert tilted.up == pytest.approx(POSTURES[name].up, abs=1e-12)


@given(ANGLE, ANGLE, POINT, POINT)
def test_height_is_a_length_along_up_and_no_more_than_the_distance(front, right, one, other):
    tilted = Posture.tilted(front, right)
    rise = tilted.height_m(one) - tilted.height_m(other)
    assert abs(rise) <= math.dist(one, other) + 1e-12
    both = tuple(a + b for a, b in zip(one, other, strict=True))
    assert tilted.height_m(both) == pytest.approx(tilted.height_m(one) + tilted.height_m(other), abs=1e-12)
