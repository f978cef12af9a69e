"""
Taking parts out of a case: what comes out as one piece, what is undone for it, and what lies across its way.

Answers   the groups of bolted parts, the runs and joints that leave them, and the runs that cross their way out
Assumes   a part comes straight out through an open side, the one with the fewest runs across; tubes do not give way
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import TypeAlias

from headrace.checks.wetted import lines, owner
from headrace.geometry.clearance import overlap_m
from headrace.geometry.path import Point
from headrace.geometry.reach import line_gap_m
from headrace.geometry.solid import Box, Capsule
from headrace.geometry.turn import Axis, unit
from headrace.loop.model import Joint, Loop, PlacedPart, Run
from headrace.loop.placed import boxes_of, inside_of, why_no_boxes
from headrace.parts.block import Block
from headrace.parts.casing import Obstacle
from headrace.parts.vessel import Inline, Splitter

Tubes: TypeAlias = tuple[tuple[Capsule, Box], ...]
SIDES: dict[str, Axis] = {"left": "-y", "right": "+y", "top": "+z", "bottom": "-z", "front": "+x", "rear": "-x"}


def groups(loop: Loop) -> tuple[tuple[PlacedPart, ...], ...]:
    """Each block with the blocks, bridges and small parts bolted to it, and each memory by itself."""
    near: dict[str, set[str]] = {}
    for joint in loop.joints:
        one, other = owner(joint.from_port), owner(joint.to_port)
        if _comes_along(loop.part(one)) and _comes_along(loop.part(other)):
            near.setdefault(one, set()).add(other)
            near.setdefault(other, set()).add(one)
    found, seen = [], set[str]()
    for part in loop.parts:
        if part.id not in seen and (isinstance(part.card, Block) or _is_memory(part)):
            bolted = _reached(part.id, near)
            seen |= bolted
            found.append(tuple(other for other in loop.parts if other.id in bolted))
    return tuple(found)


def leaving(loop: Loop, group: tuple[PlacedPart, ...]) -> tuple[Run | Joint, ...]:
    """The runs and joints with one end at the group and the other elsewhere."""
    ids = {part.id for part in group}
    return tuple(line for line in lines(loop) if (owner(line.from_port) in ids) != (owner(line.to_port) in ids))


def passing(loop: Loop, group: tuple[PlacedPart, ...]) -> tuple[Run, ...]:
    """The runs that end nowhere at the group."""
    ids = {part.id for part in group}
    return tuple(run for run in loop.runs if owner(run.from_port) not in ids and owner(run.to_port) not in ids)


def tubes(loop: Loop) -> dict[str, Tubes]:
    """The straight pieces of every run that has a path, by run, each with the box around it."""
    return {run.id: tuple((piece, piece.around()) for piece in _pieces(run)) for run in loop.runs if run.path_m}


def crossing(loop: Loop, group: tuple[PlacedPart, ...], bodies: dict[str, Tubes]) -> tuple[Run, ...]:
    """The passing runs with a path that lie across the way out, through the open side with the fewest."""
    runs = [run for run in passing(loop, group) if run.id in bodies]
    ways = [tuple(run for run in runs if _meets(bodies[run.id], swept)) for swept in _ways_out(loop, group)]
    return min(ways, key=len, default=())


def unknown_way(loop: Loop, group: tuple[PlacedPart, ...]) -> tuple[str, ...]:
    """What is missing to say which runs lie across the way out; nothing where no run could."""
    runs = passing(loop, group)
    if not runs:
        return ()
    lacks = [why for part in group if (why := why_no_boxes(part))]
    if loop.case is None:
        lacks.append("the build has no [case]")
    elif not loop.case.open_sides:
        lacks.append(f'card "{loop.case.id}" does not say which sides open (opens)')
    if not all(run.path_m for run in runs):
        lacks.append("not every run says where it lies (path_mm)")
    return tuple(lacks)


def _comes_along(part: PlacedPart) -> bool:
    card = part.card
    return (
        isinstance(card, Block)
        or (isinstance(card, Inline) and card.kind != "pass-through")
        or (isinstance(card, Splitter) and card.kind != "distribution-plate")
    )


def _is_memory(part: PlacedPart) -> bool:
    return isinstance(part.card, Obstacle) and part.card.what == "memory"


def _reached(start: str, near: dict[str, set[str]]) -> set[str]:
    found, edge = {start}, [start]
    while edge:
        fresh = near.get(edge.pop(), set()) - found
        found |= fresh
        edge += fresh
    return found


def _ways_out(loop: Loop, group: tuple[PlacedPart, ...]) -> Iterator[tuple[Box, ...]]:
    """The room the group sweeps on its way through each open side; none when anything for it is not known."""
    inside = inside_of(loop)
    if loop.case is not None and inside is not None and all(boxes_of(part) for part in group):
        for side in loop.case.open_sides:
            yield tuple(_swept(box, inside, SIDES[side]) for part in group for box in boxes_of(part))


def _swept(box: Box, inside: Box, way: Axis) -> Box:
    along = "xyz".index(way[1])
    low, high = list(box.low), list(box.high)
    if unit(way)[along] > 0.0:
        high[along] = max(high[along], inside.high[along])
    else:
        low[along] = min(low[along], inside.low[along])
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))


def _pieces(run: Run) -> Iterator[Capsule]:
    radius_m = float(run.tube.outside_m or run.tube.bore_m) / 2
    points: tuple[Point, ...] = run.path_m or ()
    for one, other in pairwise(points):
        yield Capsule(one, other, radius_m)


def _meets(tube: Tubes, swept: tuple[Box, ...]) -> bool:
    return any(
        overlap_m(around, box) is not None and line_gap_m(piece.start, piece.end, box) < piece.radius_m
        for piece, around in tube
        for box in swept
    )
