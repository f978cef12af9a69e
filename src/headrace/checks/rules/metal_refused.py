"""METAL-01: no aluminium or zinc shares its water with copper, nickel or brass.

Dissolved copper plates out on aluminium anywhere in the loop and pits it; the parts need not touch. An inhibitor only
slows it, and no threshold lets it pass. Each connected loop is judged alone. Parts whose wetted materials are not
stated are skipped by name.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.metals import ACTIVE, metals, refused, step_v, unstated, unstated_reason
from headrace.checks.wetted import head, water_loops, wetted

CHECK = Check(
    "METAL-01",
    "Aluminium or zinc with copper",
    Severity.STOP,
    Group.MATERIALS,
    what="step of",
    unit="v",
    digits=2,
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every aluminium or zinc in each loop, against the noblest metal it meets."""
    loop = build.loop
    for water in water_loops(loop):
        things = wetted(loop, water)
        found = metals(things)
        for metal in found:
            partners = [other for other in found if metal.material.group in ACTIVE and refused(metal, other)]
            worst = max(partners, key=lambda other: step_v(metal, other), default=None)
            if worst is not None:
                fix = (
                    f"Replace {metal.wet.label} by one whose wetted side is copper, brass, nickel, acetal or acrylic; "
                    f"an inhibitor does not make {metal.material.name} safe here."
                )
                subject = f"{metal}, with {worst}"
                step = step_v(metal, worst)
                yield CHECK.finding(metal.wet.place, subject, found=step, limit="not in one loop", fix=fix)
        if unknown := unstated(things):
            subject = f"loop of {part_label(head(loop, water))}"
            yield CHECK.skipped(unknown[0].place, subject, unstated_reason(unknown))
