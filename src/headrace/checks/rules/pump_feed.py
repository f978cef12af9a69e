"""WATER-01: a reservoir feeds each pump directly.

Liquid cools and lubricates the pump; whatever takes pressure before its inlet lets it draw air. Tube, splitters,
bulkheads and a fed pump may stand between; a coupling or a flow sensor alone is less bad than the rest. The flow of the
solution says which way the water goes, else the file.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names, part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.water import find_before, pump_inlet, ways
from headrace.checks.wetted import head, pumps, water_loops
from headrace.errors import Place

CHECK = Check(
    "WATER-01", "Reservoir does not feed the pump directly", Severity.STOP, Group.WATER, what="before the pump"
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every pump."""
    loop, some = build.loop, False
    for part in pumps(loop):
        some = True
        inlet = pump_inlet(part)
        if inlet is None:
            yield CHECK.skipped(part.place, part_label(part), f'card "{part.card.id}" names no outlet (port "out")')
            continue
        if part.card.passage != "hub" and loop.used_by(inlet) is None:
            yield CHECK.skipped(part.place, part_label(part), f'nothing is joined to its inlet "{inlet}"')
            continue
        fed, met = find_before(loop, ways(build, part.id), inlet)
        if not fed:
            small, beyond = find_before(loop, ways(build, part.id), inlet, past_small=True)
            met = met if small else tuple(dict.fromkeys((*met, *beyond)))
            found = " and ".join(part_label(loop.part(id_)) for id_ in met) or "no reservoir"
            water = next((water for water in water_loops(loop) if part.id in water), frozenset({part.id}))
            if met and head(loop, water).card.passage == "hub":
                fix = f'Move {names(met)} behind pump "{part.id}", so that only tube joins the reservoir to "{inlet}".'
            else:
                fix = f'Put a reservoir before pump "{part.id}", its outlet joined to "{inlet}" by tube alone.'
            check = CHECK.graded(Severity.BEFORE_POWER) if small else CHECK
            yield check.finding(part.place, f'before pump "{part.id}"', found=found, limit="a reservoir", fix=fix)
    if not some:
        yield CHECK.skipped(Place(loop.file, 1, 1), "loop", "the build has no pump yet")
