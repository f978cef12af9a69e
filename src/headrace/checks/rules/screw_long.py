"""SCREW-01: no fan screw reaches the tubes of its radiator.

A screw that is too long goes through the flange into a tube, and the leak shows behind the fan once the loop is filled.
Where the card does not state how far a screw may go in, flange and reserve are a guess: measure first. A stack that
states no screw, or a radiator without flange or screw room, is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.mounted import reach_m, screwed
from headrace.loop.model import Loop, Stack
from headrace.parts.radiator import Radiator
from headrace.units import show

CHECK = Check(
    "SCREW-01",
    "Fan screw too long",
    Severity.STOP,
    Group.SCREWS,
    what="screw in the radiator",
    unit="m",
    limits=("screw_reserve",),
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every stack that names its fan, on each radiator that carries one."""
    for stack in build.loop.stacks:
        for part, card in screwed(stack):
            yield from _judge(build.loop, stack, part, card)


def _judge(loop: Loop, stack: Stack, part: str, card: Radiator) -> Iterator[Finding | Skipped]:
    subject = f'screws of stack "{stack.id}" in radiator "{part}"'
    deep_m, room_m = reach_m(stack), _room_m(loop, card)
    if deep_m is None:
        yield CHECK.skipped(stack.place, subject, f'stack "{stack.id}" does not say how long its screws are (screw)')
    elif room_m is None:
        yield CHECK.skipped(stack.place, subject, f'card "{card.id}" states neither flange nor screw_room')
    elif deep_m > room_m + _ROUNDING_M:
        over, longest = show(deep_m - room_m, "length_m"), float(stack.screw_m or 0.0) - deep_m + room_m
        guessed = card.screw_room_m is None
        first = "Measure from the flange to the first tube and write it as screw_room on the card. " if guessed else ""
        fix = (
            f"{first}Take screws of {show(longest, 'length_m')} or shorter, or put washers of {over} under their "
            "heads. Never drive one in to try: a pierced tube leaks over the parts below."
        )
        check = CHECK.graded(Severity.BEFORE_POWER) if guessed else CHECK
        yield check.finding(stack.place, subject, found=deep_m, limit=room_m, fix=fix)


def _room_m(loop: Loop, card: Radiator) -> float | None:
    """How far a screw may go in: to the first tube as stated, else the flange and the reserve."""
    if card.screw_room_m is not None:
        return float(card.screw_room_m)
    return None if card.flange_m is None else float(card.flange_m) + loop.thresholds("screw_reserve")
