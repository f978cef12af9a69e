"""
What stays straight along the path of a bent run.

Answers   the straights between the bends of one run, or what is missing to know them; which runs may be bent unsaid
Assumes   all bends of a run have the stated radius, else the least its tube allows; a guess is no ground for a finding
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from headrace.checks.ends import names
from headrace.checks.finding import Check, Skipped
from headrace.geometry.path import straights_m
from headrace.loop.model import Run
from headrace.loop.route import bend_radius_m


def find_straights(line: Run) -> tuple[tuple[float, ...], str]:
    """Straights in m from the first end to the last, below zero where arcs overlap; or what is missing."""
    if line.path_m is None:
        return (), "it has bends and no path (path_mm)"
    if line.bend_radius_m is None and line.tube.min_bend_radius_m is None:
        return (), f'nobody says its bend radius (bend_radius, or min_bend_radius on card "{line.tube.id}")'
    return straights_m(line.path_m, bend_radius_m(line)), ""


def bends_unsaid(check: Check, runs: Iterable[Run]) -> Iterator[Skipped]:
    """One skip for all runs that state neither bends nor a path: whether they are bent nobody knows."""
    unsaid = [line for line in runs if line.bends is None and line.path_m is None]
    if unsaid:
        which = f"run{'s' if unsaid[1:] else ''} {names(line.id for line in unsaid)}"
        yield check.skipped(unsaid[0].place, which, "how often it is bent is not said (bends, 0 for none, or path_mm)")
