"""NOISE-01: the machine is no louder than was agreed.

All fans and pumps together where one sits, in every solved state, against [limits] noise. Without an agreed level, or
where a source states no sound, it is skipped. Where it holds by the middle values and not by the 90 % band, a note
says how sure it is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.chance import find_doubt, sound_in_reach
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import Worst, find_worst, unsolved
from headrace.checks.wetted import pumps
from headrace.solve.noise import NoiseModel
from headrace.solve.solution import Solution
from headrace.units import show

CHECK = Check("NOISE-01", "Louder than agreed", Severity.BEFORE_HANDOVER, Group.NOISE, what="sound", unit="db")


def run(build: Build) -> Iterator[Finding | Skipped]:
    """The sum of all sources in every state."""
    limit = build.loop.limits.noise_db
    if limit is None:
        yield CHECK.skipped(build.loop.limits_place, "noise", "no level was agreed ([limits] noise)")
        return
    yield from unsolved(CHECK, build)
    worst, nearest = find_worst(build, _total, float(limit)), find_worst(build, _total, -math.inf)
    silent = dict.fromkeys(id_ for state, _ in build.solutions for id_ in _silent(build, state.name))
    if silent:
        reason = (
            f"{names(silent)} {'state' if len(silent) > 1 else 'states'} no sound (sound on the card, with its speed)"
        )
        yield CHECK.skipped(build.loop.limits_place, "noise", reason)
    if worst is not None:
        yield _finding(build, worst, float(limit))
    elif nearest is not None and not silent and sound_in_reach(build, nearest, float(limit)):
        yield from _doubt(build, nearest, float(limit))


def _total(solution: Solution) -> dict[str, float]:
    return {} if solution.noise is None else {"": solution.noise.total_db}


def _silent(build: Build, state: str) -> list[str]:
    """Sources that turn and whose level nobody states."""
    prepared = build.balances[state].prepared
    model = NoiseModel.of(prepared)
    still = {path.id for path in prepared.air_model.paths if path.speed_hz == 0.0}
    still |= {part.id for part in pumps(build.loop) if not prepared.pump_speed_frac(part.id)}
    return [source.id for source in model.sources if source.sound is None and source.id not in still]


def _finding(build: Build, worst: Worst, limit: float) -> Finding:
    solution = next(solution for state, solution in build.solutions if state.name == worst.state)
    levels = solution.noise.level_db if solution.noise else {}
    loudest = sorted(levels, key=lambda id_: -levels[id_])[:2]
    told = " and ".join(f'"{id_}" {show(levels[id_], "x_db")}' for id_ in loudest)
    over = show(worst.value - limit, "x_db").removesuffix("A")
    fix = (
        f"Take {over} off ({worst.say()}); loudest there: {told}. Slower fans or pump, larger or better fans, soft "
        f"feet; or agree on another level with who set it."
    )
    subject = f'sound at the listener in state "{worst.state}"'
    return CHECK.finding(build.loop.limits_place, subject, found=worst.value, limit=limit, fix=fix)


def _doubt(build: Build, nearest: Worst, limit: float) -> Iterator[Finding]:
    doubt = find_doubt(build, nearest.state, ("noise_db", ""), limit, "noise")
    if doubt is not None:
        found = f"sound up to {show(doubt.high, 'x_db')} in the 90 % band"
        fix = (
            f"It holds by {show(limit - nearest.value, 'x_db').removesuffix('A')}, but "
            f"{doubt.said}. Measure that where one sits, or keep {show(doubt.high - limit, 'x_db').removesuffix('A')} "
            f"more in hand."
        )
        note, subject = CHECK.graded(Severity.NOTE), f'sound at the listener in state "{nearest.state}"'
        yield note.finding(build.loop.limits_place, subject, found=found, limit=limit, fix=fix)
