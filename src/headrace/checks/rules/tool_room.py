"""PORT-07: there is room for fingers or a spanner around every collar.

A fitting that stands clear and cannot be reached is not tightened, and nobody sees it weep. What stands nearer than
collars may is found by PORT-01, PORT-03 and PORT-04. A fitting or a box that is not known is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.screwed import cures, near_fittings, near_things, unboxed, unplaced

CHECK = Check(
    "PORT-07",
    "No room for hand or spanner",
    Severity.BEFORE_POWER,
    Group.PORTS,
    what="gap",
    unit="m",
    limits=("tool_gap", "collar_gap"),
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every fitting against boxes and other fittings."""
    loop, limit_m = build.loop, build.loop.thresholds("tool_gap")
    touching_m = loop.thresholds("collar_gap") - _ROUNDING_M
    for place, subject, reason in (*unplaced(loop), *unboxed(loop)):
        yield CHECK.skipped(place, subject, reason)
    for close in (*near_fittings(loop, limit_m), *near_things(loop, limit_m)):
        if close.gap_m >= touching_m:
            yield CHECK.finding(
                close.piece.part.place,
                close.subject,
                found=close.gap_m,
                limit=limit_m,
                spread=close.spread_m(loop),
                fix=f"{cures(close, limit_m)}, or tighten it before its neighbour goes in.",
            )
