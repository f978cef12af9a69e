"""TUBE-12: the path of a run ends where its fittings are.

A path drawn to the wrong port, or from an older place of a part, gives a length, bends and a cut that fit nothing. A
path may end at the port or anywhere its fittings reach; a port or a fitting that is not known is skipped.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.geometry.path import Point
from headrace.loop.model import Loop, PortId, Run
from headrace.loop.placed import port_point, spread_m, why_no_port
from headrace.parts.tube import Fitting
from headrace.units import show

CHECK = Check(
    "TUBE-12",
    "Path ends away from its port",
    Severity.BEFORE_POWER,
    Group.TUBE,
    what="distance beyond its fittings",
    unit="m",
    limits=("path_gap",),
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Both ends of every path."""
    for line in build.loop.runs:
        if line.path_m is not None:
            yield from _end(build.loop, line, line.from_port, line.from_with, line.path_m, line.path_m[::-1])
            yield from _end(build.loop, line, line.to_port, line.to_with, line.path_m[::-1], line.path_m)


def _end(
    loop: Loop,
    line: Run,
    port_id: PortId,
    fittings: tuple[Fitting, ...],
    path: tuple[Point, ...],
    back: tuple[Point, ...],
) -> Iterator[Finding | Skipped]:
    """One end: `path` begins at it, `back` is the path the other way round."""
    part, port = loop.port(port_id)
    point, reach_m = port_point(part, port), _reach_m(fittings)
    subject = f'run "{line.id}" at "{port_id}"'
    if point is None:
        yield CHECK.skipped(line.place, subject, why_no_port(loop, port_id))
    elif reach_m is None:
        bare = next(fitting for fitting in fittings if _own_m(fitting) is None)
        yield CHECK.skipped(line.place, subject, f'card "{bare.id}" does not say how far it stands out (height, arm)')
    else:
        far_m, limit_m = math.dist(path[0], point) - reach_m, loop.thresholds("path_gap")
        if far_m > limit_m + _ROUNDING_M:
            turned = math.dist(back[0], point) - reach_m <= limit_m + _ROUNDING_M
            near = show(reach_m + limit_m, "far_m")
            fix = f'Draw path_mm anew to within {near} of "{port_id}"; cut no tube by it.'
            if turned:
                fix = "Its path is written from the other end: turn the order of its points round."
            spread = spread_m(loop, part)
            yield CHECK.finding(line.place, subject, found=far_m, limit=limit_m, spread=spread, fix=fix)


def _reach_m(fittings: tuple[Fitting, ...]) -> float | None:
    """How far the fittings at one end may carry the tube from the port; None when one of them does not say."""
    own = [_own_m(fitting) for fitting in fittings]
    known = [length for length in own if length is not None]
    return sum(known) if len(known) == len(own) else None


def _own_m(fitting: Fitting) -> float | None:
    """How far one fitting reaches: its height, and its arm when it turns."""
    if fitting.height_m is None or (fitting.turn_rad and fitting.arm_m is None):
        return None
    return float(fitting.height_m) + float(fitting.arm_m or 0.0)
