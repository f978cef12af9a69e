"""TUBE-09: tube and fittings bear the pressure the pumps can build up against a closed way.

A closed valve, a kink or a frozen run puts the shut-off pressure of all pumps on every joint before it, and the water
above adds its height, an assumed one where a part does not say where it stands. Judged card by card at full speed;
cards without max_pressure are skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names, part_label
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.checks.pressure import shut_off_pa, static_pa
from headrace.checks.slack import above
from headrace.checks.wetted import head, water_loops, wetted
from headrace.parts.tube import Fitting, Tube
from headrace.units import show

CHECK = Check(
    "TUBE-09",
    "Pressure too high for tube or fitting",
    Severity.BEFORE_POWER,
    Group.TUBE,
    what="pressure",
    unit="pa",
    limits=("assumed_loop_height",),
    gate=Gate.LIQUID,
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every tube and fitting of each loop that has a pump."""
    loop = build.loop
    for water in water_loops(loop):
        pumped_pa = shut_off_pa(build, water)
        if pumped_pa is None:
            continue
        pieces = [wet for wet in wetted(loop, water) if isinstance(wet.card, Tube | Fitting)]
        unknown = [wet for wet in pieces if wet.card.max_pressure_pa is None]
        if unknown:
            subject = f"tube and fittings of the loop of {part_label(head(loop, water))}"
            reason = f"no limit on card {names(wet.card.id for wet in unknown)} (max_pressure)"
            yield CHECK.skipped(unknown[0].place, subject, reason)
        for wet in pieces:
            limit_pa = wet.card.max_pressure_pa
            most_pa = pumped_pa + static_pa(loop, wet.ports, water)
            if limit_pa is not None and above(most_pa, float(limit_pa)):
                fix = (
                    f"Take a part that bears {show(most_pa, 'most_pa')} or more by its maker's figure, or a pump of "
                    f"less shut-off pressure than {show(pumped_pa, 'most_pa')}; do not fill or press the loop before. "
                    f"What gives way sprays."
                )
                yield CHECK.finding(wet.place, wet.label, found=most_pa, limit=float(limit_pa), fix=fix)
