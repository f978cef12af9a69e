"""WATER-09: a sealed loop has air enough for its water to expand into.

Water that warms takes room; without air it presses on joints and windows. Warming from the room to the hottest
coolant of each solved state, the air as an ideal gas. Only where all reservoirs of a loop are sealed. What is unknown
is skipped.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names, part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.pressure import limits_pa, most_pa
from headrace.checks.states import Worst, find_worst, unsolved
from headrace.checks.volumes import loop_volume_m3
from headrace.checks.wetted import owner, water_loops
from headrace.loop.model import PlacedPart
from headrace.physics.expansion import expanded_m3, sealed_rise_pa
from headrace.solve.solution import Solution
from headrace.units import show

CHECK = Check(
    "WATER-09",
    "Too little air in a sealed loop",
    Severity.BEFORE_POWER,
    Group.WATER,
    what="rise of pressure",
    unit="pa",
    limits=("sealed_rise", "assumed_loop_height"),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every connected loop whose reservoirs are sealed, or may be."""
    for water in water_loops(build.loop):
        tanks = [part for part in build.loop.parts if part.id in water and part.card.passage == "hub"]
        sealed = {tank.id: getattr(tank.card, "sealed", None) for tank in tanks}
        if not tanks or False in sealed.values():
            continue
        silent = next((tank for tank in tanks if sealed[tank.id] is None), None)
        lack = _lack(build, water, tanks)
        if silent is not None:
            reason = f'card "{silent.card.id}" does not say whether it is closed to the air (sealed = true or false)'
            yield CHECK.skipped(silent.place, part_label(silent), reason)
        elif lack:
            yield CHECK.skipped(tanks[0].place, f"loop of {part_label(tanks[0])}", lack)
        else:
            yield from _judge(build, water, tanks)


def _lack(build: Build, water: frozenset[str], tanks: list[PlacedPart]) -> str:
    """What is missing for water and air; empty when nothing is."""
    lacks = [f'card "{tank.card.id}" states no volume (volume)' for tank in tanks if tank.card.volume_m3 is None]
    return " and ".join([*lacks, *loop_volume_m3(build, water)[1]][:3])


def _judge(build: Build, water: frozenset[str], tanks: list[PlacedPart]) -> Iterator[Finding | Skipped]:
    yield from unsolved(CHECK, build)
    held = loop_volume_m3(build, water)[0]
    air = sum(max(float(tank.card.volume_m3 or 0.0) - _filled_m3(tank), 0.0) for tank in tanks)
    most = most_pa(build, water)
    left = [limit - most for limit, _ in limits_pa(build.loop, water)]
    limit = max(min([build.loop.thresholds("sealed_rise"), *left]), 0.0)
    fluid = build.loop.coolant.fluid()

    def rise(solution: Solution) -> dict[str, float]:
        temps = [temp for port, temp in solution.coolant_temp_k.items() if owner(port) in water]
        warm = max(temps, default=solution.room_k)
        cold, hot = (float(fluid.density_kg_m3(temp)) for temp in (solution.room_k, warm))
        return {tanks[0].id: sealed_rise_pa(air, expanded_m3(held, cold, hot), solution.room_k, warm)}

    worst = find_worst(build, rise, limit)
    if worst is not None:
        yield _finding(tanks, air, held, worst, limit)


def _finding(tanks: list[PlacedPart], air: float, held: float, worst: Worst, limit: float) -> Finding:
    fix = (
        f"Fill less, take a larger reservoir, or let {names(tank.id for tank in tanks)} breathe through a vented cap: "
        f"{show(held, 'water_m3')} of water leaves {show(air, 'air_m3')} of air ({worst.say()}). Never open the loop "
        f"hot: it stands under pressure and may spray."
    )
    found = worst.value if math.isfinite(worst.value) else "rise of pressure without end: the water fills all the room"
    said = limit if math.isfinite(worst.value) else show(limit, "limit_pa")
    return CHECK.finding(tanks[0].place, f"loop of {part_label(tanks[0])}", found=found, limit=said, fix=fix)


def _filled_m3(tank: PlacedPart) -> float:
    return float(getattr(tank.card, "water_volume_m3", None) or 0.0)
