"""SPACE-02: no part stands through a wall of the case.

A part that is a little too long is found when the case is open and the money spent. Radiators, pumps, reservoirs and
couplings may stand wholly outside, pass-throughs in a wall; blocks, memory, drive cages and power supplies belong in.
Without a case, or where a part states no place or outline, it is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.bodies import ROUNDING_M, WALLS, Body, bodies, moved, unplaced, way_text
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
_INNER = {"block", "power-supply", "memory", "drive cage"}


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
        if not body.meets(inside):
            yield from _outside(body)
        elif getattr(body.parts[0].card, "kind", "") != "pass-through":
            for way in AXES:
                yield from _judge(loop, body, inside, way)


def _outside(body: Body) -> Iterator[Finding]:
    """What belongs inside and stands wholly outside."""
    card = body.parts[0].card
    if {getattr(card, "kind", ""), getattr(card, "what", "")} & _INNER:
        fix = (
            f'Correct at_mm or turned of "{body.id}": it belongs inside, where x runs from the rear to the front, '
            "y from left to right and z up from the floor."
        )
        yield CHECK.finding(body.place, body.label, found="wholly outside the case", limit="inside", fix=fix)


def _judge(loop: Loop, body: Body, inside: Box, way: Axis) -> Iterator[Finding]:
    along = "xyz".index(way[1])
    around = body.around
    past_m = around.high[along] - inside.high[along] if way[0] == "+" else inside.low[along] - around.low[along]
    slack_m = loop.thresholds("fit_slack")
    if past_m > slack_m + ROUNDING_M:
        fix = (
            f"Shift {moved(loop, body.parts[0])} by {show(past_m, 'length_m')} {way_text(loop, opposite(way))}, or "
            f"take one that is so much shorter. If it is to go through the {WALLS[way]} wall, make it a pass-through."
        )
        spread = spread_m(loop, *body.parts)
        subject = f"{body.label} at the {WALLS[way]} wall"
        yield CHECK.finding(body.place, subject, found=past_m, limit=slack_m, spread=spread, fix=fix)
