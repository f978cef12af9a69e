"""TUBE-07: hard tube goes far enough into its sockets, and is long enough for both of them.

A tube that stands 2 mm short pops out when it is warm. The depth a socket takes in, and the length of the run against
both depths. A socket that states no depth is skipped, and a run whose length nobody knows.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import run_ends
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.loop.model import Run
from headrace.units import show

CHECK = Check(
    "TUBE-07",
    "Hard tube not deep enough in its socket",
    Severity.BEFORE_POWER,
    Group.TUBE,
    what="insertion",
    unit="m",
    limits=("least_insertion",),
    gate=Gate.LIQUID,
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every socket a run of hard tube ends in, then the length of each run between two."""
    depths: dict[str, list[float]] = {}
    least_m = build.loop.thresholds("least_insertion")
    for line, end in run_ends(build.loop):
        fitting = end.fittings[-1] if end.fittings else None
        if fitting is None or fitting.tube is None or fitting.tube.grip != "socket" or not line.tube.hard:
            continue
        subject, depth_m = f'fitting "{fitting.id}" at "{end.port}"', fitting.tube.insertion_m
        if depth_m is None:
            reason = f'card "{fitting.id}" does not say how far the tube goes in (insertion)'
            yield CHECK.skipped(line.place, subject, reason)
            continue
        depths.setdefault(line.id, []).append(float(depth_m))
        if depth_m < least_m - _ROUNDING_M:
            fix = (
                f"Take a socket that holds the tube over {show(least_m, 'insertion_m')} or more, or fix the run so "
                f"that nothing can pull at it; mark the depth on the tube before you push it in."
            )
            yield CHECK.finding(line.place, subject, found=float(depth_m), limit=least_m, fix=fix)
    for line in build.loop.runs:
        if len(depths.get(line.id, ())) == 2:
            yield from _length(build, line, sum(depths[line.id]))


def _length(build: Build, line: Run, both_m: float) -> Iterator[Finding | Skipped]:
    path = build.route.paths[line.id]
    if path.origin == "assumed":
        yield CHECK.skipped(line.place, f'run "{line.id}"', "its length is not known (length or path_mm)")
    elif path.length_m <= both_m + _ROUNDING_M:
        length, both = show(path.length_m, "length_m"), show(both_m, "length_m")
        fix = (
            f"The fittings touch or clash before the tube is home: join the two ports without tube, take sockets of "
            f"less depth, or make the run longer than {both}."
        )
        found = f"length {length}"
        yield CHECK.graded(Severity.STOP).finding(
            line.place, f'run "{line.id}"', found=found, limit=f"more than {both}, both insertions", fix=fix
        )
