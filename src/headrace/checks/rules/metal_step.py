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
    PASSIVE,
    ROUNDING_V,
    Metal,
    inhibited,
    metals,
    passed_v,
    step_v,
    unstated,
    unstated_reason,
    widest_pairs,
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
        for metal, worst in widest_pairs(metals(things)):
            yield from _judge(loop, metal, worst)
        if unknown := unstated(things):
            subject = f"loop of {part_label(head(loop, water))}"
            yield CHECK.skipped(unknown[0].place, subject, unstated_reason(unknown))


def _judge(loop: Loop, metal: Metal, other: Metal) -> Iterator[Finding | Skipped]:
    bare_v, inhibited_v = loop.thresholds("galvanic_step_bare"), loop.thresholds("galvanic_step")
    step, film = step_v(metal, other), metal.material.group in PASSIVE
    limit_v = passed_v(loop, metal, other)
    subject = f"{metal}, with {other}"
    check = CHECK.graded(Severity.NOTE) if film else CHECK
    if limit_v is None:
        if inhibited(loop) is None and step > bare_v + ROUNDING_V:
            yield CHECK.skipped(loop.coolant_place, subject, "it is not said whether the coolant holds an inhibitor")
        return
    fix = f"Replace {metal.wet.label}; an inhibitor only slows this pair."
    if inhibited(loop) is False:
        fix = (
            f"Add an inhibitor for {metal.material.name} and {other.material.name} to the coolant and write it under "
            f"[coolant] additives; follow the maker's dose."
        )
        over = step > inhibited_v + ROUNDING_V and metal.material.group != "solder" and not film
        fix += f" Better still, replace {metal.wet.label}." if over else ""
    elif film:
        fix = f"Look at {metal.wet.label} at every service; replace it when the finish fails."
    yield check.finding(metal.wet.place, subject, found=step, limit=limit_v, fix=fix)
