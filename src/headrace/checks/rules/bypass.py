"""WATER-12: little water goes past the blocks by a way beside them.

Water in an arm without block or radiator, beside an arm with a block, cools nothing. Arms that begin and end
together, in every solved state; an arm that parts again within is not looked into. States without a solution are
skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.arms import Arm, branched, parallel_arms
from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import unsolved
from headrace.checks.wetted import lines
from headrace.errors import Place
from headrace.loop.model import Loop
from headrace.parts.block import Block
from headrace.solve.solution import Solution
from headrace.units import show

CHECK = Check(
    "WATER-12",
    "Water bypasses the blocks",
    Severity.BEFORE_HANDOVER,
    Group.WATER,
    what="share past the blocks",
    unit="frac",
    limits=("bypass_share",),
)
_ROUNDING = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every arm beside a block, in the state in which it takes most."""
    loop, limit = build.loop, build.loop.thresholds("bypass_share")
    if not branched(loop) or not any(isinstance(part.card, Block) for part in loop.parts):
        return
    yield from unsolved(CHECK, build)
    worst: dict[str, tuple[float, str]] = {}
    for state, solution in build.solutions:
        for first, share in _shares(solution).items():
            worst[first] = max(worst.get(first, (0.0, "")), (share, state.name))
    for first, (share, name) in worst.items():
        if share > limit + _ROUNDING:
            fix = (
                f"Close this way with a valve or a plug, or add loss to it, until it takes "
                f'{show(share - limit, "share_frac")} less (state "{name}"); the blocks then get that water.'
            )
            place = _place(loop, first)
            yield CHECK.finding(place, f"way by {names([first])}", found=share, limit=limit, fix=fix)


def _place(loop: Loop, id_: str) -> Place:
    """Where a run, a joint or else a part stands in the file."""
    line = {line.id: line.place for line in lines(loop)}
    return line[id_] if id_ in line else loop.part(id_).place


def _shares(solution: Solution) -> dict[str, float]:
    """The share of each arm beside a block that cools nothing, by the run or part in it."""
    found = {}
    for group in parallel_arms(solution):
        whole = sum(arm.flow_m3_s for arm in group)
        if any(arm.owners("heat") for arm in group):
            found.update({_name(arm): arm.flow_m3_s / whole for arm in group if _idle(arm)})
    return found


def _idle(arm: Arm) -> bool:
    return not any(arm.owners(work) for work in ("heat", "cool", "pump"))


def _name(arm: Arm) -> str:
    """What an arm is known by: its first run or joint, else its first part."""
    return next((link.owner for link in arm.links if link.kind != "part"), arm.links[0].owner)
