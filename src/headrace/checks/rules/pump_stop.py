"""HEAT-07: there is time to act when the pumps stop.

Water that stands takes no heat away, and a chip then warms by about a kelvin a second. From the first state all pumps
are stopped, and the time is told until the first chip is at its limit. A chip whose limit, resistance or mass is not
stated is skipped, for it cannot be timed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import find_first
from headrace.checks.wetted import pumps
from headrace.errors import NoSolution
from headrace.loop.model import PlacedPart, State
from headrace.parts.block import Block
from headrace.solve.cells import Cells
from headrace.solve.course import Course, follow
from headrace.solve.masses import find_masses, metal_j_k, water_volume_m3
from headrace.solve.moments import start_temps_k
from headrace.solve.prepared import Prepared
from headrace.solve.solution import Solution
from headrace.units import Figure, Kind, show

CHECK = Check(
    "HEAT-07",
    "Little time when the pumps stop",
    Severity.BEFORE_HANDOVER,
    Group.HEAT,
    what="chip at its limit after",
    unit="s",
    limits=("pump_stop", "alarm_delay", "chip_margin"),
)
_STANDS = Figure(0.0, Kind.FRACTION, text="0 %", unit="%")
_BOILS_K = 373.15


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every chip with heat, against the shortest time."""
    turning = [part.id for part in pumps(build.loop)]
    blocks = [part for part in build.loop.parts if isinstance(part.card, Block)]
    if not turning or not blocks:
        return
    first = find_first(CHECK, build)
    if isinstance(first, Skipped):
        yield first
        return
    state, solution = first
    asked = []
    for part in blocks:
        if not float(state.heat_w[part.id]):
            continue
        lack = _lack(part)
        if lack:
            yield CHECK.skipped(part.place, f'block "{part.id}"', lack)
        elif _may_be_soon(build, state, solution, part):
            asked.append(part)
    if asked:
        yield from _follow(build, state, turning, asked)


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


def _may_be_soon(build: Build, state: State, solution: Solution, part: PlacedPart) -> bool:
    """Whether a chip that passes on no heat at all could be at its limit in time; one over it now is HEAT-02's."""
    margin_k = _limit_k(build, part) - solution.part_temp_k.get(part.id, math.inf)
    needed_j = (metal_j_k(part.card) or 0.0) * margin_k
    return 0.0 <= needed_j < float(state.heat_w[part.id]) * build.loop.thresholds("pump_stop")


def _follow(build: Build, state: State, turning: list[str], asked: list[PlacedPart]) -> Iterator[Finding | Skipped]:
    limit_s = build.loop.thresholds("pump_stop")
    stopped = replace(state, speed={**state.speed, **dict.fromkeys(turning, _STANDS)})
    found = build.balances[state.name]
    try:
        cells = _cells(Prepared.of(build.loop, build.route, stopped))
    except NoSolution as error:
        yield CHECK.skipped(state.place, f'state "{state.name}", pumps stopped', str(error.faults[0].found))
        return
    start = start_temps_k(_cells(found.prepared), found)
    course = follow(cells, *start, limit_s, stop_k=_BOILS_K)
    times = {part.id: _time_s(build, course, part) for part in asked}
    known = {id_: time for id_, time in times.items() if time is not None}
    if known:
        id_ = min(known, key=known.__getitem__)
        yield _finding(build, state, build.loop.part(id_), known[id_])


def _cells(prepared: Prepared) -> Cells:
    return Cells(prepared, find_masses(prepared))


def _time_s(build: Build, course: Course, part: PlacedPart) -> float | None:
    column = next(i for i, chip in enumerate(course.cells.masses.chips) if chip.part == part.id)
    return course.to_reach_s(course.chip_k[:, column], _limit_k(build, part))


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
