"""WATER-13: no reservoir or fill port lies over a power supply or a board.

What is spilt at filling, or weeps from a tank, falls on what is below, where it finds mains or a live board. Upright,
outline over outline; a board without an outline is not looked at, a power supply without one is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.heights import ROUNDING_M
from headrace.checks.wetted import owner
from headrace.errors import Place
from headrace.geometry.path import Point
from headrace.geometry.solid import Box
from headrace.loop.model import Loop, PlacedPart
from headrace.loop.placed import boxes_of, port_point, why_no_boxes, why_no_port

CHECK = Check("WATER-13", "Water over power", Severity.BEFORE_HANDOVER, Group.WATER, what="below it")
_BELOW = ("power-supply", "board")


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every power supply and board under every reservoir and fill port."""
    loop = build.loop
    tanks = [part for part in loop.parts if part.card.passage == "hub"]
    fills = [use.port for use in loop.port_uses if use.use == "fill"]
    for part in loop.parts:
        kind = getattr(part.card, "kind", "")
        if kind not in _BELOW or not (tanks or fills):
            continue
        boxes = boxes_of(part)
        if not boxes:
            if kind == "power-supply":
                yield CHECK.skipped(part.place, part_label(part), why_no_boxes(part))
            continue
        for tank in tanks:
            yield from _tank(part, boxes, tank)
        for port in fills:
            yield from _fill(loop, part, boxes, port)


def _tank(part: PlacedPart, boxes: tuple[Box, ...], tank: PlacedPart) -> Iterator[Finding | Skipped]:
    own = boxes_of(tank)
    if not own:
        yield CHECK.skipped(tank.place, part_label(tank), why_no_boxes(tank))
    elif any(_over(upper, lower) for upper in own for lower in boxes):
        yield _finding(tank.place, part_label(tank), part)


def _fill(loop: Loop, part: PlacedPart, boxes: tuple[Box, ...], port_id: str) -> Iterator[Finding | Skipped]:
    holder, port = loop.port(port_id)
    point = port_point(holder, port)
    if point is None:
        if holder.card.passage != "hub":
            yield CHECK.skipped(holder.place, f'fill port "{port_id}"', why_no_port(loop, port_id))
    elif any(_above(point, box) for box in boxes) and not _said(loop, port_id, boxes):
        yield _finding(holder.place, f'fill port "{port_id}"', part)


def _said(loop: Loop, port_id: str, boxes: tuple[Box, ...]) -> bool:
    """Whether the tank of a fill port lies over the same boxes and is named already."""
    tank = loop.part(owner(port_id))
    return tank.card.passage == "hub" and any(_over(upper, lower) for upper in boxes_of(tank) for lower in boxes)


def _over(upper: Box, lower: Box) -> bool:
    """Whether a box overlaps another seen from above and reaches higher."""
    across = all(upper.low[i] < lower.high[i] and lower.low[i] < upper.high[i] for i in (0, 1))
    return across and upper.high[2] > lower.high[2] + ROUNDING_M


def _above(point: Point, box: Box) -> bool:
    return all(box.low[i] <= point[i] <= box.high[i] for i in (0, 1)) and point[2] > box.high[2] + ROUNDING_M


def _finding(place: Place, what: str, part: PlacedPart) -> Finding:
    """A note over a board, for which a cover will do; over mains it is cured."""
    mains = getattr(part.card, "kind", "") == "power-supply"
    check = CHECK if mains else CHECK.graded(Severity.NOTE)
    kills = ", and mains can kill" if mains else ""
    fix = (
        f"Move it beside {part_label(part)} if there is room. Else cover that while filling, keep a tissue under every "
        f"joint, and fill with its power unplugged at the wall: used coolant conducts{kills}."
    )
    return check.finding(place, what, found=f"stands over {part_label(part)}", limit="beside it", fix=fix)
