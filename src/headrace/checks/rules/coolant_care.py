"""COOLANT-01: the coolant is kept from corroding and from growing.

Water needs an inhibitor and a biocide; from about a quarter of glycol on, the glycol itself holds growth down and an
inhibitor is enough; a little glycol feeds it. A coolant that does not state its additives is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.metals import metals
from headrace.checks.wetted import water_loops, wetted
from headrace.fluids.coolant import volume_frac
from headrace.loop.buildfile import CoolantEntry
from headrace.loop.model import Loop
from headrace.units import Kind, show

CHECK = Check(
    "COOLANT-01",
    "Coolant without protection",
    Severity.BEFORE_HANDOVER,
    Group.MATERIALS,
    what="glycol",
    unit="volume_frac",
    limits=(
        "biostatic_glycol",
        "feeding_glycol",
    ),
)
_ROUNDING = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Inhibitor first, then growth."""
    loop, coolant = build.loop, build.loop.coolant
    share = glycol_volume_frac(coolant)
    subject = f"coolant ({coolant.base}{f', {show(share, CHECK.unit)}' if share else ''})"
    if coolant.additives is None:
        reason = "the file does not say what is in it ([coolant] additives, [] for nothing)"
        yield CHECK.skipped(loop.coolant_place, subject, reason)
        return
    if "inhibitor" not in coolant.additives:
        fix = (
            f"Add an inhibitor that suits {_metals(loop)} in the maker's dose, or take an inhibited mix made for them."
        )
        yield CHECK.finding(loop.coolant_place, subject, found="no inhibitor", limit="an inhibitor", fix=fix)
    holds, feeds = loop.thresholds("biostatic_glycol"), loop.thresholds("feeding_glycol")
    biocide = "biocide" in coolant.additives
    if share >= holds - _ROUNDING or (biocide and not 0 < share < feeds):
        return
    if share == 0:
        fix = "Add a biocide that suits the metals of the loop in the maker's dose, or take a coolant that holds one."
        yield CHECK.finding(loop.coolant_place, subject, found="no biocide", limit="a biocide", fix=fix)
    else:
        fix = (
            f"A little glycol feeds growth: raise it to {show(holds, CHECK.unit)} of inhibited mix, or use water with "
            f"inhibitor and biocide. Glycol goes to collection, not down the drain."
        )
        check = CHECK.graded(Severity.NOTE) if biocide else CHECK
        yield check.finding(loop.coolant_place, subject, found=share, limit=holds, fix=fix)


def _metals(loop: Loop) -> str:
    """The metals the water touches, as far as cards state them."""
    things = [wet for water in water_loops(loop) for wet in wetted(loop, water)]
    found = list(dict.fromkeys(metal.material.name for metal in metals(things)))
    return " and ".join([", ".join(found[:-1]), found[-1]] if found[1:] else found) or "the metals of the loop"


def glycol_volume_frac(coolant: CoolantEntry) -> float:
    """Share of glycol by volume, however the file states it."""
    if coolant.base == "water" or coolant.fraction is None:
        return 0.0
    stated = float(coolant.fraction)
    return stated if coolant.fraction.kind is Kind.VOLUME_FRACTION else volume_frac(coolant.base, stated)
