"""TUBE-10: hard plastic tube keeps its shape at the upper end of the band of the coolant.

PETG and acrylic soften slowly: what is fine at the predicted temperature may sag on the hot side of what is uncertain.
HEAT-01 judges the prediction itself. Tube that states no max_temp or no wetted materials is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import unsolved
from headrace.loop.model import Run
from headrace.units import show

CHECK = Check(
    "TUBE-10",
    "Hard tube may soften",
    Severity.NOTE,
    Group.TUBE,
    what="coolant at the hot end of its band",
    unit="k",
    limits=("band_reach",),
)
_SOFTENS = frozenset({"PETG", "acrylic", "polycarbonate"})


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every run of hard plastic tube, in the state that is hottest for it."""
    lines = []
    for line in build.loop.runs:
        tube = line.tube
        if not tube.hard or (tube.wetted is not None and not _SOFTENS & set(tube.wetted)):
            continue
        keys = [key for key, value in (("wetted", tube.wetted), ("max_temp", tube.max_temp_k)) if value is None]
        if keys:
            reason = f'card "{tube.id}" does not state {" and ".join(keys)}'
            yield CHECK.skipped(line.place, f'run "{line.id}"', reason)
        else:
            lines.append(line)
    if lines:
        yield from unsolved(CHECK, build)
    for line in lines:
        yield from _judge(build, line, float(line.tube.max_temp_k or 0.0))


def _judge(build: Build, line: Run, limit_k: float) -> Iterator[Finding]:
    """The band is only looked at where the prediction comes within reach of the limit: it takes a while."""
    temps = [
        (solution.coolant_temp_k[port], state.name, port)
        for state, solution in build.solutions
        for port in (line.from_port, line.to_port)
        if port in solution.coolant_temp_k
    ]
    if not temps:
        return
    nominal_k, state, port = max(temps)
    if not limit_k - build.loop.thresholds("band_reach") < nominal_k <= limit_k:
        return
    _, high_k = build.band(state).bands["coolant_temp_k"].get(port, (nominal_k, nominal_k))
    if high_k > limit_k:
        fix = (
            f"The prediction is {show(nominal_k, 'temp_k')}, and one time in twenty it is warmer than the value found: "
            f"measure the coolant in the soak, and agree on {show(limit_k - (high_k - nominal_k), 'limit_k')} as its "
            "limit."
        )
        subject = f'run "{line.id}" of tube "{line.tube.id}" at "{port}" in state "{state}"'
        yield CHECK.finding(line.place, subject, found=high_k, limit=limit_k, fix=fix)
