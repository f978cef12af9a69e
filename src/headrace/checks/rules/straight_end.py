"""TUBE-05: hard tube is straight as far as it stands in its fitting, and a little further.

A bend that begins in the O-rings loads them from the side and weeps after weeks. The straight of the path at each end,
less the set-back of the bend, against the insertion depth of the fitting and a reserve. A bent run without a path or
radius, runs that do not say whether they are bent, and a fitting that does not state its depth are skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import run_ends
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.checks.straights import bends_unsaid, find_straights
from headrace.loop.model import Run
from headrace.parts.tube import TubeEnd
from headrace.units import show

CHECK = Check(
    "TUBE-05",
    "Too little straight tube at a fitting",
    Severity.BEFORE_POWER,
    Group.TUBE,
    what="straight",
    unit="m",
    limits=("straight_reserve",),
    gate=Gate.LIQUID,
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Both ends of every bent run of hard tube."""
    yield from bends_unsaid(CHECK, (line for line in build.loop.runs if line.tube.hard))
    for line, end in run_ends(build.loop):
        if line.tube.hard and build.route.paths[line.id].bends:
            subject = f'run "{line.id}" at "{end.port}"'
            fitting = end.fittings[-1] if end.fittings else None
            straights, lack = find_straights(line)
            if lack:
                yield CHECK.skipped(line.place, subject, lack)
            elif fitting is None:
                yield CHECK.skipped(line.place, subject, "no fitting is named there (from_with, to_with)")
            elif fitting.tube is not None:
                straight_m = straights[0] if end.port == line.from_port else straights[-1]
                yield from _judge(build, line, subject, straight_m, fitting.id, fitting.tube)


def _judge(
    build: Build, line: Run, subject: str, straight_m: float, fitting: str, grip: TubeEnd
) -> Iterator[Finding | Skipped]:
    if grip.insertion_m is None:
        reason = f'card "{fitting}" does not say how far the tube goes in (insertion)'
        yield CHECK.skipped(line.place, subject, reason)
        return
    limit_m = grip.insertion_m + build.loop.thresholds("straight_reserve")
    if straight_m < limit_m - _ROUNDING_M:
        more = show(limit_m - straight_m, "length_m")
        fix = f'Move the bend {more} away from fitting "{fitting}", or put an angled fitting in place of the bend.'
        yield CHECK.finding(line.place, subject, found=straight_m, limit=limit_m, fix=fix)
