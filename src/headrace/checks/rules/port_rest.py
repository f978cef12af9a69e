"""SPACE-04: before the ports of a radiator there is room for its fittings.

Core, port and elbow stand in one line, and a port close to a wall or a part takes no elbow. What stands beside a port
is another matter, and so is a port that is closed: PORT-04 and PORT-12 look at plugs. A port without place, a fitting
without height or a build without a case is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.bodies import ROUNDING_M, Body, ahead, bodies
from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.geometry.solid import Box
from headrace.geometry.turn import Axis
from headrace.loop.fitted import Line, lines
from headrace.loop.model import Loop, Run
from headrace.loop.placed import inside_of, spread_m
from headrace.parts.radiator import Radiator
from headrace.units import show

CHECK = Check(
    "SPACE-04",
    "No room for the fittings of a radiator",
    Severity.STOP,
    Group.SPACE,
    what="room left",
    unit="m",
    limits=("stack_gap", "place_spread", "outline_spread"),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every port of every radiator that carries tube or an elbow."""
    loop = build.loop
    found = bodies(loop)
    for line in lines(loop):
        if isinstance(line.part.card, Radiator) and _leads_on(loop, line):
            subject = f'port "{line.port}"'
            if line.lack:
                yield CHECK.skipped(line.part.place, subject, line.lack)
            elif loop.case is None:
                yield CHECK.skipped(line.part.place, subject, "the build names no case (card, under [case])")
            else:
                yield from _judge(loop, line, found)


def _leads_on(loop: Loop, line: Line) -> bool:
    """Whether tube or an elbow is screwed into a port, and not only what closes it."""
    used = loop.used_by(line.port)
    return isinstance(used, Run) or any(fitting.turn_rad for fitting in loop.fittings_at(line.port))


def _judge(loop: Loop, line: Line, found: tuple[Body, ...]) -> Iterator[Finding]:
    """The room beyond the last fitting in line, up to the next body or wall."""
    last = line.pieces[-1]
    seat, tip = Box(line.pieces[0].body.start, line.pieces[0].body.start), last.body.around()
    across = _widened(seat, tip, last.axis)
    others = tuple(body for body in found if line.part not in body.parts)
    rests = [(gap_m, body.label, body.parts) for gap_m, body in ahead(across, last.axis, others) if gap_m > ROUNDING_M]
    wall_m = _to_wall_m(across, last.axis, inside_of(loop))
    if wall_m is not None:
        rests.append((wall_m, "the wall of the case", ()))
    if not rests:
        return
    free_m, what, parts = min(rests, key=lambda rest: rest[0])
    taken_m = sum(float(piece.fitting.height_m or 0.0) for piece in line.pieces)
    rest_m, limit_m = free_m - taken_m, loop.thresholds("stack_gap")
    if rest_m < limit_m - ROUNDING_M:
        fix = (
            f'From "{line.port}" to {what} there are {show(free_m, "length_m")}, and {last.label} needs '
            f"{show(taken_m, 'length_m')} and {show(limit_m, 'length_m')} to spare. Take a lower fitting, turn the "
            f"radiator round, or move it by {show(limit_m - rest_m, 'length_m')}."
        )
        spread = spread_m(loop, line.part, *parts)
        yield CHECK.finding(line.part.place, f'port "{line.port}"', found=rest_m, limit=limit_m, spread=spread, fix=fix)


def _widened(seat: Box, tip: Box, axis: Axis) -> Box:
    """The seat of a port as wide as what is screwed in last."""
    along = "xyz".index(axis[1])
    low, high = list(tip.low), list(tip.high)
    low[along] = high[along] = seat.low[along]
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))


def _to_wall_m(box: Box, axis: Axis, inside: Box | None) -> float | None:
    """From a port to the wall it looks at; None outside the case."""
    if inside is None:
        return None
    ends = zip(inside.low, box.middle, inside.high, strict=True)
    if not all(low - ROUNDING_M <= at <= high + ROUNDING_M for low, at, high in ends):
        return None
    along = "xyz".index(axis[1])
    return inside.high[along] - box.high[along] if axis[0] == "+" else box.low[along] - inside.low[along]
