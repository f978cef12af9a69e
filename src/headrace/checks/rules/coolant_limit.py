"""HEAT-03: the coolant stays below the limit that was agreed.

The hottest coolant anywhere, in every solved state, against [limits] coolant. Without an agreed limit it is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import find_worst, unsolved, unstated_heat
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
    worst = find_worst(build, lambda solution: solution.coolant_temp_k, limit_k)
    if worst is not None:
        over = show(worst.value - limit_k, "diff_k")
        fix = (
            f"Take {over} off ({worst.say()}): faster fans, more radiator or cooler air into it; or agree on another "
            f"limit with who set it."
        )
        subject = f'coolant at "{worst.where}"'
        yield CHECK.finding(place, subject, found=worst.value, limit=float(limit_k), fix=fix)
