"""PORT-07: there is room for fingers or a spanner around every collar.

A fitting that stands clear and cannot be reached is not tightened, and nobody sees it weep. What stands nearer than
collars may is found by PORT-01, PORT-03 and PORT-04. Two fittings on one part are a note: the one is tightened before
the other goes in. A fitting or a box that is not known is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.screwed import cures, near_fittings, near_things, unboxed, unplaced
from headrace.loop.fitted import Piece

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
_FIRST = "Tighten the one before the other goes in; to get at it later, the other comes out first."


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every fitting against boxes and other fittings."""
    loop, limit_m = build.loop, build.loop.thresholds("tool_gap")
    touching_m = loop.thresholds("collar_gap") - _ROUNDING_M
    for place, subject, reason in (*unplaced(loop), *unboxed(loop)):
        yield CHECK.skipped(place, subject, reason)
    for close in (*near_fittings(loop, limit_m), *near_things(loop, limit_m)):
        if close.gap_m >= touching_m:
            own = isinstance(close.other, Piece) and close.other.part.id == close.piece.part.id
            check = CHECK.graded(Severity.NOTE) if own else CHECK
            yield check.finding(
                close.piece.part.place,
                close.subject,
                found=close.gap_m,
                limit=limit_m,
                spread=close.spread_m(loop),
                fix=_FIRST if own else f"{cures(loop, close, limit_m)}, or tighten it before its neighbour goes in.",
            )
