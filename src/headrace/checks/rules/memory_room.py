"""SPACE-05: tall memory has room under what hangs over it.

Memory that only just passes under fans cannot be pushed in or drawn out, and fans shake against it. The room is
measured from the memory away from the board tray, to the window. Memory without place or outline is skipped, and so is
a case that does not say where its window is.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.bodies import ROUNDING_M, Body, ahead, bodies, memory, moved, off_tray
from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.geometry.turn import Axis
from headrace.loop.model import Loop, PlacedPart
from headrace.loop.placed import boxes_of, spread_m, why_no_boxes
from headrace.units import show

CHECK = Check(
    "SPACE-05",
    "Too little room over the memory",
    Severity.BEFORE_POWER,
    Group.SPACE,
    what="gap",
    unit="m",
    limits=("memory_gap", "place_spread", "outline_spread"),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every part that is memory."""
    found = bodies(build.loop)
    for part in memory(build.loop):
        lack, off = why_no_boxes(part), off_tray(build.loop)
        if lack or off is None:
            reason = lack or "it is not said on which side of the case the window is (window on its card, [case])"
            yield CHECK.skipped(part.place, f'memory "{part.id}"', reason)
        else:
            yield from _judge(build.loop, part, found, off)


def _judge(loop: Loop, part: PlacedPart, found: tuple[Body, ...], off: Axis) -> Iterator[Finding]:
    others = tuple(body for body in found if part not in body.parts and body.parts[0] not in memory(loop))
    over = [hit for box in boxes_of(part) for hit in ahead(box, off, others)]
    if not over:
        return
    gap_m, body = min(over, key=lambda hit: hit[0])
    limit_m = loop.thresholds("memory_gap")
    if gap_m < limit_m - ROUNDING_M:
        fix = (
            f"Take memory lower by {show(limit_m - gap_m, 'length_m')}, or move {moved(loop, body.parts[0])} so much "
            "further from the board tray."
        )
        subject = f'memory "{part.id}" under {body.label}'
        spread = spread_m(loop, part, *body.parts)
        yield CHECK.finding(part.place, subject, found=gap_m, limit=limit_m, spread=spread, fix=fix)
