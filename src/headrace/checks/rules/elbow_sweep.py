"""PORT-05: every elbow can be turned in, and its arm has a way to look.

A fixed elbow swings its arm through a whole circle as it is screwed in; a rotary one, or one on a rotary extender,
needs one free way for its arm and what is screwed into it. Ways are tried every 5 degrees against boxes, other
fittings and the walls of the case; a panel that opens is off meanwhile, and one way must lie inside it. An elbow whose
arm is not known is skipped, and so are boxes that are not known.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.screwed import stood_on, things, unboxed, unplaced, up_mm
from headrace.geometry.near import pairs_within
from headrace.geometry.solid import Box, Cylinder
from headrace.geometry.sweep import QUARTERS, STEPS, Arm, clear_ways
from headrace.loop.arms import arm_of
from headrace.loop.fitted import Line, Piece, lines
from headrace.loop.model import Loop
from headrace.loop.placed import inside_of

CHECK = Check(
    "PORT-05",
    "Elbow has no room to turn",
    Severity.STOP,
    Group.PORTS,
    what="free to turn",
    unit="rad",
    limits=("collar_gap",),
)
_TOUCHING_M = 1e-8
_STEP_RAD = 2 * math.pi / STEPS
_Around = list[tuple[object, Box | Cylinder, Box]]  # what stands in the case: its name, its body, the box around it


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every line of fittings that ends in an elbow."""
    loop, found = build.loop, tuple(lines(build.loop))
    bending = [line for line in found if any(fitting.turn_rad for fitting in loop.fittings_at(line.port))]
    for place, subject, reason in unplaced(loop, bending):
        yield CHECK.skipped(place, subject, reason)
    elbows = [(line, line.elbow) for line in bending if line.elbow is not None]
    if elbows:
        for place, subject, reason in unboxed(loop):
            yield CHECK.skipped(place, subject, reason)
    around: _Around = [((thing.part.id, thing.box), thing.box, thing.box) for thing in things(loop)]
    around += [(piece.port, piece.body, piece.body.around()) for line in found for piece in line.pieces]
    for line, elbow in elbows:
        yield from _judge(loop, line, elbow, around)


def _judge(loop: Loop, line: Line, elbow: Piece, around: _Around) -> Iterator[Finding | Skipped]:
    subject = f'elbow "{elbow.fitting.id}" at "{line.port}"'
    rotary = any(piece.fitting.rotary for piece in line.pieces)  # a rotary extender turns the elbow on it
    arm = arm_of(line, alone=not rotary)
    if isinstance(arm, str):
        yield CHECK.skipped(line.part.place, subject, arm)
        return
    room = inside_of(loop)
    if room is not None and not _holds(room, arm.pivot):
        room = None
    bodies = _bodies(loop, elbow, arm, around)
    for needed, within in _asked(loop, rotary, room):
        free = _free(loop, arm, bodies, within, needed)
        if free < needed:
            fix = _fix(line, arm, rotary or needed == 1)
            yield CHECK.finding(line.part.place, subject, found=free * _STEP_RAD, limit=needed * _STEP_RAD, fix=fix)
            return


def _asked(loop: Loop, rotary: bool, room: Box | None) -> Iterator[tuple[int, Box | None]]:
    """How many ways must be free, and within which box: a fixed elbow swings with the panels off."""
    if not rotary:
        yield STEPS, None if room is None or loop.case is None else _opened(room, loop.case.open_sides)
    yield 1, room


def _opened(room: Box, sides: tuple[str, ...]) -> Box:
    """The inside of the case without the panels that come off."""
    low, high = list(room.low), list(room.high)
    for side, (axis, ends, far) in {
        "rear": (0, low, -math.inf),
        "front": (0, high, math.inf),
        "left": (1, low, -math.inf),
        "right": (1, high, math.inf),
        "bottom": (2, low, -math.inf),
        "top": (2, high, math.inf),
    }.items():
        if side in sides:
            ends[axis] = far
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))


def _fix(line: Line, arm: Arm, needs_way: bool) -> str:
    room = f"{up_mm(sum(length for length, _ in arm.bars))} around its middle"
    if needs_way:
        return (
            f'What is screwed into "{line.port}" reaches {room}, no way is free: lift the elbow with an extender, '
            "take shorter fittings beyond it, or move the part."
        )
    return (
        f'This arm swings {room} as it is screwed into "{line.port}": take a rotary elbow, which is screwed in before '
        "its arm is turned, or lift this one with an extender."
    )


def _free(loop: Loop, arm: Arm, bodies: Sequence[Box | Cylinder], room: Box | None, needed: int) -> int:
    """How many of STEPS ways are free; where one is enough, those at right angles are tried first."""
    gap_m, around = loop.thresholds("collar_gap"), arm.around()
    if not bodies and (room is None or (_holds(room, around.low) and _holds(room, around.high))):
        return STEPS
    if needed == 1 and any(clear_ways(arm, bodies, gap_m, room, [way]).any() for way in QUARTERS):
        return 1
    return int(clear_ways(arm, bodies, gap_m, room).sum())


def _bodies(loop: Loop, elbow: Piece, arm: Arm, around: _Around) -> list[Box | Cylinder]:
    """Boxes and fittings the arm may meet: not the face it stands on, its own line, nor what the elbow stands in."""
    own: set[object] = {elbow.port, *stood_on(loop, elbow.port)}
    others = [(body, box) for key, body, box in around if key not in own]
    near = pairs_within([arm.around()], [box for _, box in others], loop.thresholds("collar_gap"))
    body = Arm(elbow.body.start, elbow.axis, 0.0, ((math.dist(elbow.body.start, elbow.body.end), elbow.body.radius_m),))
    return [others[j][0] for _, j in near if clear_ways(body, [others[j][0]], _TOUCHING_M, None, [0]).all()]


def _holds(room: Box, point: tuple[float, float, float]) -> bool:
    return all(low <= p <= high for low, p, high in zip(room.low, point, room.high, strict=True))
