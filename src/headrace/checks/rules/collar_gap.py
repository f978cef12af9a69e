"""PORT-01: the collars of neighbouring fittings on one part do not touch.

Two collars that meet leave one fitting half seated, and a half-seated fitting weeps.
Ports that look the same way are compared; a port without a place or a fitting without a collar is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Severity, Skipped
from headrace.geometry.path import distance_m
from headrace.loop.model import PlacedPart
from headrace.units import show

CHECK = Check("PORT-01", "Collars too close on one part", Severity.STOP, what="gap between collars", unit="m")


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every pair of fitted ports of each part."""
    for part in build.loop.parts:
        fitted = [port for port in part.card.port if build.loop.fittings_at(f"{part.id}.{port.name}")]
        for one, other in combinations(fitted, 2):
            if one.axis is None or one.axis == other.axis:
                yield from _judge(build, part, one.name, other.name)


def _judge(build: Build, part: PlacedPart, one: str, other: str) -> Iterator[Finding | Skipped]:
    ports = [part.card.find_port(name) for name in (one, other)]
    collars = [build.loop.fittings_at(f"{part.id}.{name}")[0] for name in (one, other)]
    subject = f'ports "{part.id}.{one}" and "{part.id}.{other}"'
    place = part.place
    at = [port.at_m for port in ports if port is not None and port.at_m is not None]
    widths = [float(fitting.collar_m) for fitting in collars if fitting.collar_m is not None]
    if len(at) < 2:
        yield CHECK.skipped(place, subject, f'card "{part.card.id}" does not say where both ports are')
    elif len(widths) < 2:
        unknown = next(fitting.id for fitting in collars if fitting.collar_m is None)
        yield CHECK.skipped(place, subject, f'card "{unknown}" states no collar')
    else:
        gap_m = distance_m(at[0], at[1]) - sum(widths) / 2
        limit_m = build.loop.thresholds("collar_gap")
        if gap_m < limit_m:
            fix = (
                f"Put an elbow or an extender on one of them, or take collars {show(limit_m - gap_m, 'gap_m')} smaller."
            )
            yield CHECK.finding(place, subject, found=gap_m, limit=limit_m, fix=fix)
