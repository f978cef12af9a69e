"""SCREW-02: every fan screw has enough thread in its radiator.

A screw that holds by one turn strips the flange or shakes loose, and the fan rattles. Where the radiator has less room
for a screw, that is enough. A stack that states no length of its screws is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.mounted import reach_m, screwed
from headrace.units import show

CHECK = Check(
    "SCREW-02",
    "Fan screw too short",
    Severity.BEFORE_POWER,
    Group.SCREWS,
    what="thread in the radiator",
    unit="m",
    limits=("screw_grip",),
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every stack that names its fan, on each radiator that carries one."""
    usual_m = build.loop.thresholds("screw_grip")
    for stack in build.loop.stacks:
        for part, card in screwed(stack):
            limit_m = min(usual_m, usual_m if card.screw_room_m is None else float(card.screw_room_m))
            subject, deep_m = f'screws of stack "{stack.id}" in radiator "{part}"', reach_m(stack)
            if deep_m is None:
                reason = f'stack "{stack.id}" does not say how long its screws are (screw)'
                yield CHECK.skipped(stack.place, subject, reason)
            elif deep_m < limit_m - _ROUNDING_M:
                longer = show(float(stack.screw_m or 0.0) - deep_m + limit_m, "length_m")
                fix = f"Take screws of at least {longer}, and no longer than SCREW-01 lets pass."
                yield CHECK.finding(stack.place, subject, found=max(deep_m, 0.0), limit=limit_m, fix=fix)
