"""PORT-09: ports that are screwed together meet, face to face.

A flange that is a millimetre off nips its O-ring, and ports that do not look at each other cannot be joined at all.
With straight fittings between them the ports stand as far apart as these are high. Ports whose place or axis is not
known are skipped, and so are joints with a fitting of unknown height or with an elbow.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.checks.screwed import up_mm
from headrace.geometry.turn import opposite, unit
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


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every joint."""
    for joint in build.loop.joints:
        lack = _lack(build.loop, joint)
        if lack:
            yield CHECK.skipped(joint.place, _subject(joint), lack)
        else:
            yield from _judge(build.loop, joint)


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


def _judge(loop: Loop, joint: Joint) -> Iterator[Finding]:
    one, other = loop.port(joint.from_port), loop.port(joint.to_port)
    axis, facing = port_axis(*one), port_axis(*other)
    start, end = port_point(*one), port_point(*other)
    if axis is None or facing is None or start is None or end is None:
        return  # _lack has said so
    if facing != opposite(axis):
        yield CHECK.graded(Severity.STOP).finding(
            joint.place,
            _subject(joint),
            found=f'"{joint.from_port}" looks {axis} and "{joint.to_port}" looks {facing}',
            limit="ports that look at each other",
            fix=f'Turn "{other[0].id}" so that "{joint.to_port}" looks {opposite(axis)}, or join them by tube.',
        )
        return
    high_m = sum(float(fitting.height_m or 0.0) for fitting in joint.with_)
    off = [a + high_m * w - b for a, w, b in zip(start, unit(axis), end, strict=True)]
    yield from _measure(loop, joint, (one[0], other[0]), off)


def _measure(loop: Loop, joint: Joint, parts: tuple[PlacedPart, PlacedPart], off: list[float]) -> Iterator[Finding]:
    """What is wrong when `off` is the way from where the second port is to where it belongs."""
    limit_m = loop.thresholds("joint_gap")
    if math.hypot(*off) > limit_m + _ROUNDING_M:
        ways = [f"{up_mm(abs(d))} along {'-' if d < 0 else '+'}{way}" for d, way in zip(off, "xyz", strict=True)]
        moves = " and ".join(way for d, way in zip(off, ways, strict=True) if abs(d) > _TINY_M)
        far = math.hypot(*off) > loop.thresholds("joint_far") + _ROUNDING_M
        check = CHECK.graded(Severity.STOP) if far else CHECK
        yield check.finding(
            joint.place,
            _subject(joint),
            found=math.hypot(*off),
            limit=limit_m,
            spread=spread_m(loop, *parts),
            fix=f'Move "{parts[1].id}" {moves}, or measure both ports again: an O-ring that is nipped leaks.',
        )
