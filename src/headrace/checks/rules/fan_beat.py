"""NOISE-02: no two groups of fans beat.

Fans of equal blades at nearly equal speeds make two tones so close that the sound swells and fades, which is heard far
more than its level says. Fans at nearly equal speeds whose cards state no blades are skipped.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.solve.airpaths import AirPath, find_paths
from headrace.solve.noise import Beat, find_beats
from headrace.units import show

CHECK = Check("NOISE-02", "Fans that beat", Severity.NOTE, Group.NOISE, what="beat")
_USUAL_BLADES = 7  # of a fan that states none, to see whether it is worth asking; common practice, no source


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every two stacks or vents, in every state."""
    states = [(state.name, find_paths(build.loop, state)) for state in build.loop.states]
    told, asked = set[tuple[str, str]](), set[tuple[str, str]]()
    for name, paths in states:
        for beat in find_beats(paths):
            pair = (beat.one.id, beat.other.id)
            if pair not in told:
                yield _finding(beat, name)
            told.add(pair)
    for _, paths in states:
        for beat in find_beats(paths, _USUAL_BLADES):
            pair = (beat.one.id, beat.other.id)
            unstated = _unstated((beat.one, beat.other))
            if unstated and pair not in asked:
                reason = f"no blades on card {names(unstated)} (blades), and their speeds are nearly equal"
                yield CHECK.skipped(beat.one.place, f"fans of {names(pair)}", reason)
                asked.add(pair)


def _unstated(paths: Iterable[AirPath]) -> list[str]:
    return [path.fan.id for path in paths if path.fan is not None and path.fan.blades is None]


def _finding(beat: Beat, state: str) -> Finding:
    speeds = " and ".join(show(path.speed_hz, "speed_hz") for path in (beat.one, beat.other))
    found = f"the sound swells and falls {beat.rate_hz:.1f} times a second"
    fix = (
        f'In state "{state}" they turn at {speeds}: feed both from one header, so that they turn alike, or set them '
        f"further apart."
    )
    subject = f"fans of {names((beat.one.id, beat.other.id))}"
    return CHECK.finding(beat.one.place, subject, found=found, limit="one speed, or speeds well apart", fix=fix)
