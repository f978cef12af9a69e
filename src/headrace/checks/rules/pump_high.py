"""WATER-03: no pump is the high point of its loop.

Air gathers at the top. A pump that lies above the water of its reservoir and above all else of its loop fills with it
and runs dry. Upright; the surface is that of the fill mark, else the top of the reservoir. What is unknown is
skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names, part_label
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.checks.heights import ROUNDING_M, height_spread_m, span_m, surface_m
from headrace.checks.wetted import pumps, water_loops
from headrace.geometry.posture import UPRIGHT
from headrace.loop.model import Loop, PlacedPart
from headrace.loop.placed import why_no_boxes
from headrace.units import show

CHECK = Check(
    "WATER-03",
    "Pump is the high point",
    Severity.BEFORE_POWER,
    Group.WATER,
    what="top of the pump above the water",
    unit="m",
    gate=Gate.LIQUID,
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every pump with a reservoir of its own body apart."""
    loop = build.loop
    for water in water_loops(loop):
        others = [part for part in loop.parts if part.id in water]
        tanks = [part for part in others if part.card.passage == "hub"]
        for pump in pumps(loop):
            if pump.id in water and pump not in tanks and tanks:
                yield from _judge(loop, pump, tanks, [part for part in others if part is not pump])


def _judge(
    loop: Loop, pump: PlacedPart, tanks: list[PlacedPart], others: list[PlacedPart]
) -> Iterator[Finding | Skipped]:
    own = span_m(pump, UPRIGHT)
    if own is None:
        yield CHECK.skipped(pump.place, part_label(pump), why_no_boxes(pump))
        return
    surfaces = {tank.id: level for tank in tanks if (level := surface_m(tank, UPRIGHT)) is not None}
    tops = [span[1] for part in others if (span := span_m(part, UPRIGHT)) is not None]
    if max(tops, default=own[1] - 1.0) >= own[1] - ROUNDING_M:
        return
    blank = next((part for part in others if span_m(part, UPRIGHT) is None), None)
    if blank is not None:
        yield CHECK.skipped(pump.place, part_label(pump), why_no_boxes(blank))
        return
    tank = loop.part(max(surfaces, key=lambda id_: surfaces[id_]))
    over = own[1] - surfaces[tank.id]
    fix = (
        f"Lower {part_label(pump)} by {show(over, 'height_m')}, or lift {names([tank.id])} by as much. Do not run the "
        f"pump before: dry, it is spoilt within seconds or minutes; its maker says what it bears."
    )
    spread = height_spread_m(loop, pump, tank)
    yield CHECK.finding(pump.place, part_label(pump), found=over, limit=0.0, fix=fix, spread=spread)
