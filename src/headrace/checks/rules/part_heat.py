"""HEAT-01: the coolant is nowhere warmer than what it touches can bear.

Tube softens, joints creep, pump bearings wear. Each part is judged at its hottest port in every solved state, tube
and fittings card by card. A card without max_temp is skipped, and so is a state without a solution.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import find_worst, unsolved, unstated_heat
from headrace.checks.wetted import Wet, owner, water_loops, wetted
from headrace.solve.solution import Solution
from headrace.units import show

CHECK = Check(
    "HEAT-01",
    "Coolant too warm for a part",
    Severity.BEFORE_POWER,
    Group.HEAT,
    what="coolant",
    unit="k",
    limits=("part_margin",),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every wetted thing of every loop."""
    yield from unsolved(CHECK, build)
    yield from unstated_heat(CHECK, build)
    for water in water_loops(build.loop):
        for wet in wetted(build.loop, water):
            if wet.card.max_temp_k is None:
                yield CHECK.skipped(wet.place, wet.label, f'card "{wet.card.id}" states no max_temp')
            elif build.solutions and not _temps(wet, build.solutions[0][1]):
                yield CHECK.skipped(wet.place, wet.label, "no coolant temperature is known where it sits")
            else:
                yield from _judge(build, wet, wet.card.max_temp_k - build.loop.thresholds("part_margin"))


def _temps(wet: Wet, solution: Solution) -> dict[str, float]:
    """Coolant at the ports of a wetted thing; a port the water only stands in has that of its part's other ports."""
    temps = solution.coolant_temp_k
    found = {port: temps[port] for port in wet.ports if port in temps}
    parts = {owner(port) for port in wet.ports}
    return found or {port: temp for port, temp in temps.items() if owner(port) in parts}


def _judge(build: Build, wet: Wet, limit_k: float) -> Iterator[Finding]:
    worst = find_worst(build, lambda solution: _temps(wet, solution), limit_k)
    if worst is not None:
        over = show(worst.value - limit_k, "diff_k")
        fix = (
            f'Bring the coolant at "{worst.where}" down by {over} ({worst.say()}): faster fans, more radiator, less '
            f"heat; or take a part that bears {show(worst.value, 'temp_k')}."
        )
        yield CHECK.finding(wet.place, wet.label, found=worst.value, limit=limit_k, fix=fix)
