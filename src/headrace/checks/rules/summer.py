"""HEAT-05: the limits hold in a summer room too.

Everything rises with the room. The first state is solved again in a room of `summer_room`; a chip past its limit is a
fault there as anywhere, the coolant's limit was agreed for a room, so passing it is a note. A build that has a state
in such a room, with no less heat of any block, is judged there. Without any limit, or without a solved first state, it
is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.slack import below
from headrace.checks.states import find_first
from headrace.errors import NoSolution
from headrace.loop.model import State
from headrace.solve.prepared import Prepared
from headrace.solve.results import build_solution
from headrace.solve.solution import Solution
from headrace.solve.steady import solve_prepared
from headrace.units import Figure, Kind, show

CHECK = Check(
    "HEAT-05",
    "Limit passed in a summer room",
    Severity.BEFORE_HANDOVER,
    Group.HEAT,
    what="temperature",
    unit="k",
    limits=("summer_room", "chip_margin"),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """The first state in a warmer room."""
    loop, room_k = build.loop, build.loop.thresholds("summer_room")
    if any(state.room_k >= room_k and _as_hot(state, loop.states[0]) for state in loop.states):
        return
    if not loop.limits.coolant_k and not any(part.limit_k for part in loop.parts):
        reason = "no limit was agreed for the coolant ([limits] coolant), and no block states that of its chip (limit)"
        yield CHECK.skipped(loop.limits_place, "summer", reason)
        return
    first = find_first(CHECK, build)
    if isinstance(first, Skipped):
        yield first
        return
    state, now = first
    try:
        warm = replace(state, room_k=Figure(room_k, Kind.TEMPERATURE))
        summer = build_solution(solve_prepared(Prepared.of(loop, build.route, warm)))
    except NoSolution as error:
        yield CHECK.skipped(state.place, f'state "{state.name}" in summer', str(error.faults[0].found))
        return
    yield from _coolant(build, state, now, summer)
    yield from _chips(build, state, now, summer)


def _as_hot(state: State, first: State) -> bool:
    """Whether a state gives no less heat than the first one, block by block and so in all."""
    return not any(below(float(state.heat_w.get(id_, 0.0)), float(heat)) for id_, heat in first.heat_w.items())


def _coolant(build: Build, state: State, now: Solution, summer: Solution) -> Iterator[Finding]:
    limit_k = build.loop.limits.coolant_k
    port, temp_k = summer.hottest
    if limit_k is not None and now.hottest[1] <= limit_k < temp_k:
        fix = (
            f"{_when(state, summer)} it passes the limit by {show(temp_k - limit_k, 'diff_k')}. A limit holds for the "
            f"room it was agreed in: say so in writing, or plan faster fans or more radiator for summer."
        )
        note = CHECK.graded(Severity.NOTE)
        yield note.finding(build.loop.limits_place, f'coolant at "{port}"', found=temp_k, limit=float(limit_k), fix=fix)


def _chips(build: Build, state: State, now: Solution, summer: Solution) -> Iterator[Finding]:
    for block in summer.blocks:
        if block.limit_k is None:
            continue
        limit_k = block.limit_k - build.loop.thresholds("chip_margin")
        if now.part_temp_k[block.part] <= limit_k < block.temp_k:
            fix = (
                f"{_when(state, summer)} it passes the limit by {show(block.temp_k - limit_k, 'diff_k')}: plan faster "
                f"fans or more radiator for summer, or less heat."
            )
            place = build.loop.part(block.part).place
            subject = f'chip under block "{block.part}"'
            yield CHECK.finding(place, subject, found=block.temp_k, limit=limit_k, fix=fix)


def _when(state: State, summer: Solution) -> str:
    return f'In state "{state.name}" but a room of {show(summer.room_k, "room_k")}'
