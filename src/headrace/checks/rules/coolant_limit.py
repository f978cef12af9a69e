"""HEAT-03: the coolant stays below the limit that was agreed.

The hottest coolant anywhere, in every solved state, against [limits] coolant. The limit was agreed for the room of the
first state: passed in a warmer room only, it is a note. Without an agreed limit it is skipped. Where it holds by the
middle values and not by the 90 % band, a note says how sure it is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from headrace.checks.build import Build
from headrace.checks.chance import find_doubt, in_reach
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.slack import above
from headrace.checks.states import Worst, find_worst, unsolved, unstated_heat
from headrace.solve.solution import Solution
from headrace.units import show

CHECK = Check(
    "HEAT-03",
    "Coolant above the agreed limit",
    Severity.BEFORE_HANDOVER,
    Group.HEAT,
    what="coolant",
    unit="k",
    limits=("agreed_room",),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """The hottest coolant of all states."""
    limit_k, place = build.loop.limits.coolant_k, build.loop.limits_place
    if limit_k is None:
        yield CHECK.skipped(place, "coolant", "no limit was agreed ([limits] coolant)")
        return
    yield from unsolved(CHECK, build)
    yield from unstated_heat(CHECK, build)
    if build.solutions:
        yield from _judge(build, float(limit_k), build.loop.states[0].room_k)


def _judge(build: Build, limit_k: float, room_k: float) -> Iterator[Finding]:
    """First in rooms like that of the first state, then in warmer ones."""
    most_k = room_k + build.loop.thresholds("agreed_room")

    def agreed(solution: Solution) -> Mapping[str, float]:
        return {} if above(solution.room_k, most_k) else solution.coolant_temp_k

    def warmer(solution: Solution) -> Mapping[str, float]:
        return solution.coolant_temp_k if above(solution.room_k, most_k) else {}

    place = build.loop.limits_place
    worst, summer = find_worst(build, agreed, limit_k), find_worst(build, warmer, limit_k)
    nearest = find_worst(build, agreed if summer else lambda solution: solution.coolant_temp_k, -math.inf)
    if worst is not None:
        fix = (
            f"Take {show(worst.value - limit_k, 'diff_k')} off ({worst.say()}): faster fans, more radiator or cooler "
            f"air into it; or agree on another limit with who set it."
        )
        yield CHECK.finding(place, f'coolant at "{worst.where}"', found=worst.value, limit=limit_k, fix=fix)
    elif nearest is not None and in_reach(build, nearest, limit_k):
        yield from _doubt(build, nearest, limit_k)
    if summer is not None:
        fix = (
            f"The limit was agreed for a room of {show(room_k, 'room_k')}, a warmer one passes it by "
            f"{show(summer.value - limit_k, 'diff_k')} ({summer.say()}): say in writing for which room it holds, "
            f"or plan faster fans or more radiator for such days."
        )
        note = CHECK.graded(Severity.NOTE)
        yield note.finding(place, f'coolant at "{summer.where}"', found=summer.value, limit=limit_k, fix=fix)


def _doubt(build: Build, nearest: Worst, limit_k: float) -> Iterator[Finding]:
    doubt = find_doubt(build, nearest.state, ("coolant_temp_k", nearest.where), limit_k, "coolant")
    if doubt is not None:
        found = f"coolant up to {show(doubt.high, 'temp_k')} in the 90 % band"
        fix = (
            f'It holds by {show(limit_k - nearest.value, "margin_k")} in state "{nearest.state}", but {doubt.said}. '
            f"Measure that, or keep {show(doubt.high - limit_k, 'diff_k')} more in hand."
        )
        subject = f'coolant at "{nearest.where}"'
        yield CHECK.graded(Severity.NOTE).finding(build.loop.limits_place, subject, found=found, limit=limit_k, fix=fix)
