"""METAL-02: other metals in one loop lie close enough in the galvanic series, or an inhibitor keeps them apart.

The limit is wider with an inhibitor. Solder in a copper radiator is what inhibitors are made for: with one it passes.
Chromium plate and stainless steel, which their film protects, are only noted. When the file does not say whether there
is an inhibitor, pairs that hang on it are skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.metals import (
    ACTIVE,
    PASSIVE,
    ROUNDING_V,
    Metal,
    inhibited,
    metals,
    refused,
    step_v,
    unstated,
    unstated_reason,
)
from headrace.checks.wetted import head, water_loops, wetted
from headrace.loop.model import Loop

CHECK = Check(
    "METAL-02",
    "Wide galvanic step",
    Severity.BEFORE_HANDOVER,
    Group.MATERIALS,
    what="step of",
    unit="v",
    digits=2,
    limits=(
        "galvanic_step",
        "galvanic_step_bare",
    ),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """The less noble metals of each loop, each against the noblest it may be judged with."""
    loop = build.loop
    for water in water_loops(loop):
        things = wetted(loop, water)
        found = metals(things)
        judged: set[str] = set()
        for metal in found:
            if any(refused(metal, other) for other in found if metal.material.group in ACTIVE):
                continue  # METAL-01 has it replaced already
            partners = [o for o in found if o.index_v > metal.index_v and not refused(metal, o)]
            worst = max(partners, key=lambda other: step_v(metal, other), default=None)
            if worst is not None and metal.material.name not in judged:
                judged.add(metal.material.name)
                yield from _judge(loop, metal, worst)
        if unknown := unstated(things):
            subject = f"loop of {part_label(head(loop, water))}"
            yield CHECK.skipped(unknown[0].place, subject, unstated_reason(unknown))


def _judge(loop: Loop, metal: Metal, other: Metal) -> Iterator[Finding | Skipped]:
    bare_v, inhibited_v = loop.thresholds("galvanic_step_bare"), loop.thresholds("galvanic_step")
    step, solder = step_v(metal, other), metal.material.group == "solder"
    over_bare, over = step > bare_v + ROUNDING_V, step > inhibited_v + ROUNDING_V and not solder
    subject, state, place = f"{metal}, with {other}", inhibited(loop), metal.wet.place
    check = CHECK.graded(Severity.NOTE) if metal.material.group in PASSIVE else CHECK
    if state is False and over_bare:
        fix = (
            f"Add an inhibitor for {metal.material.name} and {other.material.name} to the coolant and write it under "
            f"[coolant] additives; follow the maker's dose."
        )
        if over and metal.material.group not in PASSIVE:
            fix += f" Better still, replace {metal.wet.label}."
        yield check.finding(place, subject, found=step, limit=bare_v, fix=fix)
    elif over:
        fix = f"Replace {metal.wet.label}; an inhibitor only slows this pair."
        if metal.material.group in PASSIVE:
            fix = f"Look at {metal.wet.label} at every service; replace it when the finish fails."
        yield check.finding(place, subject, found=step, limit=inhibited_v, fix=fix)
    elif state is None and over_bare:
        yield CHECK.skipped(loop.coolant_place, subject, "it is not said whether the coolant holds an inhibitor")
