"""WATER-08: every part bears the most pressure its loop can see.

All pumps at full speed against a closed way, and the water column from top to bottom of the loop. What bears less may
burst and flood the board. A note names the least limit, tube and fittings included, when it is below the usual test
pressure. Unknown limits of parts are skipped; tube and fittings against the pumps are TUBE-09.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.checks.pressure import limits_pa, most_pa
from headrace.checks.slack import above
from headrace.checks.wetted import Wet, water_loops
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
        for part in build.loop.parts:
            if part.id in water:
                yield from _judge(part, most)
        limit, weak = min(limits_pa(build.loop, water), key=lambda item: item[0], default=(test, None))
        if weak is not None and limit < test and not above(most, limit):
            yield _weak(weak, limit, test)


def _judge(part: PlacedPart, most: float) -> Iterator[Finding | Skipped]:
    limit = part.card.max_pressure_pa
    if limit is None:
        reason = f'card "{part.card.id}" states no pressure limit (max_pressure)'
        yield CHECK.skipped(part.place, part_label(part), reason)
    elif above(most, float(limit)):
        yield _too_much(part, most, float(limit))


def _too_much(part: PlacedPart, most: float, limit: float) -> Finding:
    fix = (
        f"Take a part that bears {show(most, 'limit_pa')} in place of {part_label(part)}, or pumps whose pressure at "
        f"no flow is {show(most - limit, 'less_pa')} less. Do not fill it as it is: it may burst; ask its maker."
    )
    return CHECK.finding(part.place, part_label(part), found=most, limit=limit, fix=fix)


def _weak(wet: Wet, limit: float, test: float) -> Finding:
    fix = (
        f"Never test this loop with more than {show(limit, 'limit_pa')} of air, though {show(test, 'test_pa')} is "
        f"usual; use a hand pump, wear eye protection, and ask the maker of {wet.label}."
    )
    found = f"bears {show(limit, 'limit_pa')}"
    return CHECK.graded(Severity.NOTE).finding(
        wet.place, f"weakest part, {wet.label}", found=found, limit=test, fix=fix
    )
