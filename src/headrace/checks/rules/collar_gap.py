"""PORT-01: the collars of neighbouring fittings on one part do not touch.

Two collars that meet leave one fitting half seated, and a half-seated fitting weeps. Of ports that look the same way,
the bodies in line are compared up to the first elbow, with the tube that leaves them; where a height is unknown, piece
by piece across that way. What else is unknown is skipped.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations, product
from typing import NamedTuple

from headrace.checks.build import Build
from headrace.checks.ends import names, part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.screwed import SLIMMEST_M, graded
from headrace.geometry.clearance import clearance_m
from headrace.loop.fitted import Line, line_from, tube_beyond
from headrace.loop.model import Joint, Loop, PlacedPart, Run
from headrace.parts.card import Port
from headrace.parts.tube import Fitting
from headrace.units import show

CHECK = Check(
    "PORT-01",
    "Collars too close on one part",
    Severity.STOP,
    Group.PORTS,
    what="gap between collars",
    unit="m",
    limits=("collar_gap",),
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every pair of used ports of each part."""
    for part in build.loop.parts:
        used = [port for port in part.card.port if build.loop.used_by(f"{part.id}.{port.name}")]
        bare = [port for port in used if _unnamed(build.loop, part, port)]
        if bare and any(_same_way(one, other) for one, other in combinations(used, 2)):
            reason = f"no fitting is named at {names(f'{part.id}.{port.name}' for port in bare)}"
            yield CHECK.skipped(part.place, part_label(part), reason)
        fitted = [port for port in used if build.loop.fittings_at(f"{part.id}.{port.name}")]
        for one, other in combinations(fitted, 2):
            if _same_way(one, other):
                yield from _judge(build.loop, part, one, other)


def _unnamed(loop: Loop, part: PlacedPart, port: Port) -> bool:
    """Whether a port holds something nobody names; a joint without fittings has no collar to name."""
    id_ = f"{part.id}.{port.name}"
    return not loop.fittings_at(id_) and not isinstance(loop.used_by(id_), Joint)


def _same_way(one: Port, other: Port) -> bool:
    """Whether two ports may look the same way; an unknown one may."""
    return one.axis is None or other.axis is None or one.axis == other.axis


def _judge(loop: Loop, part: PlacedPart, one: Port, other: Port) -> Iterator[Finding | Skipped]:
    ports = [f"{part.id}.{port.name}" for port in (one, other)]
    subject = f'ports "{ports[0]}" and "{ports[1]}"'
    level = list(zip(*(_straight(loop.fittings_at(port)) for port in ports), strict=False))
    unknown = next((piece.id for pair in level for piece in pair if piece.collar_m is None), None)
    if one.at_m is None or other.at_m is None:
        yield CHECK.skipped(part.place, subject, f'card "{part.card.id}" does not say where both ports are (at_mm)')
    elif one.axis is None or other.axis is None:
        yield CHECK.skipped(part.place, subject, f'card "{part.card.id}" does not say which way both look (axis)')
    elif unknown is not None:
        yield CHECK.skipped(part.place, subject, f'card "{unknown}" states no collar (collar)')
    else:
        ends = (line_from(loop, ports[0], one.at_m, one.axis), line_from(loop, ports[1], other.at_m, other.axis))
        apart_m = _across_m(one.at_m, other.at_m, one.axis)
        if ends[0].lack or ends[1].lack:
            close = min(_Close(apart_m - _half_m(*pair), *(piece.id for piece in pair)) for pair in level)
        else:
            close = min(_pairs(loop, *ends))
        if close.gap_m < loop.thresholds("collar_gap") - _ROUNDING_M:
            yield _found(loop, part, ports, apart_m, close)


class _Close(NamedTuple):
    """What comes near in line with two ports: the gap, the names of both, and the tube where one of them is it."""

    gap_m: float
    one: str
    other: str
    tube_m: float = 0.0
    soft: bool = False


def _pairs(loop: Loop, one: Line, other: Line) -> Iterator[_Close]:
    """Every fitting in line with one port against every one in line with the other, and against the tube there."""
    for a, b in product(one.pieces, other.pieces):
        yield _Close(clearance_m(a.body, b.body), a.fitting.id, b.fitting.id)
    for line, beside in ((one, other), (other, one)):
        tube, used = tube_beyond(loop, beside), loop.used_by(beside.port)
        if tube is not None and isinstance(used, Run):
            for piece in line.pieces:
                gap_m, wide_m = clearance_m(piece.body, tube), 2 * tube.radius_m
                yield _Close(gap_m, piece.label, f'tube at "{beside.port}"', wide_m, not used.tube.hard)


def _found(loop: Loop, part: PlacedPart, ports: list[str], apart_m: float, close: _Close) -> Finding:
    limit_m = loop.thresholds("collar_gap")
    slim_m = 2 * (apart_m - limit_m) - close.tube_m
    if close.tube_m:
        slimmer = f"Take a collar of {show(slim_m, 'collar_m')} or less instead of {close.one}, or lead"
        fix = f"{slimmer if slim_m >= SLIMMEST_M else 'Lead'} the {close.other} away with an elbow."
    else:
        lift = (
            f'Lift "{close.one}" at "{ports[0]}" or "{close.other}" at "{ports[1]}" clear of the other with an extender'
        )
        slimmer = f", or take collars whose diameters add up to {show(slim_m, 'collar_m')} or less"
        fix = f"{lift} or an elbow{slimmer if slim_m >= 2 * SLIMMEST_M else ''}."
    check = CHECK.graded(Severity.BEFORE_POWER) if close.soft else graded(CHECK, close.gap_m)
    return check.finding(part.place, f'ports "{ports[0]}" and "{ports[1]}"', found=close.gap_m, limit=limit_m, fix=fix)


def _half_m(one: Fitting, other: Fitting) -> float:
    """Half of both collars: how far apart their ports must be for them to touch."""
    return ((one.collar_m or 0.0) + (other.collar_m or 0.0)) / 2


def _straight(fittings: tuple[Fitting, ...]) -> tuple[Fitting, ...]:
    """The pieces that stand in line with the port: up to the first that turns, and that one."""
    turn = next((index for index, fitting in enumerate(fittings) if fitting.turn_rad), len(fittings))
    return fittings[: turn + 1]


def _across_m(one: tuple[float, float, float], other: tuple[float, float, float], axis: str) -> float:
    """Distance between two port axes that look the same way; how high each port stands does not count."""
    along = "xyz".index(axis[1])
    return math.hypot(*(a - b for i, (a, b) in enumerate(zip(one, other, strict=True)) if i != along))
