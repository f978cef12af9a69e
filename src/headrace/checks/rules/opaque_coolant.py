"""COOLANT-03: no opaque coolant runs through jet plates or filters.

Its particles settle where the way is narrow and the flow low, and a filter takes them all. A coolant that does not
state its additives is skipped where a loop has such parts.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.wetted import water_loops
from headrace.loop.model import Loop, PlacedPart
from headrace.parts.block import Block
from headrace.parts.vessel import Inline

CHECK = Check(
    "COOLANT-03",
    "Opaque coolant in narrow ways",
    Severity.BEFORE_HANDOVER,
    Group.MATERIALS,
    what="coolant",
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """The narrow parts of each loop, together."""
    loop, additives = build.loop, build.loop.coolant.additives
    for water in water_loops(loop):
        narrow = [part.id for part in loop.parts if part.id in water and _is_narrow(part)]
        subject = f"coolant through {names(narrow)}"
        if not narrow:
            yield from _unsaid(loop, water)
            continue
        if additives is None:
            reason = "the file does not say what is in the coolant ([coolant] additives)"
            yield CHECK.skipped(loop.coolant_place, subject, reason)
        elif "opaque particles" in additives:
            fix = (
                "Take a clear coolant; or take the filter out, keep the flow up, change the coolant every 3 to 6 "
                "months and open the blocks at each change. Wear gloves, and send what comes out where local rules say."
            )
            yield CHECK.finding(loop.coolant_place, subject, found="opaque particles", limit="a clear coolant", fix=fix)


def _unsaid(loop: Loop, water: frozenset[str]) -> Iterator[Skipped]:
    """Blocks that do not say whether they have a jet plate, where opaque coolant passes them."""
    blocks = [part for part in loop.parts if part.id in water and isinstance(part.card, Block)]
    unknown = [part for part in blocks if getattr(part.card, "jet_plate", None) is None]
    if unknown and "opaque particles" in (loop.coolant.additives or ()):
        reason = f'card "{unknown[0].card.id}" does not say whether it has a jet plate (jet_plate)'
        yield CHECK.skipped(unknown[0].place, f"block {names(part.id for part in unknown)}", reason)


def _is_narrow(part: PlacedPart) -> bool:
    if isinstance(part.card, Block):
        return bool(part.card.jet_plate)
    return isinstance(part.card, Inline) and part.card.kind == "filter"
