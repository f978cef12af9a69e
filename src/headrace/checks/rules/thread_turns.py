"""THREAD-03: every stud holds by enough turns of its thread.

A short stud seats its O-ring and still strips, in plastic first. Turns are the length of the stud over the pitch of its
thread. A stud of unknown length is skipped; bolted faces have no turns.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import all_ends, unfitted
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.parts.tables import find_thread
from headrace.parts.tube import Fitting
from headrace.units import show

CHECK = Check(
    "THREAD-03",
    "Stud with too few turns",
    Severity.BEFORE_POWER,
    Group.PORTS,
    what="turns",
    limits=("thread_turns",),
    gate=Gate.LIQUID,
)
_ROUNDING = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every fitting at every port, each card at a port once."""
    for place, subject, reason in unfitted(build.loop):
        yield CHECK.skipped(place, subject, reason)
    least = build.loop.thresholds("thread_turns")
    for end in all_ends(build.loop):
        for fitting in {each.id: each for each in end.fittings}.values():
            pitch_m = find_thread(fitting.thread).pitch_m
            if not pitch_m:
                continue
            subject = f'fitting "{fitting.id}" at "{end.port}"'
            if fitting.stud_m is None:
                yield CHECK.skipped(end.place, subject, f'card "{fitting.id}" states no length of its stud (stud)')
            elif fitting.stud_m / pitch_m < least - _ROUNDING:
                yield CHECK.finding(
                    end.place,
                    subject,
                    found=f"{fitting.stud_m / pitch_m:.3g} turns of {fitting.thread}",
                    limit=f"{least:g} turns",
                    fix=_fix(fitting, least * pitch_m),
                )


def _fix(fitting: Fitting, length_m: float) -> str:
    return (
        f'Take a fitting with a stud of {show(length_m, "stud_m", digits=2)} or more in place of "{fitting.id}", as '
        "far as "
        f"the port is deep enough; do not make up for it by tightening, least of all in plastic."
    )
