"""THREAD-02: no stud is so long that it bottoms in its port before the O-ring seats.

A stud that touches the bottom feels tight and leaks. Port depth and stud length come from the cards; where one is
not stated the end is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import End, all_ends, unfitted
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.loop.model import Joint, Loop
from headrace.parts.tube import Fitting
from headrace.units import show

CHECK = Check(
    "THREAD-02",
    "Stud longer than its port",
    Severity.STOP,
    Group.PORTS,
    what="stud",
    unit="m",
    limits=("stud_reserve",),
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every fitting against the depth of what it screws into."""
    loop = build.loop
    for place, subject, reason in unfitted(loop):
        yield CHECK.skipped(place, subject, reason)
    for end in all_ends(loop):
        part, port = loop.port(end.port)
        holder, depth_m, lack = f'"{end.port}"', port.depth_m, _no_depth(part.card.id, end.port)
        for fitting in end.fittings:
            yield from _judge(loop, end, fitting, holder, depth_m, lack)
            holder, depth_m = f'"{fitting.id}"', fitting.opens_depth_m
            lack = f'card "{fitting.id}" states no depth of the thread it opens into (opens_depth)'
        if isinstance(end.user, Joint) and end.fittings:
            yield from _far_end(loop, end, end.user)


def _far_end(loop: Loop, end: End, joint: Joint) -> Iterator[Finding | Skipped]:
    """The second stud of a fitting that joins two ports, taken as long as its first."""
    last = end.fittings[-1]
    if last.opens is None and last.tube is None:
        part, port = loop.port(joint.to_port)
        lack = _no_depth(part.card.id, joint.to_port)
        yield from _judge(loop, end, last, f'"{joint.to_port}"', port.depth_m, lack)


def _no_depth(card: str, port: str) -> str:
    return f'card "{card}" states no depth of port "{port.partition(".")[2]}" (depth)'


def _judge(
    loop: Loop, end: End, fitting: Fitting, holder: str, depth_m: float | None, lack: str
) -> Iterator[Finding | Skipped]:
    subject = f'fitting "{fitting.id}" in {holder}'
    if fitting.stud_m is None:
        yield CHECK.skipped(end.place, subject, f'card "{fitting.id}" states no length of its stud (stud)')
    elif depth_m is None:
        yield CHECK.skipped(end.place, subject, lack)
    else:
        limit_m = depth_m - loop.thresholds("stud_reserve")
        if fitting.stud_m > limit_m + _ROUNDING_M:
            over = show(fitting.stud_m - limit_m, "length_m")
            fix = (
                f'Put a spacer ring of at least {over} under fitting "{fitting.id}" with a second O-ring, or a fitting '
                f"or extender whose stud is {show(max(limit_m, 0.0), 'stud_m')} or shorter."
            )
            yield CHECK.finding(end.place, subject, found=float(fitting.stud_m), limit=limit_m, fix=fix)
