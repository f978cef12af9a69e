"""WATER-06: air can get into a loop while it is drained.

Water runs out only as air comes in above it. A fill, bleed or plugged port well above the lowest drain, or one at the
top of a reservoir, must be there to open, in the posture for service. What is unknown is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.heights import (
    ROUNDING_M,
    drain_ports,
    opened_ports,
    port_height_m,
    port_heights_m,
    span_m,
    unplaced,
)
from headrace.checks.wetted import head, owner, water_loops
from headrace.geometry.posture import Posture
from headrace.loop.model import Loop
from headrace.units import show

CHECK = Check(
    "WATER-06",
    "Nothing to open above the drain",
    Severity.BEFORE_HANDOVER,
    Group.WATER,
    what="highest port to open above the drain",
    unit="m",
    limits=("vent_height",),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every connected loop with a drain."""
    loop = build.loop
    drains = dict.fromkeys(drain_ports(loop))
    for water in water_loops(loop):
        own = [port for port in drains if owner(port) in water]
        if own:
            yield from _judge(loop, water, own)


def _judge(loop: Loop, water: frozenset[str], drains: list[str]) -> Iterator[Finding | Skipped]:
    posture, need = loop.handling.posture("service"), loop.thresholds("vent_height")
    opened = [port for port in opened_ports(loop, water) if port not in drains]
    part = head(loop, water)
    subject, limit = f"loop of {part_label(part)}", show(need, "vent_height_m")
    if not opened:
        fix = (
            f"Write which port of the top is opened to drain ([[port]] fill, bleed or plug), at least {limit} above "
            f"the drain; without air from above the water does not run out."
        )
        yield CHECK.finding(part.place, subject, found="0 ports to open", limit="at least 1", fix=fix)
        return
    if any(_on_top(loop, port, posture) for port in opened):
        return
    heights, low = port_heights_m(loop, opened, posture), port_heights_m(loop, drains, posture)
    over = max(heights.values(), default=0.0) - min(low.values(), default=0.0)
    if heights and low and over >= need - ROUNDING_M:
        return
    if len(heights) < len(opened) or len(low) < len(drains):
        yield CHECK.skipped(part.place, subject, unplaced(loop, (*drains, *opened)))
        return
    fix = (
        f"Make a port that can be opened {show(need - over, 'height_m')} higher, best at the top of the reservoir; "
        f"without air from above the water does not run out."
    )
    yield CHECK.finding(part.place, f"{subject} in posture {posture.name}", found=over, limit=need, fix=fix)


def _on_top(loop: Loop, port_id: str, posture: Posture) -> bool:
    """Whether a port is at the top of a reservoir."""
    part = loop.part(owner(port_id))
    span, height = span_m(part, posture), port_height_m(loop, port_id, posture)
    if part.card.passage != "hub" or span is None or height is None or not part.card.outline_m:
        return False
    return height >= span[1] - ROUNDING_M
