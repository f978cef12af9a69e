"""COOLANT-05: what goes through the wall of the tubes in a month leaves enough in the reservoir.

Soft tube lets water through. The loss of each tube by the metre times the length of its runs, against a limit and
against a share of what the reservoir holds. Soft tube that states no month_loss, and runs of no stated length, are
skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names, part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.volumes import held_m3
from headrace.checks.wetted import head, owner, water_loops
from headrace.loop.model import Loop, Run
from headrace.units import show

CHECK = Check(
    "COOLANT-05",
    "Water lost through the tube",
    Severity.BEFORE_HANDOVER,
    Group.MATERIALS,
    what="loss in a month",
    unit="m3",
    digits=1,
    limits=(
        "month_loss",
        "month_loss_share",
    ),
)
_ROUNDING_M3 = 1e-12


def run(build: Build) -> Iterator[Finding | Skipped]:
    """All runs of each loop together."""
    loop = build.loop
    for water in water_loops(loop):
        runs = [line for line in loop.runs if owner(line.from_port) in water]
        part = head(loop, water)
        subject = f"tube of the loop of {part_label(part)}"
        yield from _unknown(build, runs, subject)
        known = [line for line in runs if build.route.paths[line.id].origin != "assumed"]
        lost = sum(float(line.tube.month_loss_m3 or 0.0) * build.route.paths[line.id].length_m for line in known)
        held, limit = _held(loop, water), loop.thresholds("month_loss")
        if held is not None:
            limit = min(limit, held * loop.thresholds("month_loss_share"))
        if lost > limit + _ROUNDING_M3:
            yield CHECK.finding(part.place, subject, found=lost, limit=limit, fix=_fix(lost, held))


def _unknown(build: Build, runs: list[Run], subject: str) -> Iterator[Skipped]:
    """What is not known of the tube: what goes through its wall, and how long it is."""
    unknown = [line for line in runs if line.tube.month_loss_m3 is None and not line.tube.hard]
    if unknown:
        reason = f"no loss through the wall on card {names(line.tube.id for line in unknown)} (month_loss)"
        yield CHECK.skipped(unknown[0].place, subject, reason)
    short = [line for line in runs if line.tube.month_loss_m3 and build.route.paths[line.id].origin == "assumed"]
    if short:
        reason = f"no length and no path of run {names(line.id for line in short)} (length, path_mm)"
        yield CHECK.skipped(short[0].place, subject, reason)


def _held(loop: Loop, water: frozenset[str]) -> float | None:
    """Water of all reservoirs below their fill marks; None when one of them does not state it, or there is none."""
    volumes = [held_m3(part)[0] for part in loop.parts if part.id in water and part.card.passage == "hub"]
    known = [volume for volume in volumes if volume is not None]
    return sum(known) if known and len(known) == len(volumes) else None


def _fix(lost: float, held: float | None) -> str:
    lasts = "" if held is None else f"; the reservoir's {show(held, 'held_m3')} last {held / lost:.1f} months"
    return (
        f"Agree with the owner on topping up {show(lost, 'lost_m3')} a month{lasts}; or take tube that lets less "
        f"through, or shorter runs. Only water goes: top up with distilled water and measure the mix."
    )
