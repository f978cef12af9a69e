"""SPACE-08: fans are of the size their radiator takes, and no more than it has places for.

A fan of another size does not meet the holes of the radiator. A fan too many has no place at all. A radiator without
fan size or places is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.mounted import screwed
from headrace.loop.model import Stack
from headrace.parts.radiator import Radiator
from headrace.units import show

CHECK = Check(
    "SPACE-08",
    "Fans that do not suit their radiator",
    Severity.STOP,
    Group.SPACE,
    what="fan size",
    unit="m",
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every stack that names its fan, on each radiator that carries one."""
    for stack in build.loop.stacks:
        for part, card in screwed(stack):
            yield from _size(stack, part, card)
            yield from _count(stack, part, card)


def _size(stack: Stack, part: str, card: Radiator) -> Iterator[Finding | Skipped]:
    subject = f'fans of stack "{stack.id}" on radiator "{part}"'
    if card.fan_size_m is None:
        yield CHECK.skipped(stack.place, subject, f'card "{card.id}" states no fan_size')
    elif stack.fan is not None and abs(stack.fan.size_m - card.fan_size_m) > _ROUNDING_M:
        size = show(card.fan_size_m, "length_m")
        fix = f'Take fans of {size} in place of "{stack.fan.id}", or a radiator for these fans.'
        found, limit = float(stack.fan.size_m), float(card.fan_size_m)
        yield CHECK.finding(stack.place, subject, found=found, limit=limit, fix=fix)


def _count(stack: Stack, part: str, card: Radiator) -> Iterator[Finding | Skipped]:
    subject = f'number of fans of stack "{stack.id}" on radiator "{part}"'
    if stack.fans_abreast is None:
        return
    if card.fan_places is None:
        yield CHECK.skipped(stack.place, subject, f'card "{card.id}" states no fan_places')
    elif stack.fans_abreast > card.fan_places:
        fix = f"Take {stack.fans_abreast - card.fan_places} fewer on each face, or a longer radiator."
        found = f"{stack.fans_abreast} fans on a face"
        yield CHECK.finding(stack.place, subject, found=found, limit=f"{card.fan_places} places", fix=fix)
