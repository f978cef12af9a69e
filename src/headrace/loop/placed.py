"""
Where things are in the case: the boxes of parts, their ports, the fans of stacks, the inside of the case.

Answers   boxes, ports and port axes in the frame of the case, and how well each is known; None where nothing says it
Assumes   a part stands as its card was drawn unless `turned`; places and outlines that state no ± have the usual one
"""

from __future__ import annotations

import math

from headrace.geometry.path import Point
from headrace.geometry.solid import Box
from headrace.geometry.turn import Axis, unit
from headrace.loop.model import Loop, PlacedPart, PortId, Stack
from headrace.parts.card import Port
from headrace.parts.radiator import Radiator

_USUAL_SEAT_M = 0.019  # the flat around a G1/4 port, from memory of industrial port standards


def boxes_of(part: PlacedPart) -> tuple[Box, ...]:
    """The room a part takes, m; empty when its place or its outline is not known."""
    if part.at_m is None:
        return ()
    corners = ((box[:3], box[3:]) for box in part.card.outline_m)
    return tuple(part.turn.box(Box.between(one, other)).moved(part.at_m) for one, other in corners)


def why_no_boxes(part: PlacedPart) -> str:
    """What is missing for the room a part takes; empty when nothing is."""
    lacks = [] if part.at_m is not None else [f'part "{part.id}" does not say where it stands (at_mm)']
    if not part.card.outline_m:
        lacks.append(f'card "{part.card.id}" states no outline (outline_mm)')
    return " and ".join(lacks)


def port_point(part: PlacedPart, port: Port) -> Point | None:
    """The middle of a port, m; None when part or port do not say where they are."""
    return place_in(part, port.at_m)


def place_in(part: PlacedPart, at_m: Point | None) -> Point | None:
    """A point of a card, m, in the case; None when the point or the place of the part is not known."""
    if part.at_m is None or at_m is None:
        return None
    x, y, z = part.turn.point(at_m)
    return (part.at_m[0] + x, part.at_m[1] + y, part.at_m[2] + z)


def port_axis(part: PlacedPart, port: Port) -> Axis | None:
    """The way a port looks, out of the part; None when its card does not say."""
    return None if port.axis is None else part.turn.axis(port.axis)


def why_no_port(loop: Loop, port_id: PortId) -> str:
    """What is missing for place and axis of a port; empty when nothing is."""
    part, port = loop.port(port_id)
    lacks = [] if part.at_m is not None else [f'part "{part.id}" does not say where it stands (at_mm)']
    keys = [key for key, value in (("at_mm", port.at_m), ("axis", port.axis)) if value is None]
    if keys:
        lacks.append(f'card "{part.card.id}" does not say where port "{port.name}" is ({" and ".join(keys)})')
    return " and ".join(lacks)


def spread_m(loop: Loop, *parts: PlacedPart) -> float:
    """One standard uncertainty of a distance between these parts: their places and outlines, taken as independent."""
    usual_place, usual_outline = loop.thresholds("place_spread"), loop.thresholds("outline_spread")
    squares = 0.0
    for part in parts:
        place = usual_place if part.at_spread_m is None else float(part.at_spread_m)
        outline = usual_outline if part.card.outline_spread_m is None else float(part.card.outline_spread_m)
        squares += place * place + outline * outline
    return math.sqrt(squares)


def inside_of(loop: Loop) -> Box | None:
    """The inside of the case; None without a case."""
    return None if loop.case is None else Box((0.0, 0.0, 0.0), loop.case.inside_m)


def fan_boxes(loop: Loop, stack: Stack) -> tuple[tuple[Axis, Box], ...]:
    """
    The room the fans of a stack take on the faces it names (`fans_at`), with the face; empty when one is not known.

    Fans stand over the core between the end tanks: as long as all of them side by side, in the middle of the longest
    edge, moved off the ports of that face as far as the outline allows; as deep as a fan is thick.
    """
    fan = stack.fan
    if fan is None:
        return ()
    found = []
    for face in stack.fans_at:
        part = loop.part(stack.radiator if face == stack.fans_at[0] else stack.radiators[-1])
        boxes = boxes_of(part)
        if not boxes:
            return ()
        along = "xyz".index(face[1])
        low, high = list(boxes[0].low), list(boxes[0].high)
        edge = max((i for i in range(3) if i != along), key=lambda i: high[i] - low[i])
        low[edge], high[edge] = _over_core(part, face, (low[edge], high[edge]), edge, _fans_length_m(stack))
        if unit(face)[along] > 0.0:
            low[along], high[along] = high[along], high[along] + float(fan.thickness_m)
        else:
            low[along], high[along] = low[along] - float(fan.thickness_m), low[along]
        found.append((face, Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))))
    return tuple(found)


def _fans_length_m(stack: Stack) -> float | None:
    """How long the fans of one face are side by side along the radiator; None where their number is not known."""
    nominal = nominal_length_m(stack.card)
    if nominal is not None:
        return nominal[1]
    places = stack.fans_abreast
    return None if places is None or stack.fan is None else places * float(stack.fan.size_m)


def _over_core(
    part: PlacedPart, face: Axis, span: tuple[float, float], edge: int, length_m: float | None
) -> tuple[float, float]:
    """Where the fans begin and end along the long edge of a radiator, m."""
    low, high = span
    if length_m is None or length_m >= high - low:
        return span
    start = (low + high - length_m) / 2
    for port in part.card.port:
        point = port_point(part, port)
        if point is None or port_axis(part, port) != face:
            continue
        clear = float(port.seat_m or _USUAL_SEAT_M) / 2
        if point[edge] >= (low + high) / 2:
            start = max(low, min(start, point[edge] - clear - length_m))
        else:
            start = min(high - length_m, max(start, point[edge] + clear))
    return start, start + length_m


def nominal_length_m(card: Radiator) -> tuple[float, float] | None:
    """
    The length of a radiator's outline and that of the fans along it, m; None where its card does not say both.

    As many rows of fans stand side by side as the second edge of the outline takes, at least one.
    """
    if not card.outline_m or card.fan_size_m is None or card.fan_places is None:
        return None
    corners = [corner for box in card.outline_m for corner in (box[:3], box[3:])]
    edges = sorted(max(along) - min(along) for along in zip(*corners, strict=True))
    size_m = float(card.fan_size_m)
    rows = max(1, math.floor(edges[1] / size_m + 1e-6))
    return edges[2], math.ceil(card.fan_places / rows) * size_m
