"""PORT-04: no fitting stands in the way of a part, or of the fans of a radiator.

A fitting that meets a fan, a memory module or a card seats askew and weeps, or the part does not go in at all. Every
fitting is compared up to its first elbow with every box it does not stand on. A fitting or a box that is not known is
skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.screwed import cures, graded, near_things, unboxed, unplaced

CHECK = Check(
    "PORT-04",
    "Fitting in the way of a part or a fan",
    Severity.STOP,
    Group.PORTS,
    what="gap",
    unit="m",
    limits=("collar_gap",),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every fitting near a box; overlap is a stop, too small a gap a step milder."""
    loop, limit_m = build.loop, build.loop.thresholds("collar_gap")
    for place, subject, reason in (*unplaced(loop), *unboxed(loop)):
        yield CHECK.skipped(place, subject, reason)
    for close in near_things(loop, limit_m):
        yield graded(CHECK, close.gap_m).finding(
            close.piece.part.place,
            close.subject,
            found=close.gap_m,
            limit=limit_m,
            spread=close.spread_m(loop),
            fix=f"{cures(loop, close, limit_m)}.",
        )
