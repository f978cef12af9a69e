"""WATER-11: no water goes backwards through a pump.

A stronger pump beside a weaker or stopped one presses water back through it: it turns against its drive, and the
blocks go short. In every solved state of a loop with two pumps or more. States without a solution are skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names, part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import unsolved
from headrace.checks.water import STILL_M3_S
from headrace.checks.wetted import pumps, water_loops
from headrace.loop.model import Loop

CHECK = Check("WATER-11", "Pump driven backwards", Severity.STOP, Group.WATER, what="flow", unit="m3_s")


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every pump that has another in its loop, in the state with the most water backwards."""
    loop = build.loop
    paired = [part for part in pumps(loop) if _others(loop, part.id)]
    if paired:
        yield from unsolved(CHECK, build)
    for part in paired:
        flows = [
            (link.flow_m3_s, state.name)
            for state, solution in build.solutions
            for link in solution.links
            if link.owner == part.id and link.does == "pump"
        ]
        worst = min(flows, default=(0.0, ""))
        if worst[0] < -STILL_M3_S:
            fix = (
                f"Put a check valve behind {part_label(part)}, run it as fast as {names(_others(loop, part.id))}, or "
                f'join the pumps in series (state "{worst[1]}"). If its ports are swapped, swap the tubes.'
            )
            subject = f'{part_label(part)}, in state "{worst[1]}"'
            yield CHECK.finding(part.place, subject, found=worst[0], limit=0.0, fix=fix)


def _others(loop: Loop, id_: str) -> list[str]:
    """The other pumps in the water of a pump."""
    here = [other.id for water in water_loops(loop) if id_ in water for other in pumps(loop) if other.id in water]
    return [other for other in here if other != id_]
