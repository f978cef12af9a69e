"""HEAT-03: the coolant stays below the limit that was agreed.

The hottest coolant anywhere, in every solved state, against [limits] coolant. Without an agreed limit it is skipped.
Where it holds by the middle values and not by the 90 % band, a note says how sure it is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from headrace.checks.build import Build
from headrace.checks.chance import find_doubt, in_reach
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import Worst, find_worst, unsolved, unstated_heat
from headrace.solve.solution import Solution
from headrace.units import show

CHECK = Check(
    "HEAT-03", "Coolant above the agreed limit", Severity.BEFORE_HANDOVER, Group.HEAT, what="coolant", unit="k"
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """The hottest coolant of all states."""
    limit_k, place = build.loop.limits.coolant_k, build.loop.limits_place
    if limit_k is None:
        yield CHECK.skipped(place, "coolant", "no limit was agreed ([limits] coolant)")
        return
    yield from unsolved(CHECK, build)
    yield from unstated_heat(CHECK, build)
    yield from _judge(build, float(limit_k))


def _judge(build: Build, limit_k: float) -> Iterator[Finding]:
    def temps(solution: Solution) -> Mapping[str, float]:
        return solution.coolant_temp_k

    worst, nearest = find_worst(build, temps, limit_k), find_worst(build, temps, -math.inf)
    if worst is not None:
        over = show(worst.value - limit_k, "diff_k")
        fix = (
            f"Take {over} off ({worst.say()}): faster fans, more radiator or cooler air into it; or agree on another "
            f"limit with who set it."
        )
        subject = f'coolant at "{worst.where}"'
        yield CHECK.finding(build.loop.limits_place, subject, found=worst.value, limit=limit_k, fix=fix)
    elif nearest is not None and in_reach(build, nearest, limit_k):
        yield from _doubt(build, nearest, limit_k)


def _doubt(build: Build, nearest: Worst, limit_k: float) -> Iterator[Finding]:
    doubt = find_doubt(build, nearest.state, ("coolant_temp_k", nearest.where), limit_k, "coolant")
    if doubt is not None:
        found = f"coolant up to {show(doubt.high, 'temp_k')} in the 90 % band"
        fix = (
            f'It holds by {show(limit_k - nearest.value, "margin_k")} in state "{nearest.state}", but {doubt.said}. '
            f"Measure that, or keep {show(doubt.high - limit_k, 'diff_k')} more in hand."
        )
        subject = f'coolant at "{nearest.where}"'
        yield CHECK.graded(Severity.NOTE).finding(build.loop.limits_place, subject, found=found, limit=limit_k, fix=fix)
