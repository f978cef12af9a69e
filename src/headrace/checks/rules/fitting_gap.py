"""PORT-03: fittings on different parts, or on two faces of one part, stand clear of one another.

Two parts that each look right alone may push a fitting of the one into a fitting of the other: neither seats. Bodies
are compared as they stand in the case, up to the first elbow of each; collars side by side on one face are PORT-01. A
fitting whose place, collar or height is not known is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.screwed import cures, graded, near_fittings, unplaced
from headrace.loop.fitted import Piece

CHECK = Check(
    "PORT-03",
    "Fittings of different parts too close",
    Severity.STOP,
    Group.PORTS,
    what="gap between fittings",
    unit="m",
    limits=("collar_gap",),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every two ports whose fittings come near one another; overlap is a stop, too small a gap a step milder."""
    loop, limit_m = build.loop, build.loop.thresholds("collar_gap")
    for place, subject, reason in unplaced(loop):
        yield CHECK.skipped(place, subject, reason)
    for close in near_fittings(loop, limit_m):
        other = close.other
        if isinstance(other, Piece) and _side_by_side(close.piece, other):
            continue  # PORT-01
        yield graded(CHECK, close.gap_m).finding(
            close.piece.part.place,
            close.subject,
            found=close.gap_m,
            limit=limit_m,
            spread=close.spread_m(loop),
            fix=f"{cures(loop, close, limit_m)}; a fitting that is pushed aside does not seat and weeps.",
        )


def _side_by_side(one: Piece, other: Piece) -> bool:
    """Whether two fittings stand on one part and look the same way."""
    return one.part.id == other.part.id and one.axis == other.axis
