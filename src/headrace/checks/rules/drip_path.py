"""SERVICE-02: nothing drips straight onto a power supply or a board.

Joints weep in the wet test if ever, and water on a live board or a power supply does harm. What falls from a joint
counts for the first part below it, upright as the machine is tested and runs, and as it is served; the worse
posture comes first. A power supply without place or outline, and joints without a place, are skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names, part_label
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.geometry.path import Point
from headrace.geometry.posture import UPRIGHT, Posture
from headrace.geometry.reach import find_fall_m
from headrace.geometry.solid import Box
from headrace.geometry.turn import unit
from headrace.loop.model import Loop, PlacedPart, PortId
from headrace.loop.placed import boxes_of, port_axis, port_point, why_no_boxes
from headrace.parts.casing import Feeder

CHECK = Check(
    "SERVICE-02",
    "Joint above a power supply or board",
    Severity.BEFORE_HANDOVER,
    Group.SERVICE,
    what="joints above",
    gate=Gate.LIQUID,
)
_DRIP_M = 0.005  # how far before its port a joint weeps: half a collar, common practice, no source
_HARMED = ("power-supply", "board")


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every power supply without a place, then every power supply and board something drips on."""
    loop = build.loop
    joints = tuple(id_ for id_, _, _ in loop.all_ports() if loop.used_by(id_) is not None)
    harmed = [part for part in loop.parts if isinstance(part.card, Feeder) and part.card.kind in _HARMED]
    for part in harmed:
        if joints and _has_mains(part) and (why := why_no_boxes(part)):
            yield CHECK.skipped(part.place, part_label(part), why)
    placed = [part for part in harmed if boxes_of(part)]
    if placed:
        yield from _judge(loop, joints, placed)


def _judge(loop: Loop, joints: tuple[PortId, ...], placed: list[PlacedPart]) -> Iterator[Finding | Skipped]:
    starts = {id_: _start(loop, id_) for id_ in joints}
    boxes = [(part.id, box) for part in loop.parts for box in boxes_of(part)]
    met = {posture: _met(boxes, starts, posture) for posture in (UPRIGHT, loop.handling.posture("service"))}
    for part in placed:
        over = {posture: [id_ for id_, first in below.items() if first == part.id] for posture, below in met.items()}
        told = set[PortId]()
        for posture in sorted(over, key=lambda one: -len(over[one])):
            if set(over[posture]) - told:
                yield _finding(part, over[posture], posture)
            told |= set(over[posture])
    unknown = [id_ for id_, start in starts.items() if start is None]
    if unknown:
        reason = "it is not known where they are (at_mm of the part, at_mm of the port)"
        yield CHECK.skipped(placed[0].place, f"joints at {names(unknown)}", reason)


def _met(
    boxes: list[tuple[str, Box]], starts: dict[PortId, Point | None], posture: Posture
) -> dict[PortId, str | None]:
    """By joint, the part it drips on as the case stands."""
    up = posture.up
    down = (-up[0], -up[1], -up[2])
    return {id_: _first_below(boxes, start, down) for id_, start in starts.items() if start is not None}


def _finding(part: PlacedPart, over: list[PortId], posture: Posture) -> Finding:
    check = CHECK if _has_mains(part) else CHECK.graded(Severity.NOTE)
    fix = (
        "Turn or move them, or shield it; else lay tissue over it for the wet test and keep its power off, at the "
        "wall, until all joints have stayed dry."
    )
    after = "Do not open a wet power supply, have it replaced." if _has_mains(part) else "A wet one dries for days."
    subject = f"{part_label(part)} under {names(over)}"
    found = f"{len(over)} joint{'s' if over[1:] else ''} above it, {posture.name}"
    return check.finding(part.place, subject, found=found, limit="none", fix=f"{fix} {after}")


def _has_mains(part: PlacedPart) -> bool:
    return isinstance(part.card, Feeder) and part.card.kind == "power-supply"


def _start(loop: Loop, port_id: PortId) -> Point | None:
    """Where a joint drips from, m: a little before its port."""
    part, port = loop.port(port_id)
    point, axis = port_point(part, port), port_axis(part, port)
    if point is None or axis is None:
        return point
    x, y, z = unit(axis)
    return (point[0] + _DRIP_M * x, point[1] + _DRIP_M * y, point[2] + _DRIP_M * z)


def _first_below(boxes: list[tuple[str, Box]], start: Point, down: Point) -> str | None:
    """The part that is met first straight down."""
    falls = [(fall, id_) for id_, box in boxes if (fall := find_fall_m(start, down, box)) is not None]
    return min(falls, default=(0.0, None))[1]
