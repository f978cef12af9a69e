"""HEAT-02: no chip is above its limit in any state.

The limit belongs to the chip and is written on the placed block; a block without one is skipped, and so is one whose
card states no resistance.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import find_worst, unsolved, unstated_heat
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
                yield from _judge(build, part, part.limit_k - build.loop.thresholds("chip_margin"))


def _judge(build: Build, part: PlacedPart, limit_k: float) -> Iterator[Finding]:
    def temps(solution: Solution) -> dict[str, float]:
        return {block.part: block.temp_k for block in solution.blocks if block.part == part.id}

    worst = find_worst(build, temps, limit_k)
    if worst is not None:
        over = show(worst.value - limit_k, "diff_k")
        fix = (
            f'Take {over} off the chip under "{part.id}" ({worst.say()}): cooler coolant by as much, a block of less '
            f"resistance, or less heat."
        )
        yield CHECK.finding(part.place, f'chip under block "{part.id}"', found=worst.value, limit=limit_k, fix=fix)
