"""WATER-14: no pump is asked to run slower than it can.

Below its least speed a pump may stop, or not start again, and nothing cools. Every state that states a speed above
zero and below full speed; a pump whose card states no least speed is skipped then.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.slack import below
from headrace.checks.wetted import pumps
from headrace.loop.model import Loop
from headrace.parts.pump import Pump
from headrace.units import show

CHECK = Check("WATER-14", "Pump slower than it can run", Severity.BEFORE_POWER, Group.WATER, what="speed", unit="frac")


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every pump, in the state in which it is slowest."""
    for part in pumps(build.loop):
        slowest = min(_speeds(build.loop, part.id), default=None)
        if slowest is None or not isinstance(part.card, Pump):
            continue
        speed, name = slowest
        limit = part.card.min_speed_frac
        if limit is None:
            reason = f'card "{part.card.id}" states no least speed (min_speed), and state "{name}" runs it slowly'
            yield CHECK.skipped(part.place, part_label(part), reason)
        elif below(speed, float(limit)):
            fix = (
                f'Run {part_label(part)} at {show(float(limit), "speed_frac")} or more in state "{name}", or switch it '
                f"off there (0 %) if another pump runs. Watch the flow when it is first slowed; ask its maker."
            )
            subject = f'{part_label(part)}, in state "{name}"'
            yield CHECK.finding(part.place, subject, found=speed, limit=float(limit), fix=fix)


def _speeds(loop: Loop, id_: str) -> list[tuple[float, str]]:
    """Speeds below full that states ask of a pump, each with its state; standing still is none."""
    stated = [(float(state.speed[id_]), state.name) for state in loop.states if id_ in state.speed]
    return [(speed, name) for speed, name in stated if 0.0 < speed < 1.0]
