"""PORT-06: no more rotary fittings follow one another than their O-rings bear.

Every rotary fitting turns on an O-ring of its own. A row of them bends under the weight and pull of the tube until
one creeps and weeps. An end that names no fitting is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from headrace.checks.build import Build
from headrace.checks.ends import all_ends, unfitted_runs
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.parts.tube import Fitting

CHECK = Check(
    "PORT-06",
    "Many rotary fittings in a row",
    Severity.BEFORE_HANDOVER,
    Group.PORTS,
    what="rotary fittings",
    limits=("rotary_in_line", "rotary_in_run"),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every end, which is a note, then every run with both its ends."""
    loop = build.loop
    for line, reason in unfitted_runs(loop):
        yield CHECK.skipped(line.place, f'run "{line.id}"', reason)
    for end in all_ends(loop):
        count, most = _rotary(end.fittings), loop.thresholds("rotary_in_line")
        if count > most:
            fix = "Take fixed fittings where the way is known, or hold the tube so that it does not pull on them."
            subject, found = f'fittings at "{end.port}"', f"{count} rotary ones in a row"
            yield CHECK.graded(Severity.NOTE).finding(end.place, subject, found=found, limit=f"{most:g}", fix=fix)
    for line in loop.runs:
        count, most = _rotary((*line.from_with, *line.to_with)), loop.thresholds("rotary_in_run")
        if count > most:
            fix = "Bend the tube or take fixed elbows instead, and hold the run with a clip."
            found = f"{count} rotary fittings"
            yield CHECK.finding(line.place, f'run "{line.id}"', found=found, limit=f"{most:g}", fix=fix)


def _rotary(fittings: Sequence[Fitting]) -> int:
    return sum(fitting.rotary for fitting in fittings)
