"""PORT-01: the collars of neighbouring fittings on one part do not touch.

Two collars that meet leave one fitting half seated, and a half-seated fitting weeps. Ports that look the same way are
compared across that way, piece by piece from the port up to the first elbow. What is unknown is skipped.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from headrace.checks.build import Build
from headrace.checks.ends import names, part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.loop.model import Joint, Loop, PlacedPart
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
    stacks = [_straight(loop.fittings_at(port)) for port in ports]
    level = list(zip(*stacks, strict=False))
    unknown = next((piece.id for pair in level for piece in pair if piece.collar_m is None), None)
    if one.at_m is None or other.at_m is None:
        yield CHECK.skipped(part.place, subject, f'card "{part.card.id}" does not say where both ports are (at_mm)')
    elif one.axis is None or other.axis is None:
        yield CHECK.skipped(part.place, subject, f'card "{part.card.id}" does not say which way both look (axis)')
    elif unknown is not None:
        yield CHECK.skipped(part.place, subject, f'card "{unknown}" states no collar (collar)')
    else:
        apart_m = _across_m(one.at_m, other.at_m, one.axis)
        taken_m, below, beside = max((_half_m(*pair), *(piece.id for piece in pair)) for pair in level)
        gap_m, limit_m = apart_m - taken_m, loop.thresholds("collar_gap")
        if gap_m < limit_m - _ROUNDING_M:
            most = show(max(2 * (apart_m - limit_m), 0.0), "collar_m")
            fix = (
                f'Lift "{below}" at "{ports[0]}" or "{beside}" at "{ports[1]}" clear of the other with an extender or '
                f"an elbow, or take collars whose diameters add up to {most} or less."
            )
            yield CHECK.finding(part.place, subject, found=gap_m, limit=limit_m, fix=fix)


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
