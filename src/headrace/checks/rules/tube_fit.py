"""TUBE-01: every tube has the size and the kind its fittings are made for.

A collar grips a soft tube between bore and outside and needs both; a socket seals a hard tube on its outside alone.
A run that names no fitting at an end is skipped. What a barb does to a tube is TUBE-02.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import End, run_ends, unfitted_runs
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.loop.model import Run
from headrace.loop.thresholds import Thresholds
from headrace.parts.tube import Fitting, Tube, TubeEnd
from headrace.units import show

CHECK = Check(
    "TUBE-01",
    "Tube does not match its fitting",
    Severity.STOP,
    Group.TUBE,
    what="difference",
    unit="m",
    limits=(
        "bore_difference",
        "outside_difference",
        "hard_outside_difference",
    ),
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Both ends of every run."""
    for line, reason in unfitted_runs(build.loop):
        yield CHECK.skipped(line.place, f'run "{line.id}"', reason)
    for line, end in run_ends(build.loop):
        if end.fittings:
            yield from _judge(line, end, end.fittings[-1], build.loop.thresholds)


def _judge(line: Run, end: End, fitting: Fitting, limits: Thresholds) -> Iterator[Finding]:
    tube, grip = line.tube, fitting.tube
    wrong = _wrong_kind(tube, fitting)
    subject = f'run "{line.id}" at "{end.port}": tube "{tube.id}" in fitting "{fitting.id}"'
    if wrong:
        found, limit, fix = wrong
        yield CHECK.finding(line.place, subject, found=found, limit=limit, fix=fix)
    elif grip is not None:
        yield from _sizes(line, subject, tube, grip, fitting, limits)


def _wrong_kind(tube: Tube, fitting: Fitting) -> tuple[str, str, str] | None:
    """(found, limit, fix) when a fitting cannot hold this kind of tube at all; barbs are left to TUBE-02."""
    outside, bore = show(tube.outside_m, "outside_m"), show(tube.bore_m, "bore_m")
    hard = f"a socket fitting for {outside} hard tube"
    soft = f"a collar fitting for {bore} bore and {outside} outside"
    if fitting.tube is None:
        kind = hard if tube.hard else soft
        found = "the fitting takes no tube" if fitting.opens is None else f"the fitting opens into {fitting.opens}"
        return found, kind, f'Screw {kind} onto or in place of "{fitting.id}".'
    if tube.hard and fitting.tube.grip == "collar":
        return "hard tube in a collar for soft tube", hard, f'Take {hard} instead of "{fitting.id}".'
    if not tube.hard and fitting.tube.grip == "socket":
        return "soft tube in an O-ring socket for hard tube", soft, f'Take {soft} instead of "{fitting.id}".'
    return None


def _sizes(
    line: Run, subject: str, tube: Tube, grip: TubeEnd, fitting: Fitting, limits: Thresholds
) -> Iterator[Finding]:
    outside_limit = limits("hard_outside_difference" if tube.hard else "outside_difference")
    pairs = (("bore", tube.bore_m, grip.bore_m, limits("bore_difference")),) if grip.grip == "collar" else ()
    wanted = (*pairs, ("outside", tube.outside_m, grip.outside_m, outside_limit)) if grip.grip != "barb" else ()
    off = [
        (abs(has - takes) - limit_m, word, has, takes, limit_m)
        for word, has, takes, limit_m in wanted
        if takes is not None and abs(has - takes) > limit_m + _ROUNDING_M
    ]
    if off:
        _, word, has, takes, limit_m = max(off)
        sizes = f"{word} {show(has, 'bore_m')}, the fitting takes {show(takes, 'bore_m')}"
        fix = f'Take {_fitting_for(tube)} instead of "{fitting.id}", or {_tube_for(grip)} instead of "{tube.id}".'
        yield CHECK.finding(line.place, f"{subject}: {sizes}", found=abs(has - takes), limit=limit_m, fix=fix)


def _fitting_for(tube: Tube) -> str:
    outside = f"{show(tube.outside_m, 'outside_m')} outside"
    return f"a socket for {outside}" if tube.hard else f"a collar for {show(tube.bore_m, 'bore_m')} bore and {outside}"


def _tube_for(grip: TubeEnd) -> str:
    bore = f"{show(grip.bore_m, 'bore_m')} bore and " if grip.bore_m is not None else ""
    kind = "hard tube" if grip.grip == "socket" else "soft tube"
    return f"{kind} of {bore}{show(grip.outside_m, 'outside_m')} outside"
