"""TUBE-04: tube and fitting of nearly the same size are known to be so.

Inch tube in a metric collar, or the other way round, holds within the limits of TUBE-01 and grips less or more than it
was made to. Nothing is said of equal sizes. A run that names no fitting at an end is skipped; barbs are TUBE-02.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import End, run_ends, unfitted_runs
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.loop.model import Run
from headrace.loop.thresholds import Thresholds
from headrace.parts.tube import TubeEnd
from headrace.units import show

CHECK = Check(
    "TUBE-04",
    "Tube and fitting of nearly the same size",
    Severity.NOTE,
    Group.TUBE,
    what="difference",
    unit="m",
    digits=2,
    limits=(
        "same_size",
        "bore_difference",
        "outside_difference",
        "hard_outside_difference",
    ),
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Both ends of every run that ends in a collar or a socket."""
    for line, reason in unfitted_runs(build.loop):
        yield CHECK.skipped(line.place, f'run "{line.id}"', reason)
    for line, end in run_ends(build.loop):
        grip = end.fittings[-1].tube if end.fittings else None
        if grip is not None and line.tube.hard is (grip.grip == "socket"):
            yield from _judge(line, end, grip, build.loop.thresholds)


def _judge(line: Run, end: End, grip: TubeEnd, limits: Thresholds) -> Iterator[Finding]:
    outside_m = limits("hard_outside_difference" if line.tube.hard else "outside_difference")
    off = [("outside", float(line.tube.outside_m), grip.outside_m, outside_m)]
    if grip.grip != "socket":
        off.append(("bore", float(line.tube.bore_m), grip.bore_m, limits("bore_difference")))
    sizes = [(abs(has - takes), word, has, float(takes), most) for word, has, takes, most in off if takes is not None]
    if not sizes or any(gap > most + _ROUNDING_M for gap, _, _, _, most in sizes):
        return  # a barb, or TUBE-01 has it
    gap, word, has, takes, _ = max(sizes)
    same_m = limits("same_size")
    if gap > same_m + _ROUNDING_M:
        fitting = end.fittings[-1]
        subject = (
            f'run "{line.id}" at "{end.port}": tube "{line.tube.id}" in fitting "{fitting.id}": {word} '
            f"{show(has, 'bore_m', digits=2)}, the fitting takes {show(takes, 'bore_m', digits=2)}"
        )
        yield CHECK.finding(line.place, subject, found=gap, limit=same_m, fix=_fix(word, has > takes, line.tube.hard))


def _fix(word: str, is_wider: bool, hard: bool) -> str:
    """What to do about a tube that is wider or narrower than its fitting asks."""
    if hard:
        return (
            "Wet the end, push one in by hand: it must enter without force and not fall out; hold it in the dry test."
        )
    if is_wider == (word == "bore"):
        grips = "The fitting grips less than it was made to: take tube of its size, or a barb with a clamp"
        return f"{grips}; if it stays, pull hard at the tube by hand, and tighten again after the first warm hour."
    grips = "The tube goes on tightly: soften its end in warm water (mind your fingers) and push it home"
    return f"{grips}, then see that the collar closes down to its seat and pull hard at the tube by hand."
