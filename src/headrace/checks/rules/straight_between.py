"""TUBE-06: between two bends of hard tube enough stays straight.

The soft zone of a bend is wider than the bend: where two lie close, the first gives way while the second is made.
Judged along the path; a run with several bends and no path or no radius is skipped, and so are runs that do not say
whether they are bent.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.straights import bends_unsaid, find_straights
from headrace.loop.model import Run
from headrace.loop.thresholds import Thresholds
from headrace.units import show

CHECK = Check(
    "TUBE-06",
    "Two bends of hard tube too close",
    Severity.BEFORE_POWER,
    Group.TUBE,
    what="straight between them",
    unit="m",
    limits=(
        "straight_between",
        "straight_between_good",
    ),
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every run of hard tube with two bends or more."""
    yield from bends_unsaid(CHECK, (line for line in build.loop.runs if line.tube.hard))
    for line in build.loop.runs:
        bends = build.route.paths[line.id].bends
        if not line.tube.hard or len(bends) < 2:
            continue
        straights, lack = find_straights(line)
        if lack:
            yield CHECK.skipped(line.place, f'run "{line.id}"', lack)
        else:
            yield from _judge(line, straights[1:-1], build.loop.thresholds)


def _judge(line: Run, inner: tuple[float, ...], limits: Thresholds) -> Iterator[Finding]:
    """The shortest straight of one run; it names the pair of bends it lies between."""
    index = min(range(len(inner)), key=lambda at: inner[at])
    straight_m = inner[index]
    least_m = limits("straight_between") * float(line.tube.outside_m)
    good_m = max(limits("straight_between_good"), least_m)
    subject = f'run "{line.id}" of tube "{line.tube.id}", bends {index + 1} and {index + 2}'
    if straight_m < least_m - _ROUNDING_M:
        fix = (
            f"Move the two bends {show(least_m - straight_m, 'length_m')} further apart, take a smaller radius the "
            f"tube allows, or put an angled fitting in place of one; hot tube burns: wear gloves."
        )
        yield CHECK.finding(line.place, subject, found=straight_m, limit=least_m, fix=fix)
    elif straight_m < good_m - _ROUNDING_M:
        fix = (
            f"It can be bent; {show(good_m - straight_m, 'length_m')} more is easier. Let the first bend go cold "
            f"before you heat the second, and keep a spare length."
        )
        yield CHECK.graded(Severity.NOTE).finding(line.place, subject, found=straight_m, limit=good_m, fix=fix)
