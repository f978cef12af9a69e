"""WATER-08: every part bears the most pressure its loop can see.

All pumps at full speed against a closed way, and the water column from top to bottom of the loop. What bears less may
burst and flood the board. A note names the least limit when it is below the usual test pressure. Unknown limits are
skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.checks.pressure import most_pa
from headrace.checks.wetted import water_loops
from headrace.loop.model import PlacedPart
from headrace.units import show

CHECK = Check(
    "WATER-08",
    "Part bears less than its loop can see",
    Severity.BEFORE_POWER,
    Group.WATER,
    what="most pressure",
    unit="pa",
    limits=("test_pressure", "assumed_loop_height"),
    gate=Gate.LIQUID,
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every part of every connected loop."""
    for water in water_loops(build.loop):
        most, test = most_pa(build, water), build.loop.thresholds("test_pressure")
        limits: list[tuple[float, PlacedPart]] = []
        for part in build.loop.parts:
            if part.id not in water:
                continue
            if part.card.max_pressure_pa is None:
                reason = f'card "{part.card.id}" states no pressure limit (max_pressure)'
                yield CHECK.skipped(part.place, part_label(part), reason)
                continue
            limit = float(part.card.max_pressure_pa)
            limits.append((limit, part))
            if most > limit:
                yield _too_much(part, most, limit)
        weak = min(limits, key=lambda item: item[0], default=None)
        if weak is not None and most <= weak[0] < test:
            yield _weak(weak[1], weak[0], test)


def _too_much(part: PlacedPart, most: float, limit: float) -> Finding:
    fix = (
        f"Take a part that bears {show(most, 'limit_pa')} in place of {part_label(part)}, or pumps whose pressure at "
        f"no flow is {show(most - limit, 'less_pa')} less. Do not fill it as it is: it may burst; ask its maker."
    )
    return CHECK.finding(part.place, part_label(part), found=most, limit=limit, fix=fix)


def _weak(part: PlacedPart, limit: float, test: float) -> Finding:
    fix = (
        f"Never test this loop with more than {show(limit, 'limit_pa')} of air, though {show(test, 'test_pa')} is "
        f"usual; use a hand pump, wear eye protection, and ask the maker of {part_label(part)}."
    )
    found = f"bears {show(limit, 'limit_pa')}"
    return CHECK.graded(Severity.NOTE).finding(
        part.place, f"weakest part, {part_label(part)}", found=found, limit=test, fix=fix
    )
