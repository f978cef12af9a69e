"""POWER-02: an outlet that feeds more than one motor has a splitter, and a header is not spread over too many.

A header takes one plug: without a splitter on the shopping list the second fan stands still. The fans of one stack may
be of a kind that chains, so that is a note. A stack that does not say how many fans it has is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.wiring import Plugged, motors, plugged_in
from headrace.loop.model import Loop

CHECK = Check(
    "POWER-02",
    "Splitter wanted",
    Severity.BEFORE_POWER,
    Group.ELECTRICITY,
    what="motors",
    limits=("splitter_fans",),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every outlet in use that is no outlet of a hub."""
    for plugged in plugged_in(build.loop):
        if plugged.kind != "fan-hub":
            yield from _judge(build.loop, plugged)


def _judge(loop: Loop, plugged: Plugged) -> Iterator[Finding | Skipped]:
    subject = f'outlet "{plugged.id}" with {names(lead.part for lead in plugged.leads)}'
    counts = [(lead.part, motors(loop, lead)) for lead in plugged.leads]
    many = max(sum(count or 0 for _, count in counts), len(counts))
    unknown = [part for part, count in counts if count is None]
    most = int(loop.thresholds("splitter_fans"))
    split = any(lead.splitter for lead in plugged.leads)
    found = f"{many} motors"
    if not split and many > 1:
        fix = (
            f'Put a splitter for {many} or a fan hub on "{plugged.id}" and write splitter = true at its [[lead]], or '
            "give each an outlet of its own; power off at the wall while you plug."
        )
        check = CHECK if len(counts) > 1 else CHECK.graded(Severity.NOTE)
        yield check.finding(plugged.place, subject, found=f"{found}, no splitter", limit="one plug", fix=fix)
    elif split and plugged.is_header and many > most:
        fix = "Feed some of them from another header, or all from a fan hub that a plug of the power supply feeds."
        limit = f"{most} on one header"
        yield CHECK.graded(Severity.NOTE).finding(plugged.place, subject, found=found, limit=limit, fix=fix)
    elif unknown and (plugged.is_header or not split):
        yield CHECK.skipped(plugged.place, subject, f"{names(unknown)} does not say how many fans it has (fans)")
