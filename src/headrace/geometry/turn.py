"""
The 24 ways a part can stand in a case: which way its card's x and z look.

Answers   where a point, an axis or a box of a card comes to stand
Assumes   quarter turns only, in one right-handed frame; a mirrored part does not exist
Source    y = z x x, the right-hand rule
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from headrace.geometry.path import Point
from headrace.geometry.solid import Box

Axis: TypeAlias = Literal["+x", "-x", "+y", "-y", "+z", "-z"]
AXES: tuple[Axis, ...] = ("+x", "-x", "+y", "-y", "+z", "-z")
_AT = {"x": 0, "y": 1, "z": 2}


def unit(axis: Axis) -> Point:
    """The direction of an axis as a unit vector."""
    sign = 1.0 if axis[0] == "+" else -1.0
    along = _AT[axis[1]]
    return (sign * (along == 0), sign * (along == 1), sign * (along == 2))


def axis_of(vector: Point) -> Axis:
    """The axis a vector looks along; the longest of its three parts decides."""
    along = max(range(3), key=lambda i: abs(vector[i]))
    return AXES[2 * along + (vector[along] < 0.0)]


def opposite(axis: Axis) -> Axis:
    """The axis that looks the other way."""
    return AXES[AXES.index(axis) ^ 1]


def cross(one: Point, other: Point) -> Point:
    """The vector product one x other."""
    (a, b, c), (d, e, f) = one, other
    return (b * f - c * e, c * d - a * f, a * e - b * d)


@dataclass(frozen=True)
class Turn:
    """How a part stands: the ways its card's +x and +z look in the case. Raises ValueError when they share a line."""

    x: Axis = "+x"
    z: Axis = "+z"

    def __post_init__(self) -> None:
        if self.x[1] == self.z[1]:
            raise ValueError(f"x and z of a part cannot both look along {self.x[1]}")

    def point(self, card: Point) -> Point:
        """A point of the card, m from its origin, in the directions of the case."""
        ex, ez = unit(self.x), unit(self.z)
        ey = cross(ez, ex)
        x, y, z = card
        return (
            x * ex[0] + y * ey[0] + z * ez[0],
            x * ex[1] + y * ey[1] + z * ez[1],
            x * ex[2] + y * ey[2] + z * ez[2],
        )

    def axis(self, card: Axis) -> Axis:
        """An axis of the card in the case."""
        return axis_of(self.point(unit(card)))

    def box(self, card: Box) -> Box:
        """A box of the card in the directions of the case."""
        return Box.between(self.point(card.low), self.point(card.high))


STRAIGHT = Turn()
TURNS: tuple[Turn, ...] = tuple(Turn(x, z) for x in AXES for z in AXES if x[1] != z[1])
