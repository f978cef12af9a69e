"""The 24 turns: rotations of space, all of them, and nothing mirrored."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headrace.geometry.solid import Box
from headrace.geometry.turn import AXES, STRAIGHT, TURNS, Turn, axis_of, cross, opposite, unit

NUMBER = st.floats(-1.0, 1.0).map(lambda x: round(x, 6))
POINT = st.tuples(NUMBER, NUMBER, NUMBER)
TURN = st.sampled_from(TURNS)
BOX = st.builds(Box.between, POINT, POINT)


def columns(turn):
    return tuple(turn.point(unit(axis)) for axis in ("+x", "+y", "+z"))


def dot(one, other):
    return sum(a * b for a, b in zip(one, other, strict=True))


def back(turn):
    """The turn that undoes another: where x and z of the case are on the card."""
    rows = list(zip(*columns(turn), strict=True))
    return Turn(axis_of(rows[0]), axis_of(rows[2]))


def test_there_are_24_and_no_two_are_the_same():
    assert len(TURNS) == 24
    assert len({columns(turn) for turn in TURNS}) == 24


@pytest.mark.parametrize("turn", TURNS, ids=str)
def test_every_turn_is_a_rotation_and_mirrors_nothing(turn):
    x, y, z = columns(turn)
    assert [dot(x, x), dot(y, y), dot(z, z)] == [1.0, 1.0, 1.0]
    assert [dot(x, y), dot(y, z), dot(z, x)] == [0.0, 0.0, 0.0]
    assert dot(cross(x, y), z) == 1.0


@pytest.mark.parametrize("turn", TURNS, ids=str)
def test_x_and_z_look_where_they_are_said_to(turn):
    assert turn.axis("+x") == turn.x
    assert turn.axis("+z") == turn.z


@pytest.mark.parametrize("axis", AXES)
def test_an_axis_and_its_opposite(axis):
    assert axis_of(unit(axis)) == axis
    assert opposite(opposite(axis)) == axis
    assert dot(unit(axis), unit(opposite(axis))) == -1.0


@pytest.mark.parametrize("z", ["+x", "-x"])
def test_x_and_z_on_one_line_are_refused(z):
    with pytest.raises(ValueError, match="cannot both"):
        Turn("+x", z)


@given(TURN, BOX)
def test_a_box_turned_and_turned_back_is_the_same(turn, box):
    assert back(turn).box(turn.box(box)) == box
    assert back(back(turn)) == turn


@given(TURN, TURN, POINT)
def test_two_turns_after_one_another_are_one_of_the_24(one, other, point):
    both = Turn(other.axis(one.x), other.axis(one.z))
    assert other.point(one.point(point)) == both.point(point)


@given(TURN, BOX)
def test_a_turned_box_has_the_same_edges_and_room(turn, box):
    turned = turn.box(box)
    assert sorted(turned.size) == sorted(box.size)
    assert all(a <= b for a, b in zip(turned.low, turned.high, strict=True))


@given(TURN, POINT, POINT)
def test_distances_and_right_hands_are_kept(turn, one, other):
    assert math.dist(turn.point(one), turn.point(other)) == pytest.approx(math.dist(one, other))
    assert turn.point(cross(one, other)) == pytest.approx(cross(turn.point(one), turn.point(other)), abs=1e-12)


@given(TURN, st.sampled_from(AXES))
def test_axes_turn_with_the_card(turn, axis):
    assert turn.axis(opposite(axis)) == opposite(turn.axis(axis))
    assert turn.point(unit(axis)) == unit(turn.axis(axis))


@given(BOX)
def test_straight_leaves_all_as_it_is(box):
    assert STRAIGHT.box(box) == box
