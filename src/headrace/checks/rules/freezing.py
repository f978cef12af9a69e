"""COOLANT-06: the coolant stays liquid in the coldest room of the states and on the way.

Ice bursts blocks and radiators. The freezing point of the mix against the coldest room, and against the cold of
transport when the case travels filled. Without a state the room is not known; where a posture of transport is given
and nothing is said of the filling, that is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.wetted import water_loops
from headrace.errors import Place
from headrace.units import show

CHECK = Check(
    "COOLANT-06",
    "Coolant may freeze",
    Severity.BEFORE_POWER,
    Group.MATERIALS,
    what="freezing point",
    unit="k",
    limits=("transport_cold",),
)
_ROUNDING_K = 1e-6


def run(build: Build) -> Iterator[Finding | Skipped]:
    """The room of every state, then transport."""
    loop = build.loop
    if not water_loops(loop):
        return
    freezes_k, place = loop.coolant.fluid().freezing_temp_k, loop.coolant_place
    subject = f'coolant "{loop.coolant.base}"'
    coldest = min(loop.states, key=lambda state: float(state.room_k), default=None)
    if coldest is None:
        yield CHECK.skipped(place, subject, "the build has no state that says how cold its room is ([[state]] room)")
    elif freezes_k >= coldest.room_k - _ROUNDING_K:
        where = f'{subject} in state "{coldest.name}"'
        room = show(coldest.room_k, "room_k")
        more = "Fill a glycol mix" if loop.coolant.base == "water" else "Take more glycol"
        fix = f"{more} that its maker's table gives for less than {room}, or keep it in a warmer room."
        yield CHECK.finding(place, where, found=freezes_k, limit=float(coldest.room_k), fix=fix)
    yield from _transport(build, place, subject, freezes_k)


def _transport(build: Build, place: Place, subject: str, freezes_k: float) -> Iterator[Finding | Skipped]:
    handling, cold_k = build.loop.handling, build.loop.thresholds("transport_cold")
    if handling.transport_filled is None and handling.transport is not None:
        yield CHECK.skipped(
            place, f"{subject} on the way", "it is not said whether it travels filled (transport_filled)"
        )
    elif handling.transport_filled and freezes_k >= cold_k - _ROUNDING_K:
        fix = (
            "Drain it before it travels and tilt the radiators until they are empty, or fill a glycol mix for the "
            "cold of the way; ethylene glycol is poisonous."
        )
        yield CHECK.graded(Severity.BEFORE_HANDOVER).finding(
            place, f"{subject} on the way", found=freezes_k, limit=cold_k, fix=fix
        )
