"""HEAT-09: the fans of every radiator are strong enough for what stands in their air.

A fan that stalls is loud and unsteady; one that is overcome lets warm air come back. Told from the fans' curves, so a
stack whose airflow is not known is skipped; a stated airflow is believed.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import unsolved
from headrace.loop.model import Stack
from headrace.solve.solution import AirResult
from headrace.units import show

CHECK = Check(
    "HEAT-09",
    "Radiator starved of air",
    Severity.BEFORE_HANDOVER,
    Group.HEAT,
    what="air",
    limits=("stall_share",),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """The air of every stack in every state."""
    if not build.loop.stacks:
        return
    yield from unsolved(CHECK, build)
    for stack in build.loop.stacks:
        found = [
            (state.name, air)
            for state, solution in build.solutions
            for air in solution.air
            if air.id == stack.id and air.speed_hz != 0.0
        ]
        unknown = [name for name, air in found if air.origin == "unknown"]
        if unknown:
            yield CHECK.skipped(stack.place, f'stack "{stack.id}"', _lack(stack))
        yield from _judge(build, stack, found)


def _lack(stack: Stack) -> str:
    if stack.fan is None:
        return "its airflow is not known: it names no fan (fan), and states no air"
    if stack.fan.curve is None:
        return f'its airflow is not known: card "{stack.fan.id}" states no curve (curve)'
    return (
        f'its airflow is not known: card "{stack.card.id}" states no air_loss, or the number of fans is missing (fans)'
    )


def _judge(build: Build, stack: Stack, found: list[tuple[str, AirResult]]) -> Iterator[Finding]:
    share = show(build.loop.thresholds("stall_share"), "share_frac")
    back = [(name, air) for name, air in found if air.backwards]
    stalled = [(name, air) for name, air in found if air.stalled]
    subject = f'stack "{stack.id}" with radiator "{stack.radiator}"'
    if back:
        says = "air goes backwards through it"
        fix = (
            f"{_where(back, found)} other fans or a tight case overcome its own: turn them faster, take something out "
            f"of its air, or give the case another opening."
        )
        yield CHECK.finding(stack.place, subject, found=says, limit="air the way the fans blow", fix=fix)
    elif stalled:
        says = f"its fans stall at {_flow(stalled[0][1])}"
        fix = (
            f"{_where(stalled, found)} they move less than {share} of what they move freely, louder and less steady "
            f"than their card says: take fans with more pressure, a core that is more open, or a wider grille or "
            f"filter."
        )
        note = CHECK.graded(Severity.NOTE)
        yield note.finding(stack.place, subject, found=says, limit=f"{share} of their free airflow", fix=fix)


def _flow(air: AirResult) -> str:
    return show(air.air_flow_m3_s, "air_flow_m3_s")


def _where(hit: list[tuple[str, AirResult]], found: list[tuple[str, AirResult]]) -> str:
    return f'In state "{hit[0][0]}" ({len(hit)} of {len(found)} states)'
