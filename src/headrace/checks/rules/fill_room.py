"""WATER-07: every loop has a fill port, and a bottle reaches it.

A port with a radiator close above it is filled beside, and what is spilt stands on the board. Free way along the axis
of the port, as wide as a filling bottle's mouth, to the next part or wall; a wall that opens is none. What is unknown
is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.checks.reach import Reach, reach_of
from headrace.checks.wetted import head, owner, water_loops
from headrace.loop.model import Loop, PortUse
from headrace.loop.placed import spread_m, why_no_port
from headrace.units import show

CHECK = Check(
    "WATER-07",
    "Fill port missing or out of reach",
    Severity.BEFORE_POWER,
    Group.WATER,
    what="room before the fill port",
    unit="m",
    limits=("fill_room", "fill_width"),
    gate=Gate.LIQUID,
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every connected loop."""
    loop = build.loop
    for water in water_loops(loop):
        fills = [use for use in loop.port_uses if use.use == "fill" and owner(use.port) in water]
        if not fills:
            part = head(loop, water)
            subject = f"loop of {part_label(part)}"
            fix = 'Write which port it is filled by, a high one: [[port]] with use = "fill".'
            yield CHECK.finding(part.place, subject, found="0 fill ports", limit="at least 1", fix=fix)
        for use in fills:
            yield from _judge(loop, use)


def _judge(loop: Loop, use: PortUse) -> Iterator[Finding | Skipped]:
    need, width = loop.thresholds("fill_room"), loop.thresholds("fill_width")
    subject, lack = f'fill port "{use.port}"', why_no_port(loop, use.port)
    reach = None if lack else reach_of(loop, use.port, width)
    if reach is None:
        yield CHECK.skipped(use.place, subject, lack)
    elif reach.free_m < need - _ROUNDING_M:
        yield _short(loop, use, reach, need)
    elif reach.lack(need):
        yield CHECK.skipped(use.place, subject, reach.lack(need))


def _short(loop: Loop, use: PortUse, reach: Reach, need: float) -> Finding:
    part = loop.part(owner(use.port))
    fix = (
        f"Make {show(need - reach.free_m, 'room_m')} more room before {reach.what}, fill by another port, or bring the "
        f"port out with an extender or a fill tube. Cover board and power supply before filling; power off at the wall."
    )
    parts = (part,) if reach.part is None else (part, reach.part)
    spread = spread_m(loop, *parts)
    return CHECK.finding(use.place, f'fill port "{use.port}"', found=reach.free_m, limit=need, fix=fix, spread=spread)
