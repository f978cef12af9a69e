"""HEAT-10: the hottest coolant stays near enough to the room.

Coolant less room is what radiators and fans are worth for this heat, whatever the weather; tube, pump and chips have
the more in hand the less it is. Judged in the first state; one that was not solved is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import find_first
from headrace.units import show

CHECK = Check(
    "HEAT-10",
    "Coolant far above the room",
    Severity.BEFORE_HANDOVER,
    Group.HEAT,
    what="coolant over the room by",
    unit="rise_k",
    limits=("coolant_air", "coolant_air_most"),
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """The hottest coolant of the first state."""
    first = find_first(CHECK, build)
    if isinstance(first, Skipped):
        yield first
        return
    state, solution = first
    port, temp_k = solution.hottest
    rise_k = temp_k - solution.room_k
    fine, most = build.loop.thresholds("coolant_air"), build.loop.thresholds("coolant_air_most")
    if rise_k > min(fine, most):
        marginal = rise_k > most
        limit_k = most if marginal else fine
        room = show(solution.room_k, "room_k")
        fix = (
            f'In state "{state.name}" and a room of {room} it is {show(rise_k - limit_k, "diff_k")} more than usual: '
            f"faster fans, more radiator or cooler air into it."
        )
        check = CHECK if marginal else CHECK.graded(Severity.NOTE)
        yield check.finding(state.place, f'coolant at "{port}"', found=rise_k, limit=limit_k, fix=fix)
