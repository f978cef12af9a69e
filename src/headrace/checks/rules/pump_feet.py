"""NOISE-04: a pump in a quiet machine stands on soft feet.

A pump screwed down hard makes the panel sound. Asked only where a level was agreed; a pump that does not say how it
is mounted is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.wetted import pumps
from headrace.loop.model import PlacedPart
from headrace.physics.sound import energy_sum_db
from headrace.units import show

CHECK = Check(
    "NOISE-04", "Pump screwed down hard", Severity.NOTE, Group.NOISE, what="pump", unit="", limits=("soft_mount",)
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every pump, where a noise level was agreed."""
    if build.loop.limits.noise_db is None:
        return
    for part in pumps(build.loop):
        if part.mounting is None:
            reason = 'the part does not say how it is mounted (mounting = "soft" or "hard")'
            yield CHECK.skipped(part.place, part_label(part), reason)
        elif part.mounting == "hard":
            yield _finding(build, part)


def _finding(build: Build, part: PlacedPart) -> Finding:
    softer = build.loop.thresholds("soft_mount")
    whole = _whole(build, part.id, softer)
    fix = (
        f'Set "{part.id}" on rubber or foam: that takes about {_db(softer)} off the pump{whole}. Its tubes must be '
        f"soft or have play, or they carry the hum."
    )
    return CHECK.finding(part.place, part_label(part), found="mounted hard", limit="soft feet", fix=fix)


def _whole(build: Build, pump: str, softer: float) -> str:
    """What that does to the sum in the first solved state; empty where no level is known."""
    state, solution = build.solutions[0] if build.solutions else (None, None)
    noise = solution.noise if solution else None
    if state is None or noise is None or pump not in noise.level_db:
        return ""
    levels = {**noise.level_db, pump: noise.level_db[pump] - softer}
    gain = noise.total_db - float(energy_sum_db(np.array(list(levels.values()))))
    return f' and {_db(gain)} off the whole in state "{state.name}"'


def _db(change: float) -> str:
    return show(change, "x_db").removesuffix("A")
