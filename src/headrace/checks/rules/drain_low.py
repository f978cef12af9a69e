"""WATER-05: the lowest drain lies at the low point of its loop.

What hangs below the drain stays in the loop, and runs out over the board when a joint is opened. In the posture for
service, port against port; a loop without a drain is another matter. What is unknown is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names, part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.heights import (
    ROUNDING_M,
    drain_ports,
    height_spread_m,
    port_heights_m,
    ports_of,
    span_m,
    unplaced,
)
from headrace.checks.volumes import held_m3
from headrace.checks.wetted import head, owner, water_loops
from headrace.geometry.posture import Posture
from headrace.loop.model import Loop, PlacedPart
from headrace.units import show

CHECK = Check(
    "WATER-05",
    "Drain above the low point",
    Severity.BEFORE_HANDOVER,
    Group.WATER,
    what="drain above the lowest port",
    unit="m",
    limits=("drain_height",),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every connected loop with a drain."""
    loop = build.loop
    for water in water_loops(loop):
        drains = [port for port in dict.fromkeys(drain_ports(loop)) if owner(port) in water]
        if drains:
            yield from _judge(loop, water, drains)


def _judge(loop: Loop, water: frozenset[str], drains: list[str]) -> Iterator[Finding | Skipped]:
    posture, limit = loop.handling.posture("service"), loop.thresholds("drain_height")
    ports = ports_of(loop, water)
    heights, low = port_heights_m(loop, ports, posture), port_heights_m(loop, drains, posture)
    subject = f"loop of {part_label(head(loop, water))}"
    place = head(loop, water).place
    if len(low) < len(drains):
        yield CHECK.skipped(place, subject, unplaced(loop, drains))
        return
    drain, lowest = min(low, key=lambda id_: low[id_]), min(heights, key=lambda id_: heights[id_])
    over = low[drain] - heights[lowest]
    if over > limit + ROUNDING_M:
        below = list(dict.fromkeys(owner(id_) for id_, height in heights.items() if height < low[drain] - limit))
        fix = (
            f'Put a drain at "{lowest}" or lower, or serve the case in a posture that has "{drain}" lowest ([handling] '
            f"service, now {posture.name}). {_left(loop, below, low[drain], posture)} Drain with the power off."
        )
        spread = height_spread_m(loop, loop.part(owner(drain)), loop.part(owner(lowest)))
        used = loop.used_by(drain)
        place = place if used is None else used.place
        yield CHECK.finding(place, f'drain "{drain}"', found=over, limit=limit, fix=fix, spread=spread)
    elif len(heights) < len(ports):
        yield CHECK.skipped(place, subject, unplaced(loop, ports))


def _left(loop: Loop, below: list[str], drain_m: float, posture: Posture) -> str:
    """What stays below the drain, and how much of it is known."""
    sure = [part for id_ in below if _wholly_below(part := loop.part(id_), drain_m, posture)]
    held = [volume for part in sure if (volume := held_m3(part)[0]) is not None]
    stays = f"Water stays in {names(below)} and its tubes"
    if not held:
        return f"{stays}; how much is not known yet."
    return f"{stays}: at least {show(sum(held), 'volume_m3')}, the rest is not known yet."


def _wholly_below(part: PlacedPart, drain_m: float, posture: Posture) -> bool:
    span = span_m(part, posture)
    return span is not None and span[1] < drain_m
