"""COOLANT-02: soft PVC tube is not fed into fine jet plates without a service date.

Soft PVC gives off its plasticiser, a sticky film that settles in the finest gaps: the fins under a jet plate. Tube that
does not state its wetted materials is skipped where there is a jet plate.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.wetted import water_loops, wetted
from headrace.loop.model import PlacedPart
from headrace.parts.block import Block
from headrace.parts.tables import find_material
from headrace.parts.tube import Tube

CHECK = Check(
    "COOLANT-02",
    "Plasticiser in fine fins",
    Severity.NOTE,
    Group.MATERIALS,
    what="tube",
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every soft tube of a loop with a jet-plate block, card by card."""
    loop = build.loop
    for water in water_loops(loop):
        blocks = [part for part in loop.parts if part.id in water and isinstance(part.card, Block)]
        jets = [part.id for part in blocks if getattr(part.card, "jet_plate", None)]
        yield from _unsaid(build, water, blocks) if not jets else ()
        for wet in wetted(loop, water) if jets else ():
            if not isinstance(wet.card, Tube) or wet.card.hard:
                continue
            if wet.card.wetted is None:
                yield CHECK.skipped(
                    wet.place, wet.label, f'card "{wet.card.id}" does not say what it is made of (wetted)'
                )
            elif any(find_material(name).group == "plasticised" for name in wet.card.wetted):
                fix = (
                    f"Take tube without plasticiser (EPDM or TPV); or look at the coolant every month, change it "
                    f"after 6 to 12 months and open {names(jets)} at each change to clean the fins."
                )
                yield CHECK.finding(
                    wet.place,
                    f"{wet.label}, with block {names(jets)}",
                    found="soft PVC before a jet plate",
                    limit="tube without plasticiser",
                    fix=fix,
                )


def _unsaid(build: Build, water: frozenset[str], blocks: list[PlacedPart]) -> Iterator[Skipped]:
    """The first block that does not say whether it has a jet plate, where plasticised tube is in its water."""
    unknown = [part for part in blocks if getattr(part.card, "jet_plate", None) is None]
    tubes = [wet.card for wet in wetted(build.loop, water) if isinstance(wet.card, Tube)]
    soft = any(find_material(name).group == "plasticised" for card in tubes for name in card.wetted or ())
    if unknown and soft:
        reason = f'card "{unknown[0].card.id}" does not say whether it has a jet plate (jet_plate)'
        yield CHECK.skipped(unknown[0].place, f"block {names(part.id for part in unknown)}", reason)
