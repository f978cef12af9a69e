"""HEAT-07: there is time to act when the pumps stop.

Water that stands takes no heat away, and a chip then warms by about a kelvin a second. From the first state all pumps
are stopped, and the time is told until the first chip is at its limit. A chip whose limit, resistance or mass is not
stated is skipped, for it cannot be timed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import find_first
from headrace.checks.wetted import pumps
from headrace.loop.model import PlacedPart, State
from headrace.parts.block import Block
from headrace.physics.warming import TwoMasses
from headrace.solve.masses import metal_j_k, water_volume_m3
from headrace.solve.solution import Solution
from headrace.units import show

CHECK = Check(
    "HEAT-07",
    "Little time when the pumps stop",
    Severity.BEFORE_HANDOVER,
    Group.HEAT,
    what="chip at its limit after",
    unit="s",
    limits=("pump_stop", "alarm_delay", "chip_margin"),
)
_LEAST_K_W = 1e-6  # without any resistance chip and water would be one mass
_MOMENTS = 301  # at which the temperature is known; a chip warms smoothly


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every chip with heat, against the shortest time."""
    blocks = [part for part in build.loop.parts if isinstance(part.card, Block)]
    if not blocks or not list(pumps(build.loop)):
        return
    first = find_first(CHECK, build)
    if isinstance(first, Skipped):
        yield first
        return
    state, solution = first
    times = []
    for part in blocks:
        if not float(state.heat_w[part.id]):
            continue
        lack = _lack(part)
        if lack:
            yield CHECK.skipped(part.place, f'block "{part.id}"', lack)
        elif (time_s := _time_s(build, state, solution, part)) is not None:
            times.append((time_s, part))
    if times:
        time_s, part = min(times, key=lambda item: item[0])
        yield _finding(build, state, part, time_s)


def _lack(part: PlacedPart) -> str:
    """What keeps a chip from being timed; empty when nothing does."""
    card = part.card
    if part.limit_k is None:
        return "the part states no limit of its chip (limit)"
    if isinstance(card, Block) and card.resistance is None:
        return f'card "{card.id}" states no resistance'
    missing = [] if metal_j_k(card) else ["mass with wetted, or heat_capacity"]
    missing += [] if water_volume_m3(card) else ["volume"]
    return f'card "{card.id}" states too little to time it ({"; ".join(missing)})' if missing else ""


def _limit_k(build: Build, part: PlacedPart) -> float:
    return float(part.limit_k or 0.0) - build.loop.thresholds("chip_margin")


def _time_s(build: Build, state: State, solution: Solution, part: PlacedPart) -> float | None:
    """Until a chip is at its limit, over water that stands; None when that takes longer than is asked, or is so now.

    Chip and block over the water in the block are two masses, and nothing else takes heat from them.
    """
    link = next((link for link in solution.links if link.owner == part.id and link.does == "heat"), None)
    start_k, limit_k = solution.part_temp_k.get(part.id), _limit_k(build, part)
    if link is None or start_k is None or start_k > limit_k or not isinstance(part.card, Block):
        return None
    law = part.card.resistance
    water_kg = (water_volume_m3(part.card) or 0.0) * link.density_kg_m3
    still = TwoMasses(
        metal_j_k(part.card) or 0.0,
        water_kg * link.heat_capacity_j_kg_k,
        max(float(law.fit().resistance_k_w(0.0)), _LEAST_K_W) if law else math.inf,
        0.0,
    )
    time_s = np.linspace(0.0, build.loop.thresholds("pump_stop"), _MOMENTS)
    heat_w = float(state.heat_w[part.id])
    temp_k = np.asarray(still.temps_k(time_s, start_k, link.temp_out_k, heat_w, solution.room_k)[0])
    if temp_k[-1] < limit_k:
        return None
    return float(np.interp(limit_k, temp_k, time_s))


def _finding(build: Build, state: State, part: PlacedPart, time_s: float) -> Finding:
    limits = build.loop.thresholds
    at_once = time_s < limits("alarm_delay")
    late = (
        f"An alarm that waits {show(limits('alarm_delay'), 'time_s')} is too late: let the machine switch itself off "
        f"at the first missing signal, or add a second pump"
    )
    early = f"Set the alarm on pump or flow to act within {show(time_s, 'time_s')}, with a switch-off behind it"
    fix = f'{late if at_once else early}; reckoned from state "{state.name}", known to about 20 %.'
    check = CHECK if at_once else CHECK.graded(Severity.NOTE)
    subject = f'chip under block "{part.id}" with all pumps stopped'
    return check.finding(part.place, subject, found=time_s, limit=limits("pump_stop"), fix=fix)
