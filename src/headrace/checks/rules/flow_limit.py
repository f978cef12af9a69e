"""FLOW-01: each loop moves at least the flow that was agreed.

The flow through the block of a loop that gets least, in every solved state, against [limits] flow; through its
strongest pump where it has no block. Without an agreed flow, or without a pump, it is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.checks.states import find_worst, unsolved
from headrace.checks.wetted import head, pumps, water_loops
from headrace.solve.solution import Solution
from headrace.units import show

CHECK = Check(
    "FLOW-01",
    "Flow below the agreed limit",
    Severity.BEFORE_HANDOVER,
    Group.WATER,
    what="flow",
    unit="m3_s",
    gate=Gate.BUYING,
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """The pumps of every connected loop."""
    limit, place = build.loop.limits.flow_m3_s, build.loop.limits_place
    if limit is None:
        yield CHECK.skipped(place, "flow", "no flow was agreed ([limits] flow)")
        return
    yield from unsolved(CHECK, build)
    loops = [(water, [part.id for part in pumps(build.loop) if part.id in water]) for water in water_loops(build.loop)]
    for water, ids in loops:
        if not ids:
            yield CHECK.skipped(head(build.loop, water).place, "flow", f"no pump is joined to {names(sorted(water))}")
            continue
        yield from _judge(build, water, ids, float(limit))


def _judge(build: Build, water: frozenset[str], ids: list[str], limit: float) -> Iterator[Finding]:
    def flow(solution: Solution) -> dict[str, float]:
        here = [link for link in solution.links if link.owner in water]
        blocks = {link.owner: abs(link.flow_m3_s) for link in here if link.does == "heat"}
        return blocks or {"pump": max((abs(link.flow_m3_s) for link in here if link.does == "pump"), default=0.0)}

    worst = find_worst(build, flow, limit, least=True)
    if worst is not None:
        lack = show(limit - worst.value, "flow_m3_s")
        fix = (
            f"Find {lack} more ({worst.say()}): a faster or second pump, or less loss (see which part takes most); or "
            f"agree on another flow."
        )
        subject = f'loop of pump {names(ids)}, at "{worst.where}"'
        yield CHECK.finding(build.loop.limits_place, subject, found=worst.value, limit=limit, fix=fix)
