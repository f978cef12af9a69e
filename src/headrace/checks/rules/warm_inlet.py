"""HEAT-04: the air that goes into a radiator is about as cool as the room.

A radiator gives off its strength times the step from coolant to the air it breathes; each kelvin of warm air is taken
from that step. Judged in the first state; one that was not solved is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import find_first
from headrace.loop.airfile import InletEntry
from headrace.loop.model import Stack
from headrace.solve.solution import RadiatorResult
from headrace.units import show

CHECK = Check(
    "HEAT-04",
    "Radiator breathes warm air",
    Severity.NOTE,
    Group.HEAT,
    what="air over the room by",
    unit="rise_k",
    limits=("warm_inlet",),
)
_ROUNDING_K = 1e-6


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every radiator."""
    if not build.loop.stacks:
        return
    first = find_first(CHECK, build)
    if isinstance(first, Skipped):
        yield first
        return
    state, solution = first
    stacks = {stack.id: stack for stack in build.loop.stacks}
    for radiator in solution.radiators:
        rise_k = radiator.air_in_temp_k - solution.room_k
        if rise_k > build.loop.thresholds("warm_inlet") + _ROUNDING_K:
            yield _finding(build, stacks[radiator.stack], radiator, rise_k, state.name)


def _finding(build: Build, stack: Stack, radiator: RadiatorResult, rise_k: float, state: str) -> Finding:
    cost = show(radiator.strength_w_k * rise_k, "heat_w")
    fix = (
        f'In state "{state}" it breathes {_sources(stack, radiator.part)}. With room air "{radiator.part}" would give '
        f"off up to {cost} more at the same coolant ({show(radiator.strength_w_k, 'strength_w_k')} times "
        f"{show(rise_k, 'rise_k')}): turn its air round, lead the warm air past it, or move more air through the case."
    )
    subject = f'radiator "{radiator.part}" in stack "{stack.id}"'
    return CHECK.finding(stack.place, subject, found=rise_k, limit=build.loop.thresholds("warm_inlet"), fix=fix)


def _sources(stack: Stack, radiator: str) -> str:
    """Where the air of a radiator comes from, in words."""
    if radiator != stack.radiator:
        before = stack.radiators[stack.radiators.index(radiator) - 1]
        return f'the exhaust of "{before}", behind which it stands'
    words = [word for inlet in stack.inlets if (word := _source(inlet))]
    if stack.recirculated_frac:
        words.append(f"{show(stack.recirculated_frac, 'share_frac')} of its own exhaust")
    return " and ".join(words)


def _source(inlet: InletEntry) -> str:
    plus = f" with {show(inlet.plus_k, 'rise_k')} on top" if inlet.plus_k else ""
    if inlet.from_ == "room":
        return f"room air{plus}" if plus else ""
    whose = "the air of the case" if inlet.from_ == "case" else f'the exhaust of "{inlet.from_}"'
    return f"{show(inlet.share_frac, 'share_frac')} of {whose}{plus}"
