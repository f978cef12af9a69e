"""TUBE-10: hard plastic tube keeps its shape at the upper end of the band of the coolant.

PETG and acrylic soften slowly: what is fine at the predicted temperature may sag on the hot side of what is uncertain.
HEAT-01 judges the prediction itself; where that is too warm already, nothing more is said. Tube that states no
max_temp or no wetted materials is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import unsolved, unstated_heat
from headrace.checks.wetted import Wet, water_loops, wetted
from headrace.parts.tube import Tube
from headrace.units import show

CHECK = Check(
    "TUBE-10",
    "Hard tube may soften",
    Severity.NOTE,
    Group.TUBE,
    what="coolant at the hot end of its band",
    unit="k",
    limits=("band_reach",),
)
_SOFTENS = frozenset({"PETG", "acrylic", "polycarbonate"})


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Hard plastic tube of every loop, card by card, where and when it is hottest."""
    tubes = []
    for water in water_loops(build.loop):
        for wet in wetted(build.loop, water):
            if not isinstance(wet.card, Tube) or not wet.card.hard:
                continue
            stated = {"wetted": wet.card.wetted, "max_temp": wet.card.max_temp_k}
            if wet.card.wetted is not None and not _SOFTENS & set(wet.card.wetted):
                continue
            if keys := [key for key, value in stated.items() if value is None]:
                yield CHECK.skipped(wet.place, wet.label, f'card "{wet.card.id}" does not state {" and ".join(keys)}')
            else:
                tubes.append((wet, float(wet.card.max_temp_k or 0.0)))
    if tubes:
        yield from unsolved(CHECK, build)
        yield from unstated_heat(CHECK, build)
    for wet, limit_k in tubes:
        yield from _judge(build, wet, limit_k)


def _judge(build: Build, wet: Wet, limit_k: float) -> Iterator[Finding]:
    """The band is only looked at where the prediction comes within reach of the limit: it takes a while."""
    temps = [
        (solution.coolant_temp_k[port], state.name, port)
        for state, solution in build.solutions
        for port in wet.ports
        if port in solution.coolant_temp_k
    ]
    nominal_k, state, port = max(temps, default=(0.0, "", ""))
    if not limit_k - build.loop.thresholds("band_reach") < nominal_k <= limit_k:
        return
    _, high_k = build.band(state).bands["coolant_temp_k"].get(port, (nominal_k, nominal_k))
    if high_k > limit_k:
        lower = show(high_k - limit_k, "diff_k")
        fix = (
            f'Worst in state "{state}": {show(nominal_k, "temp_k")} is predicted, and one time in twenty it is warmer '
            f"than the hot end. Measure the coolant in the soak; plan it {lower} cooler, or take tube that bears more."
        )
        subject = f'{wet.label}, at "{port}"'
        yield CHECK.finding(wet.place, subject, found=high_k, limit=limit_k, fix=fix)
