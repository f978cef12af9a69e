"""HEAT-02: no chip is above its limit in any state.

The limit belongs to the chip and is written on the placed block; a block without one is skipped, and so is one whose
card states no resistance. Where it holds by the middle values and not by the 90 % band, a note says how sure it is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.chance import find_doubt, in_reach
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import Worst, find_worst, unsolved, unstated_heat
from headrace.loop.model import PlacedPart
from headrace.parts.block import Block
from headrace.solve.solution import Solution
from headrace.units import show

CHECK = Check(
    "HEAT-02",
    "Chip above its limit",
    Severity.BEFORE_HANDOVER,
    Group.HEAT,
    what="chip",
    unit="k",
    limits=("chip_margin",),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every block."""
    yield from unsolved(CHECK, build)
    yield from unstated_heat(CHECK, build)
    for part in build.loop.parts:
        if isinstance(part.card, Block):
            if part.limit_k is None:
                yield CHECK.skipped(part.place, f'block "{part.id}"', "the part states no limit of its chip (limit)")
            elif part.card.resistance is None:
                reason = f'card "{part.card.id}" states no resistance'
                yield CHECK.skipped(part.place, f'block "{part.id}"', reason)
            else:
                yield from _judge(build, part, float(part.limit_k))


def _judge(build: Build, part: PlacedPart, own_k: float) -> Iterator[Finding]:
    """The margin is a reserve for what is not known, so the band is held against the chip's own limit."""
    limit_k = own_k - build.loop.thresholds("chip_margin")

    def temps(solution: Solution) -> dict[str, float]:
        return {block.part: block.temp_k for block in solution.blocks if block.part == part.id}

    worst, nearest = find_worst(build, temps, limit_k), find_worst(build, temps, -math.inf)
    subject = f'chip under block "{part.id}"'
    if worst is not None:
        over = show(worst.value - limit_k, "diff_k")
        fix = (
            f'Take {over} off the chip under "{part.id}" ({worst.say()}): cooler coolant by as much, a block of less '
            f"resistance, or less heat."
        )
        yield CHECK.finding(part.place, subject, found=worst.value, limit=limit_k, fix=fix)
    elif nearest is not None and in_reach(build, nearest, own_k, part.id):
        yield from _doubt(build, part, subject, nearest, own_k)


def _doubt(build: Build, part: PlacedPart, subject: str, worst: Worst, own_k: float) -> Iterator[Finding]:
    doubt = find_doubt(build, worst.state, ("part_temp_k", part.id), own_k, f"chip of {part.id}")
    if doubt is not None:
        found = f"chip up to {show(doubt.high, 'temp_k')} in the 90 % band"
        fix = (
            f'It holds by {show(own_k - worst.value, "margin_k")} in state "{worst.state}", but {doubt.said}. Measure '
            f"that, or keep {show(doubt.high - own_k, 'diff_k')} more in hand."
        )
        yield CHECK.graded(Severity.NOTE).finding(part.place, subject, found=found, limit=own_k, fix=fix)
