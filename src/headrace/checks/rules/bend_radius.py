"""TUBE-03: no bend is tighter than its tube allows.

A tube bent below its limit flattens and takes flow away without any leak to show for it. Judged are the stated radius
of a run and, along a path, the room its corners leave. The limit belongs to the tube: one that states none is skipped,
and a run with bends of no stated radius is taken as bent to the limit. Runs that do not say whether they are bent are
skipped in one line.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.straights import bends_unsaid
from headrace.geometry.path import largest_radius_m
from headrace.loop.model import Run
from headrace.units import show

CHECK = Check(
    "TUBE-03",
    "Bend tighter than the tube allows",
    Severity.BEFORE_POWER,
    Group.TUBE,
    what="bend radius",
    unit="m",
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every run that is bent, or may be."""
    yield from bends_unsaid(CHECK, (line for line in build.loop.runs if not _is_bent(build, line)))
    for line in build.loop.runs:
        if _is_bent(build, line):
            limit_m = line.tube.min_bend_radius_m
            subject = f'run "{line.id}" of tube "{line.tube.id}"'
            if limit_m is None:
                reason = f'card "{line.tube.id}" states no tightest bend (min_bend_radius)'
                yield CHECK.skipped(line.place, subject, reason)
            else:
                yield from _judge(line, subject, float(limit_m))


def _is_bent(build: Build, line: Run) -> bool:
    """Whether a run has a bend: in its route, or, where nobody counted them, by the radius it states."""
    if build.route.paths[line.id].bends:
        return True
    return line.bends is None and line.path_m is None and line.bend_radius_m is not None


def _judge(line: Run, subject: str, limit_m: float) -> Iterator[Finding]:
    least = show(limit_m, "radius_m")
    if line.bend_radius_m is not None and line.bend_radius_m < limit_m - _ROUNDING_M:
        fix = (
            f"Bend it to {least} or more along the centreline: give it a longer way, or put an angled fitting in place "
            f"of the bend."
        )
        yield CHECK.finding(line.place, subject, found=float(line.bend_radius_m), limit=limit_m, fix=fix)
    elif line.path_m is not None and (room_m := largest_radius_m(line.path_m)) < limit_m - _ROUNDING_M:
        fix = (
            f"The corners of its path are too near each other or the ends for {least}: move them apart, or put an "
            f"angled fitting in place of a bend."
        )
        yield CHECK.finding(line.place, subject, found=room_m, limit=limit_m, fix=fix)
