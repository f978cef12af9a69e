"""METAL-04: a loop of aluminium gets a coolant made for aluminium.

Without copper METAL-01 has nothing to say, and aluminium still wants an inhibitor of its own: one made for copper may
attack it. Parts that do not state their wetted materials are skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.metals import inhibited, metals, refused, unstated, unstated_reason
from headrace.checks.wetted import head, water_loops, wetted

CHECK = Check(
    "METAL-04",
    "Aluminium loop",
    Severity.BEFORE_HANDOVER,
    Group.MATERIALS,
    what="coolant",
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """The first aluminium of each loop that holds nothing METAL-01 refuses beside it."""
    loop = build.loop
    for water in water_loops(loop):
        things = wetted(loop, water)
        found = metals(things)
        alone = [metal for metal in found if metal.material.group == "aluminium"]
        if alone and not any(refused(metal, other) for metal in alone for other in found):
            bare = inhibited(loop) is False
            check = CHECK if bare else CHECK.graded(Severity.NOTE)
            more = "Add an inhibitor made for aluminium, in its maker's dose" if bare else "Fill only such a coolant"
            fix = (
                f"{more}; its sheet must name aluminium, one for copper may attack it. Let no copper, brass or nickel "
                f"into this loop later."
            )
            state = "no inhibitor" if bare else "aluminium and no copper"
            subject = f"{alone[0]}"
            yield check.finding(alone[0].wet.place, subject, found=state, limit="a coolant made for aluminium", fix=fix)
        if unknown := unstated(things):
            subject = f"loop of {part_label(head(loop, water))}"
            yield CHECK.skipped(unknown[0].place, subject, unstated_reason(unknown))
