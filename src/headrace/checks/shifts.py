"""
Which shift parts two bodies that stand in one another's way.

Answers   the smallest shift of one of them that is free of walls and other bodies, and the next along another axis
Assumes   one body moves, along one axis; what it meets already counts not against a shift. Radiators and fans of a
          stack are screwed together and move as one
"""

from __future__ import annotations

from dataclasses import dataclass

from headrace.checks.bodies import ROUNDING_M, Body, moved_together, way_text, whole
from headrace.geometry.clearance import overlap_m
from headrace.geometry.path import Point
from headrace.geometry.solid import Box
from headrace.geometry.turn import AXES, Axis, unit
from headrace.loop.model import Loop
from headrace.loop.placed import inside_of
from headrace.units import show


@dataclass(frozen=True)
class Shift:
    """One body moved one way, and whether it is free there."""

    body: Body
    by_m: float
    way: Axis
    free: bool

    def text(self, loop: Loop) -> str:
        """It as part of a sentence."""
        what = moved_together(self.body.together or (self.body.id,))
        return f"shift {what} by {show(self.by_m, 'length_m')} {way_text(loop, self.way)}"


def shifts(one: Body, other: Body, found: tuple[Body, ...], inside: Box | None) -> list[Shift]:
    """All twelve shifts that part two bodies: free ones first, then the smallest."""
    each = []
    for body, still in ((other, one), (one, other)):
        for way in AXES:
            by_m = _needed_m(still, body, way)
            each.append(Shift(body, by_m, way, _free(body, by_m, way, found, inside)))
    return sorted(each, key=lambda shift: (not shift.free, shift.by_m))


def cure_text(loop: Loop, one: Body, other: Body, found: tuple[Body, ...]) -> str:
    """What to do about two bodies in one another's way, in a sentence or two."""
    first, second = whole(loop, one, found), whole(loop, other, found)
    if one.id in second.together:  # of one stack
        first, second = one, other
    best, *rest = shifts(first, second, _grouped(found, first, second), inside_of(loop))
    said = best.text(loop)
    if not best.free:
        return f"Take a smaller part: there is no free room for a shift. To part them, {said}."
    next_best = next((shift for shift in rest if shift.free and shift.way[1] != best.way[1]), None)
    more = "" if next_best is None else f", or {next_best.text(loop)}"
    return f"{said[0].upper()}{said[1:]}{more}, or take a smaller part."


def _grouped(found: tuple[Body, ...], *groups: Body) -> tuple[Body, ...]:
    """All bodies, with groups in place of their members."""
    inner = {id_ for group in groups for id_ in (group.id, *group.together)}
    return (*(body for body in found if body.id not in inner), *groups)


def _needed_m(still: Body, moving: Body, way: Axis) -> float:
    """How far one body must move one way to be clear of another that stands still."""
    along = "xyz".index(way[1])
    meeting = [(a, b) for a in still.boxes for b in moving.boxes if _across(a, b, along)]
    if way[0] == "+":
        return max(a.high[along] - b.low[along] for a, b in meeting)
    return max(b.high[along] - a.low[along] for a, b in meeting)


def _across(one: Box, other: Box, along: int) -> bool:
    """Whether two boxes would meet if one slid far along an axis."""
    across = (i for i in range(3) if i != along)
    return all(min(one.high[i], other.high[i]) - max(one.low[i], other.low[i]) > ROUNDING_M for i in across)


def _free(body: Body, by_m: float, way: Axis, found: tuple[Body, ...], inside: Box | None) -> bool:
    """Whether a body moved so stays in the case it is in, and meets nothing it does not meet already."""
    x, y, z = (by_m * u for u in unit(way))
    by: Point = (x, y, z)
    boxes = [box.moved(by) for box in body.boxes]
    if inside is not None and body.meets(inside) and not all(_within(box, inside) for box in boxes):
        return False
    there = body.around.moved(by)
    near = [other for other in found if other is not body and overlap_m(other.around, there) is not None]
    others = [other for other in near if not any(other.meets(box) for box in body.boxes)]
    return not any(overlap_m(box, theirs) for box in boxes for other in others for theirs in other.boxes)


def _within(box: Box, inside: Box) -> bool:
    low = all(a >= b - ROUNDING_M for a, b in zip(box.low, inside.low, strict=True))
    return low and all(a <= b + ROUNDING_M for a, b in zip(box.high, inside.high, strict=True))
