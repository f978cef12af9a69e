"""SPACE-06: a graphics card has room before its front end.

A card is swung in with its front end first. Without a few millimetres before the next part or wall it does not reach
its slot. A card without place or outline, or in no case, is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.bodies import ROUNDING_M, Body, ahead, bodies, is_graphics, joined
from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.loop.model import Loop, PlacedPart
from headrace.loop.placed import boxes_of, inside_of, spread_m, why_no_boxes
from headrace.units import show

CHECK = Check(
    "SPACE-06",
    "Too little room before a graphics card",
    Severity.STOP,
    Group.SPACE,
    what="gap",
    unit="m",
    limits=("card_gap", "place_spread", "outline_spread"),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every block on a graphics card."""
    loop = build.loop
    found, together = bodies(loop), joined(loop)
    for part in loop.parts:
        if is_graphics(part):
            lack = why_no_boxes(part)
            others = tuple(b for b in found if part not in b.parts and frozenset((part.id, b.id)) not in together)
            if lack:
                yield CHECK.skipped(part.place, part_label(part), lack)
            else:
                yield from _judge(loop, part, others)


def _judge(loop: Loop, part: PlacedPart, others: tuple[Body, ...]) -> Iterator[Finding | Skipped]:
    boxes, inside = boxes_of(part), inside_of(loop)
    before = [(gap_m, body.label, body.parts) for box in boxes for gap_m, body in ahead(box, "+x", others)]
    if inside is not None:
        wall_m = inside.high[0] - max(box.high[0] for box in boxes)
        before.extend([(wall_m, "the front wall of the case", ())] if wall_m >= -ROUNDING_M else [])
    limit_m = loop.thresholds("card_gap")
    near = [hit for hit in before if hit[0] < limit_m - ROUNDING_M]
    if near:
        gap_m, what, parts = min(near, key=lambda hit: hit[0])
        fix = (
            f'Take a card at least {show(limit_m - gap_m, "length_m")} shorter than "{part.id}", or make so much more '
            f"room before it: {what} is next."
        )
        spread = spread_m(loop, part, *parts)
        yield CHECK.finding(part.place, part_label(part), found=gap_m, limit=limit_m, spread=spread, fix=fix)
    elif inside is None:
        yield CHECK.skipped(part.place, part_label(part), "the build names no case (card, under [case])")
