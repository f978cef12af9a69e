"""SERVICE-01: each block and the memory come out with at most two runs undone.

Every run undone is drained, refilled and tested again. What ends at a part or at parts bolted to it counts, and runs
that cross its way to the open side. Runs without a path and cases that do not say how they open are skipped, all at
once.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.removal import Tubes, crossing, groups, leaving, tubes, unknown_way
from headrace.loop.model import Loop, PlacedPart

CHECK = Check(
    "SERVICE-01",
    "Part hard to take out",
    Severity.BEFORE_HANDOVER,
    Group.SERVICE,
    what="runs to undo",
    limits=("service_runs",),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every block with what is bolted to it, and the memory; then all whose way out is not known."""
    loop = build.loop
    unjudged: list[PlacedPart] = []
    lacks: dict[str, None] = {}
    bodies = tubes(loop)
    for group in groups(loop):
        finding = _judge(loop, group, bodies)
        if finding is not None:
            yield finding
        elif missing := unknown_way(loop, group):
            unjudged += group
            lacks |= dict.fromkeys(missing)
    if unjudged:
        reason = "; ".join(lacks)
        yield CHECK.skipped(unjudged[0].place, f"way out of {names(part.id for part in unjudged)}", reason)


def _judge(loop: Loop, group: tuple[PlacedPart, ...], bodies: dict[str, Tubes]) -> Finding | None:
    most = int(loop.thresholds("service_runs"))
    ends = [line.id for line in leaving(loop, group)]
    across = [run.id for run in crossing(loop, group, bodies)]
    if len(ends) + len(across) <= most:
        return None
    way = f" Lead {names(across)} clear of its way out." if across else ""
    fix = (
        f"To take it out {names((*ends, *across))} are undone.{way} Join neighbours so that fewer runs end there, or "
        "put quick-release couplings where they must; drain it with power off before anything is undone."
    )
    subject = f"taking out {names(part.id for part in group)}"
    found, limit = f"{len(ends) + len(across)} runs and joints to undo", f"{most}"
    return CHECK.finding(group[0].place, subject, found=found, limit=limit, fix=fix)
