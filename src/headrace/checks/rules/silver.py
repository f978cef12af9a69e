"""METAL-05: silver in the water is known for what it does.

Silver kills growth and is disputed: it is nobler than nickel and copper, its ions plate out and worsen weak plating,
and it settles as salt beside many biocides. Parts that do not state their wetted materials are skipped; so is silver
in a coolant that does not state its additives.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.metals import Metal, inhibited, metals, unstated, unstated_reason
from headrace.checks.wetted import head, water_loops, wetted
from headrace.loop.model import Loop

CHECK = Check(
    "METAL-05",
    "Silver in the loop",
    Severity.BEFORE_HANDOVER,
    Group.MATERIALS,
    what="silver",
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """The silver of each loop against its nickel and against the additives."""
    loop = build.loop
    for water in water_loops(loop):
        things = wetted(loop, water)
        found = metals(things)
        silver = next((metal for metal in found if metal.material.group == "silver"), None)
        if silver is not None:
            nickel = next((metal for metal in found if metal.material.group == "nickel"), None)
            yield from _judge(loop, silver, nickel)
        if unknown := unstated(things):
            subject = f"loop of {part_label(head(loop, water))}"
            yield CHECK.skipped(unknown[0].place, subject, unstated_reason(unknown))


def _judge(loop: Loop, silver: Metal, nickel: Metal | None) -> Iterator[Finding | Skipped]:
    additives, place = loop.coolant.additives, silver.wet.place
    if nickel is not None:
        check = CHECK.graded(Severity.NOTE) if inhibited(loop) else CHECK
        fix = (
            f"Take {silver.wet.label} out and use an inhibitor and a biocide that suit nickel, in their makers' doses. "
            f"How much harm silver does is disputed; it finds the weak spots of a plating."
        )
        yield check.finding(place, f"{silver}, with {nickel}", found="silver with nickel", limit="one of them", fix=fix)
    if additives is None:
        reason = "the file does not say whether the coolant holds a biocide ([coolant] additives)"
        yield CHECK.skipped(loop.coolant_place, str(silver), reason)
    elif "biocide" in additives:
        fix = (
            f"Use one of the two: take {silver.wet.label} out, or ask the maker of the biocide. Some of them settle as "
            f"a salt with silver and lose their strength; from memory and disputed."
        )
        yield CHECK.graded(Severity.NOTE).finding(
            place, str(silver), found="silver beside a biocide", limit="one of them", fix=fix
        )
