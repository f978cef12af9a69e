"""POWER-06: every cable reaches from its outlet to what it feeds, with a little to spare.

A cable that is too short is found when all is filled and bolted. It runs along walls, so the way along the axes counts,
with a reserve; one shorter than the straight way cannot reach at all. Unknown lengths and places are skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.wiring import Plugged, plugged_in
from headrace.geometry.path import Point
from headrace.geometry.reach import along_axes_m, straight_m
from headrace.geometry.solid import Box
from headrace.loop.model import Lead, Loop, PlacedPart
from headrace.loop.placed import boxes_of, place_in, spread_m, why_no_boxes
from headrace.units import show

CHECK = Check(
    "POWER-06",
    "Cable too short",
    Severity.BEFORE_POWER,
    Group.ELECTRICITY,
    what="way of the cable",
    unit="m",
    limits=("cable_reserve",),
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every lead to a pump or a stack, then all whose cable is unknown at once; vents have no place."""
    loop = build.loop
    unknown = []
    for plugged in plugged_in(loop):
        for lead in plugged.leads:
            fed = _fed(loop, lead)
            if fed is not None and lead.cable_m is None:
                unknown.append(lead)
            elif fed is not None:
                yield from _judge(loop, plugged, lead, fed)
    if unknown:
        reason = "its [[lead]] does not say how long the cable is (cable)"
        yield CHECK.skipped(unknown[0].place, f"lead of {names(lead.part for lead in unknown)}", reason)


def _fed(loop: Loop, lead: Lead) -> PlacedPart | None:
    """The part a lead goes to: the pump, or the first radiator of the stack."""
    stack = next((stack for stack in loop.stacks if stack.id == lead.part), None)
    id_ = lead.part if stack is None else stack.radiator
    return next((part for part in loop.parts if part.id == id_), None)


def _judge(loop: Loop, plugged: Plugged, lead: Lead, fed: PlacedPart) -> Iterator[Finding | Skipped]:
    subject = f'lead of "{lead.part}" to "{plugged.id}"'
    start = place_in(plugged.part, plugged.outlet.at_m)
    boxes = boxes_of(fed)
    if start is None or not boxes:
        yield CHECK.skipped(lead.place, subject, " and ".join(_lacks(plugged, start, fed)))
        return
    cable_m, reserve_m = float(lead.cable_m or 0.0), loop.thresholds("cable_reserve")
    way_m, straight = _ways_m(start, boxes)
    spread = spread_m(loop, plugged.part, fed)
    if straight > cable_m + _ROUNDING_M:
        fix = _cure(way_m + reserve_m)
        at = f"{subject}, straight"
        yield CHECK.graded(Severity.STOP).finding(lead.place, at, found=straight, limit=cable_m, fix=fix, spread=spread)
    elif way_m + reserve_m > cable_m + _ROUNDING_M:
        limit = max(cable_m - reserve_m, 0.0)
        kept = f"{show(reserve_m, 'reserve_m')} of its {show(cable_m, 'cable_m')} are kept for bends and plug."
        fix = f"{kept} {_cure(way_m + reserve_m)}"
        yield CHECK.finding(lead.place, subject, found=way_m, limit=limit, fix=fix, spread=spread)


def _ways_m(start: Point, boxes: tuple[Box, ...]) -> tuple[float, float]:
    """The shortest way to a part along the axes, and straight."""
    return min(along_axes_m(start, box) for box in boxes), min(straight_m(start, box) for box in boxes)


def _cure(wanted_m: float) -> str:
    return (
        f"Take an extension that makes the cable {show(wanted_m, 'wanted_m')} or longer, or a nearer outlet; power off "
        "at the wall while you plug."
    )


def _lacks(plugged: Plugged, start: Point | None, fed: PlacedPart) -> Iterator[str]:
    if start is None and plugged.part.at_m is None:
        yield f'part "{plugged.part.id}" does not say where it stands (at_mm)'
    if start is None and plugged.outlet.at_m is None:
        yield f'card "{plugged.part.card.id}" does not say where outlet "{plugged.outlet.name}" is (at_mm)'
    if why := why_no_boxes(fed):
        yield why
