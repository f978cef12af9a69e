"""
What stays straight along the path of a bent run.

Answers   the straights between the bends of one run, or what is missing to know them
Assumes   all bends of a run have the stated radius, else the least its tube allows; a guess is no ground for a finding
"""

from __future__ import annotations

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
