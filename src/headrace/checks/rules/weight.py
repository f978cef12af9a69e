"""SERVICE-04: a machine too heavy for one person is said to be so before anybody tilts it.

Filling and bleeding tilt the case, and a case that slips breaks glass and joints. Masses of all cards and of the
coolant add up. With a case of unknown mass, or parts of unknown mass in a known one, it is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.checks.masses import coolant_kg, parts_kg, unweighed
from headrace.errors import Place

CHECK = Check(
    "SERVICE-04",
    "Two people lift",
    Severity.NOTE,
    Group.SERVICE,
    what="weight",
    unit="kg",
    limits=("two_people",),
    gate=Gate.LIQUID,
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """The machine as a whole."""
    loop = build.loop
    place, most_kg = Place(loop.file, 1, 1), loop.thresholds("two_people")
    weight_kg = parts_kg(loop) + coolant_kg(build)
    missing = unweighed(loop)
    subject = "the filled machine" if loop.case is None else f'the filled machine in case "{loop.case.id}"'
    if weight_kg > most_kg:
        fix = (
            "Two people lift and tilt it, with power off, the cap of the reservoir closed and straps or a helper at "
            "the side it leans to; drain it before stairs."
        )
        least = ", at least" if missing else ""
        yield CHECK.finding(place, f"{subject}{least}", found=weight_kg, limit=most_kg, fix=fix)
    elif loop.case is not None and missing:
        yield CHECK.skipped(place, subject, f"no mass is stated for {names(missing)} (mass on the card)")
