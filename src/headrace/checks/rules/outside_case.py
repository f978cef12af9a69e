"""SPACE-02: no part stands through a wall of the case.

A part that is a little too long is found when the case is open and the money spent. Parts that stand wholly outside and
pass-throughs in a wall are no case. Without a case, or where a part states no place or outline, it is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.bodies import ROUNDING_M, WALLS, WAYS, Body, bodies, unplaced
from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.geometry.solid import Box
from headrace.geometry.turn import AXES, Axis, opposite
from headrace.loop.model import Loop
from headrace.loop.placed import inside_of, spread_m
from headrace.units import show

CHECK = Check(
    "SPACE-02",
    "Part passes a wall of the case",
    Severity.STOP,
    Group.SPACE,
    what="beyond the wall",
    unit="m",
    limits=("fit_slack", "place_spread", "outline_spread"),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every body that is in the case, against all six walls."""
    loop = build.loop
    lacking = unplaced(loop)
    if lacking is not None:
        yield CHECK.skipped(*lacking)
    found, inside = bodies(loop), inside_of(loop)
    if inside is None:
        if found:
            yield CHECK.skipped(found[0].place, "the case", "the build names no case (card, under [case])")
        return
    for body in found:
        if body.meets(inside) and getattr(body.parts[0].card, "kind", "") != "pass-through":
            for way in AXES:
                yield from _judge(loop, body, inside, way)


def _judge(loop: Loop, body: Body, inside: Box, way: Axis) -> Iterator[Finding]:
    along = "xyz".index(way[1])
    around = body.around
    past_m = around.high[along] - inside.high[along] if way[0] == "+" else inside.low[along] - around.low[along]
    slack_m = loop.thresholds("fit_slack")
    if past_m > slack_m + ROUNDING_M:
        fix = (
            f'Shift "{body.id}" by {show(past_m, "length_m")} {WAYS[opposite(way)]}, or take one that is so much '
            f"shorter. If it is meant to reach through the {WALLS[way]} wall, make it a pass-through."
        )
        spread = spread_m(loop, *body.parts)
        subject = f"{body.label} at the {WALLS[way]} wall"
        yield CHECK.finding(body.place, subject, found=past_m, limit=slack_m, spread=spread, fix=fix)
