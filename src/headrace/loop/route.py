"""
Where the tubes of a loop run: the route type, and the route a build file states.

Answers   how long each run is and how many bends it has, and whether that was stated, drawn or assumed
Assumes   a stated bend turns 90 degrees; a run that says nothing has the assumed length and no bend
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from headrace.geometry.path import Bend, find_bends, path_length_m
from headrace.loop.model import Loop, Run

_LOOSE_RADIUS_BORES = (
    4.0  # a sweep whose radius nobody states is taken as gentle: R = 4 bores, common practice, no source
)


@dataclass(frozen=True)
class RunPath:
    """The way of one run's centreline."""

    run: str
    length_m: float
    bends: tuple[Bend, ...]
    origin: Literal["path", "stated", "assumed"]


@dataclass(frozen=True)
class Route:
    """The paths of a loop's runs, by run id."""

    paths: dict[str, RunPath]


def bend_radius_m(run: Run) -> float:
    """Centreline radius of a run's bends: stated for the run, else the tube's least radius, else a gentle sweep."""
    return float(run.bend_radius_m or run.tube.min_bend_radius_m or _LOOSE_RADIUS_BORES * run.tube.bore_m)


def stated_route(loop: Loop) -> Route:
    """The route a build file states, run by run: from its path, its length, or assumed."""
    return Route({run.id: _stated_path(run, loop.thresholds("assumed_run_length")) for run in loop.runs})


def _stated_path(run: Run, assumed_m: float) -> RunPath:
    radius_m = bend_radius_m(run)
    if run.path_m is not None:
        return RunPath(run.id, path_length_m(run.path_m, radius_m), find_bends(run.path_m, radius_m), "path")
    bends = tuple(Bend(radius_m, math.pi / 2) for _ in range(run.bends or 0))
    if run.length_m is not None:
        return RunPath(run.id, float(run.length_m), bends, "stated")
    return RunPath(run.id, assumed_m, bends, "assumed")
