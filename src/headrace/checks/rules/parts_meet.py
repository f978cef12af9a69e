"""SPACE-01: no two parts stand in one another's way.

What overlaps on paper does not go together on the bench. Boxes of different parts are compared; parts that are joined
or mounted on one another may touch, and what touches exactly is taken as a seat. A part without place or outline is
skipped.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

from headrace.checks.bodies import ROUNDING_M, Body, bodies, joined, unplaced
from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.shifts import cure_text
from headrace.geometry.clearance import clearance_m, overlap_m
from headrace.loop.model import Loop
from headrace.loop.placed import spread_m
from headrace.units import show

CHECK = Check(
    "SPACE-01",
    "Parts in one another's way",
    Severity.STOP,
    Group.SPACE,
    what="overlap",
    unit="m",
    limits=("fit_slack", "place_spread", "outline_spread"),
)
_NEAR = replace(CHECK.graded(Severity.NOTE), what="gap")
_SIGMAS = 1.645  # one side of a 90 % band


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every pair of bodies."""
    loop = build.loop
    lacking = unplaced(loop)
    if lacking is not None:
        yield CHECK.skipped(*lacking)
    together, found = joined(loop), bodies(loop)
    for one, other in combinations(found, 2):
        yield from _judge(loop, one, other, frozenset((one.id, other.id)) in together, found)


def _judge(loop: Loop, one: Body, other: Body, mounted: bool, found: tuple[Body, ...]) -> Iterator[Finding]:
    """A pair: overlapping, or so near that it may touch."""
    spread = spread_m(loop, *one.parts, *other.parts)
    if clearance_m(one.around, other.around) > _SIGMAS * spread:
        return
    shared = [share for a in one.boxes for b in other.boxes if (share := overlap_m(a, b)) is not None]
    deep_m = max((min(share) for share in shared), default=0.0)
    allowed_m = loop.thresholds("fit_slack") if mounted else 0.0
    subject = f"{one.label} and {other.label}"
    if deep_m > allowed_m + ROUNDING_M:
        share = max(shared, key=min)
        said = " and ".join(f"{show(edge, 'length_m')} in {name}" for edge, name in zip(share, "xyz", strict=True))
        cure = cure_text(loop, one, other, found)
        fix = f"They share {said}. {cure}"
        yield CHECK.finding(one.place, subject, found=deep_m, limit=allowed_m, spread=spread, fix=fix)
    elif not mounted and not shared:
        gap_m, nearby_m = min(clearance_m(a, b) for a in one.boxes for b in other.boxes), _SIGMAS * spread
        if ROUNDING_M < gap_m < nearby_m:
            fix = f'They may touch: measure between "{one.id}" and "{other.id}" before buying, or state at_spread.'
            yield _NEAR.finding(one.place, subject, found=gap_m, limit=nearby_m, spread=spread, fix=fix)
