"""SPACE-03: the outline of a radiator is that of its body, not of the fans it carries.

The length in a radiator's name is that of its fans. End tanks make the body longer, and a body that is too long does
not go in. A card without outline, fan size or places is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.loop.model import Loop, PlacedPart
from headrace.loop.placed import nominal_length_m
from headrace.parts.radiator import Radiator
from headrace.units import show

CHECK = Check(
    "SPACE-03",
    "Radiator no longer than its fans",
    Severity.BEFORE_POWER,
    Group.SPACE,
    what="length",
    unit="m",
    limits=("radiator_tanks",),
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every radiator."""
    for part in build.loop.parts:
        if isinstance(part.card, Radiator):
            yield from _judge(build.loop, part, part.card)


def _judge(loop: Loop, part: PlacedPart, card: Radiator) -> Iterator[Finding | Skipped]:
    stated = {"outline_mm": card.outline_m or None, "fan_size": card.fan_size_m, "fan_places": card.fan_places}
    keys = [key for key, value in stated.items() if value is None]
    nominal = nominal_length_m(card)
    if nominal is None:
        reason = f'card "{card.id}" states no {" and no ".join(keys)}'
        yield CHECK.skipped(part.place, part_label(part), reason)
        return
    length_m, fans_m = nominal
    if length_m <= fans_m + _ROUNDING_M:
        tanks = show(loop.thresholds("radiator_tanks"), "length_m")
        fix = (
            f'Measure the body of "{part.id}" with both end tanks and write it under outline_mm of card "{card.id}": a '
            f"real one is usually at least {tanks} longer than its fans, so {show(fans_m, 'length_m')} is the name and "
            "not the body."
        )
        yield CHECK.finding(part.place, part_label(part), found=length_m, limit=fans_m, fix=fix)
