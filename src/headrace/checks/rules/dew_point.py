"""HEAT-06: nothing the coolant cools is near the dew point of the room.

Water from the air settles on what is colder than its dew point, first on the blocks over the board. Only air colder
than the room, into a radiator, can bring a loop there; a build without it is not asked. Unsolved states are skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.checks.states import unsolved
from headrace.fluids.air import dew_point_k
from headrace.loop.model import State
from headrace.solve.solution import Solution
from headrace.units import show

CHECK = Check(
    "HEAT-06",
    "Coolant near the dew point of the room",
    Severity.STOP,
    Group.HEAT,
    what="coolant",
    unit="k",
    limits=("dew_margin",),
    gate=Gate.POWER,
)
_ROUNDING_K = 1e-3


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every state of a build that is fed colder air than its room's."""
    if not any(inlet.plus_k < 0.0 for stack in build.loop.stacks for inlet in stack.inlets):
        return
    yield from unsolved(CHECK, build)
    for state, solution in build.solutions:
        yield from _judge(build, state, solution)


def _judge(build: Build, state: State, solution: Solution) -> Iterator[Finding]:
    dew_k = float(dew_point_k(float(state.room_k), float(state.humidity_frac)))
    limit_k = min(dew_k + build.loop.thresholds("dew_margin"), solution.room_k)
    temp_k, port = min(((temp, port) for port, temp in solution.coolant_temp_k.items()), default=(limit_k, ""))
    if temp_k < limit_k - _ROUNDING_K:
        lack = show(limit_k - temp_k, "diff_k")
        humid = show(float(state.humidity_frac), "humidity_frac")
        fix = (
            f"At {humid} in a room of {show(solution.room_k, 'room_k')} the air gives off water at "
            f"{show(dew_k, 'dew_k')}. Keep the coolant {lack} warmer, or dry the room; water on a board under power "
            f"ruins it and may be dangerous: no power before this is cured."
        )
        subject = f'coolant at "{port}" in state "{state.name}"'
        yield CHECK.finding(state.place, subject, found=temp_k, limit=limit_k, fix=fix)
