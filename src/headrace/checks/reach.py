"""
What stands before a port, along the way it looks.

Answers   how far the way before a port is free, what ends it, and what is not known about it
Assumes   the way is a straight square bar; the port's own part is not in its way, boards are behind; a wall ends the
          way unless it opens
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from headrace.geometry.path import Point
from headrace.geometry.solid import Box
from headrace.geometry.turn import Axis, unit
from headrace.loop.model import Loop, PlacedPart, PortId
from headrace.loop.placed import boxes_of, fan_boxes, inside_of, port_axis, port_point, why_no_boxes

_WALLS: dict[str, str] = {"+x": "front", "-x": "rear", "+y": "right", "-y": "left", "+z": "top", "-z": "bottom"}
_FLAT = ("board", "fan-hub")  # lie on the tray or hang on a cable


@dataclass(frozen=True)
class Reach:
    """The free way before a port; `what` ends it: a part, the fans on a radiator (`part`), or a wall (`part` None)."""

    free_m: float
    part: PlacedPart | None
    what: str
    wall: str
    unsure_m: float  # distance of a wall of which nobody says whether it opens, inf without one
    unplaced: str  # what is missing for parts that may stand in the way
    case: str

    def lack(self, need_m: float) -> str:
        """What is missing to say that `need_m` is free; empty when nothing is."""
        if self.unsure_m < need_m:
            return f'card "{self.case}" does not say which walls open (opens), the {self.wall} is one in question'
        return self.unplaced


def reach_of(loop: Loop, port_id: PortId, width_m: float) -> Reach | None:
    """The free way before a port; None when its place or axis is not known."""
    part, port = loop.port(port_id)
    point, axis = port_point(part, port), port_axis(part, port)
    if point is None or axis is None:
        return None
    bodies = [(f'"{other.id}"', other, box) for other in loop.parts if other is not part for box in boxes_of(other)]
    for stack in loop.stacks:
        held = loop.part(stack.radiator)
        bodies += [(f'the fans of stack "{stack.id}"', held, box) for _, box in fan_boxes(loop, stack)]
    ahead = [
        (gap, what, other) for what, other, box in bodies if (gap := _gap_m(point, axis, width_m, box)) is not None
    ]
    free, first, ends = min(ahead, key=lambda item: item[0], default=(math.inf, "", None))
    wall_m, opens = _wall(loop, point, axis)
    if opens is False and wall_m < free:
        free, first, ends = wall_m, f"the {_WALLS[axis]} of the case", None
    dark = next((other for other in loop.parts if _unknown(other)), None)
    missing = "" if dark is None else why_no_boxes(dark)
    unsure = wall_m if opens is None else math.inf
    return Reach(free, ends, first, _WALLS[axis], unsure, missing, "" if loop.case is None else loop.case.id)


def _gap_m(point: Point, axis: Axis, width_m: float, box: Box) -> float | None:
    """Distance from a port to a box before it; None when the box is beside or behind."""
    along, way = "xyz".index(axis[1]), unit(axis)
    half = width_m / 2.0
    for i in range(3):
        if i != along and not (box.low[i] < point[i] + half and point[i] - half < box.high[i]):
            return None
    near = box.low[along] - point[along] if way[along] > 0.0 else point[along] - box.high[along]
    far = box.high[along] - point[along] if way[along] > 0.0 else point[along] - box.low[along]
    return max(near, 0.0) if far > 0.0 else None


def _wall(loop: Loop, point: Point, axis: Axis) -> tuple[float, bool | None]:
    """Distance to the wall a port looks at, and whether it opens (None: not said); inf outside or without a case."""
    inside, case = inside_of(loop), loop.case
    if inside is None or case is None:
        return math.inf, False
    if any(not low <= p <= high for low, p, high in zip(inside.low, point, inside.high, strict=True)):
        return math.inf, False
    gap = _gap_to(inside, point, axis)
    return gap, None if case.opens is None else _WALLS[axis] in case.opens


def _gap_to(inside: Box, point: Point, axis: Axis) -> float:
    along = "xyz".index(axis[1])
    return inside.high[along] - point[along] if axis[0] == "+" else point[along] - inside.low[along]


def _unknown(part: PlacedPart) -> bool:
    """Whether a part may stand anywhere."""
    return getattr(part.card, "kind", "") not in _FLAT and not boxes_of(part)
