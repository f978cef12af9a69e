"""HEAT-01: the coolant is nowhere warmer than what it touches can bear.

Tube softens, joints creep, pump bearings wear. Each part is judged at its hottest port in every solved state, tube
and fittings card by card. A card without max_temp is skipped, and so is a state without a solution.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Severity, Skipped
from headrace.checks.states import find_worst, unsolved
from headrace.checks.wetted import Wet, water_loops, wetted
from headrace.solve.solution import Solution
from headrace.units import show

CHECK = Check("HEAT-01", "Coolant too warm for a part", Severity.BEFORE_POWER, what="coolant", unit="k")


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every wetted thing of every loop."""
    yield from unsolved(CHECK, build)
    for water in water_loops(build.loop):
        for wet in wetted(build.loop, water):
            if wet.card.max_temp_k is None:
                yield CHECK.skipped(wet.place, wet.label, f'card "{wet.card.id}" states no max_temp')
            else:
                yield from _judge(build, wet, wet.card.max_temp_k - build.loop.thresholds("part_margin"))


def _judge(build: Build, wet: Wet, limit_k: float) -> Iterator[Finding]:
    def temps(solution: Solution) -> dict[str, float]:
        return {port: solution.coolant_temp_k[port] for port in wet.ports if port in solution.coolant_temp_k}

    worst = find_worst(build, temps, limit_k)
    if worst is not None:
        over = show(worst.value - limit_k, "diff_k")
        fix = (
            f'Bring the coolant at "{worst.where}" down by {over} ({worst.say()}): faster fans, more radiator, less '
            f"heat; or take a part that bears {show(worst.value, 'temp_k')}."
        )
        yield CHECK.finding(wet.place, wet.label, found=worst.value, limit=limit_k, fix=fix)
