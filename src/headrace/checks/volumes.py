"""
How much water is in a loop.

Answers   the water of parts and tubes of one loop, and which data are missing for it
Assumes   a tank is filled to its mark; fittings hold nothing
"""

from __future__ import annotations

import math

from headrace.checks.build import Build
from headrace.checks.wetted import owner
from headrace.loop.model import PlacedPart


def loop_volume_m3(build: Build, water: frozenset[str]) -> tuple[float, tuple[str, ...]]:
    """
    Water in the parts and tubes of a loop that say how much they hold, and what is missing for the rest.

    V = sum V_part + sum pi/4 d^2 L        definition
    """
    total, lacks = 0.0, list[str]()
    for part in build.loop.parts:
        if part.id in water:
            held, key = held_m3(part)
            if held is None:
                lacks.append(f'card "{part.card.id}" states no {key} ({key.replace(" ", "_")})')
            total += held or 0.0
    for run in build.loop.runs:
        path = build.route.paths.get(run.id)
        if owner(run.from_port) in water:
            if path is None or path.origin == "assumed":
                lacks.append(f'run "{run.id}" states no length and no path (length, path_mm)')
            else:
                total += math.pi / 4.0 * float(run.tube.bore_m) ** 2 * path.length_m
    return total, tuple(dict.fromkeys(lacks))


def held_m3(part: PlacedPart) -> tuple[float | None, str]:
    """The water a part holds in use, and what the datum is called: of a tank, what is below its mark."""
    if part.card.passage == "hub":
        held, key = getattr(part.card, "water_volume_m3", None), "water volume"
    else:
        held, key = part.card.volume_m3, "volume"
    return (None if held is None else float(held)), key
