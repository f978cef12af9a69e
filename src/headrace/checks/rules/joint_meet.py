"""PORT-09: ports that are screwed together meet, face to face.

A flange that is a millimetre off nips its O-ring, and ports that do not look at each other cannot be joined at all.
With straight fittings between them the ports stand as far apart as these are high. Ports whose place or axis is not
known are skipped, and so are joints with a fitting of unknown height or with an elbow.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TypeAlias

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.checks.screwed import up_mm
from headrace.geometry.path import Point
from headrace.geometry.turn import STRAIGHT, opposite, unit
from headrace.loop.model import Joint, Loop, PlacedPart
from headrace.loop.placed import port_axis, port_point, spread_m, why_no_port

CHECK = Check(
    "PORT-09",
    "Joined ports do not meet",
    Severity.BEFORE_POWER,
    Group.PORTS,
    what="distance from meeting",
    unit="m",
    limits=("joint_gap", "joint_far"),
    gate=Gate.LIQUID,
)
_ROUNDING_M = 1e-9
_TINY_M = 5e-5  # no text shows less
_Joints: TypeAlias = list[tuple[Joint, Point]]  # with the way from where the second port is to where it belongs


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every joint; which part of one must move, all joints of both say together."""
    loop = build.loop
    joints: _Joints = []
    for joint in loop.joints:
        lack = _lack(loop, joint)
        if lack:
            yield CHECK.skipped(joint.place, _subject(joint), lack)
        else:
            yield from _face(loop, joint)
            joints += [(joint, off) for off in _off(loop, joint)]
    for joint, off in joints:
        yield from _measure(loop, joint, off, joints)


def _subject(joint: Joint) -> str:
    return f'joint of "{joint.from_port}" and "{joint.to_port}"'


def _lack(loop: Loop, joint: Joint) -> str:
    bent = next((fitting.id for fitting in joint.with_ if fitting.turn_rad), None)
    if bent is not None:
        return f'"{bent}" turns, and only straight fittings are judged'
    lacks = [why_no_port(loop, port) for port in (joint.from_port, joint.to_port)]
    cards = dict.fromkeys(fitting.id for fitting in joint.with_ if fitting.height_m is None)
    lacks += [f'card "{id_}" states no height (height)' for id_ in cards]
    return " and ".join(lack for lack in lacks if lack)


def _face(loop: Loop, joint: Joint) -> Iterator[Finding]:
    """Ports that do not look at each other."""
    one, other = loop.port(joint.from_port), loop.port(joint.to_port)
    axis, facing = port_axis(*one), port_axis(*other)
    if axis is not None and facing is not None and facing != opposite(axis):
        yield CHECK.graded(Severity.STOP).finding(
            joint.place,
            _subject(joint),
            found=f'"{joint.from_port}" looks {axis} and "{joint.to_port}" looks {facing}',
            limit="ports that look at each other",
            fix=f'Turn "{other[0].id}" so that "{joint.to_port}" looks {opposite(axis)}, or join them by tube.',
        )


def _off(loop: Loop, joint: Joint) -> Iterator[Point]:
    """The way from where the second port is to where it belongs, for ports that look at each other."""
    one, other = loop.port(joint.from_port), loop.port(joint.to_port)
    axis, start, end = port_axis(*one), port_point(*one), port_point(*other)
    if axis is not None and start is not None and end is not None and port_axis(*other) == opposite(axis):
        high_m = sum(float(fitting.height_m or 0.0) for fitting in joint.with_)
        x, y, z = (a + high_m * w - b for a, w, b in zip(start, unit(axis), end, strict=True))
        yield (x, y, z)


def _measure(loop: Loop, joint: Joint, off: Point, joints: _Joints) -> Iterator[Finding]:
    limit_m = loop.thresholds("joint_gap")
    if math.hypot(*off) > limit_m + _ROUNDING_M:
        parts = (loop.port(joint.from_port)[0], loop.port(joint.to_port)[0])
        moved, way = _to_move(parts, off, joints, limit_m)
        ways = [f"{up_mm(abs(d))} along {'-' if d < 0 else '+'}{axis}" for d, axis in zip(way, "xyz", strict=True)]
        moves = " and ".join(said for d, said in zip(way, ways, strict=True) if abs(d) > _TINY_M)
        far = math.hypot(*off) > loop.thresholds("joint_far") + _ROUNDING_M
        turned = "" if moved.turn == STRAIGHT else " (at_mm is where the origin of its card comes to stand, turned)"
        check = CHECK.graded(Severity.STOP) if far else CHECK
        yield check.finding(
            joint.place,
            _subject(joint),
            found=math.hypot(*off),
            limit=limit_m,
            spread=spread_m(loop, *parts),
            fix=f'Move "{moved.id}" {moves}{turned}, or measure both ports again: an O-ring that is nipped leaks.',
        )


def _to_move(
    parts: tuple[PlacedPart, PlacedPart], off: Point, joints: _Joints, near_m: float
) -> tuple[PlacedPart, Point]:
    """The part of a joint that moves and its way: the one whose other joints ask the same, else the second."""
    back: Point = (-off[0], -off[1], -off[2])
    return max(((parts[1], off), (parts[0], back)), key=lambda move: _agreed(move[0], move[1], joints, near_m))


def _agreed(part: PlacedPart, way: Point, joints: _Joints, near_m: float) -> int:
    """How many joints of a part ask for one move of it, less those that do not."""
    count = 0
    for joint, (x, y, z) in joints:
        ends = [port.partition(".")[0] for port in (joint.from_port, joint.to_port)]
        if part.id in ends:
            asked = (x, y, z) if part.id == ends[1] else (-x, -y, -z)
            count += 1 if math.dist(asked, way) <= near_m else -1
    return count
