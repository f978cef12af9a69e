"""TUBE-02: a soft tube sits tightly on its barb, and is not stretched so far that it creeps or splits.

stretch = barb / bore - 1. A loose tube leaks, a barely stretched one needs a clamp, a far stretched one hot water
and a clamp; hard tube does not stretch at all. A run that names no fitting at an end is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import End, run_ends, unfitted_runs
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.loop.model import Run
from headrace.loop.thresholds import Thresholds
from headrace.units import show

CHECK = Check(
    "TUBE-02",
    "Barb and tube do not suit",
    Severity.BEFORE_HANDOVER,
    Group.TUBE,
    what="stretch",
    unit="frac",
    limits=(
        "barb_clamp",
        "barb_stretch",
    ),
)
_ROUNDING = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Both ends of every run that ends on a barb."""
    for line, reason in unfitted_runs(build.loop):
        yield CHECK.skipped(line.place, f'run "{line.id}"', reason)
    for line, end in run_ends(build.loop):
        grip = end.fittings[-1].tube if end.fittings else None
        if grip is not None and grip.barb_m is not None and grip.grip == "barb":
            yield from _judge(line, end, float(grip.barb_m), build.loop.thresholds)


def _judge(line: Run, end: End, barb_m: float, limits: Thresholds) -> Iterator[Finding]:
    tube, barb = line.tube, show(barb_m, "barb_m")
    bore = show(tube.bore_m, "bore_m")
    subject = f'run "{line.id}" at "{end.port}": tube "{tube.id}" ({bore} bore) on the {barb} barb'
    stretch = barb_m / tube.bore_m - 1.0
    most, clamped = limits("barb_stretch"), limits("barb_clamp")
    stop = CHECK.graded(Severity.STOP)
    if tube.hard:
        fix = f"Take a socket fitting for {show(tube.outside_m, 'outside_m')} hard tube, or soft tube of {barb} bore."
        yield stop.finding(line.place, subject, found="hard tube on a barb", limit="soft tube", fix=fix)
    elif stretch < -_ROUNDING:
        fix = f"The tube is loose and will leak: take a barb of more than {bore}, or tube of {barb} bore or less."
        yield stop.finding(line.place, subject, found=stretch, limit=0.0, fix=fix)
    elif stretch > most + _ROUNDING:
        least = show(barb_m / (1.0 + most), "bore_m")
        fix = (
            f"Take tube of at least {least} bore; or soften the tube end in hot water (it scalds: grip it with a "
            f"cloth or gloves), push it on over the last ring and put a clamp on."
        )
        yield CHECK.finding(line.place, subject, found=stretch, limit=most, fix=fix)
    elif stretch < clamped - _ROUNDING:
        tight = show(barb_m / (1.0 + clamped), "bore_m")
        fix = f"Put a clamp for {show(tube.outside_m, 'outside_m')} tube on it, or take tube of {tight} bore or less."
        yield CHECK.graded(Severity.NOTE).finding(line.place, subject, found=stretch, limit=clamped, fix=fix)
