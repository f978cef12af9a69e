"""
What is screwed into ports, end by end, as the checks of tubes and threads read it.

Answers   which fittings stand on which port, whose end that is, and what a message calls it
Assumes   fittings stand from the port outwards, as the loop holds them
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from headrace.errors import Place
from headrace.loop.model import Joint, Loop, PlacedPart, PortId, PortUse, Run
from headrace.parts.tube import Fitting

_MOST_NAMES = 4


@dataclass(frozen=True)
class End:
    """One port with what is screwed into it; of a joint, the whole way to its other port."""

    port: PortId
    user: Run | Joint | PortUse
    fittings: tuple[Fitting, ...]
    place: Place


def run_ends(loop: Loop) -> Iterator[tuple[Run, End]]:
    """Both ends of every run of tube."""
    for run in loop.runs:
        yield run, End(run.from_port, run, run.from_with, run.place)
        yield run, End(run.to_port, run, run.to_with, run.place)


def all_ends(loop: Loop) -> Iterator[End]:
    """Every port something is screwed into: both ends of runs, one end a joint, closed ports."""
    for _, end in run_ends(loop):
        yield end
    for joint in loop.joints:
        yield End(joint.from_port, joint, joint.with_, joint.place)
    for use in loop.port_uses:
        yield End(use.port, use, use.with_, use.place)


def unfitted_runs(loop: Loop) -> Iterator[tuple[Run, str]]:
    """Every run that names no fitting at one end or at both, and the reason to give when it cannot be judged."""
    for run in loop.runs:
        bare = [port for port, with_ in ((run.from_port, run.from_with), (run.to_port, run.to_with)) if not with_]
        if bare:
            yield run, f"no fitting is named at {names(bare)} (from_with, to_with, or fitting under [defaults])"


def unfitted(loop: Loop) -> Iterator[tuple[Place, str, str]]:
    """(place, subject, reason) of every run and closed port that does not say what is screwed in."""
    for run, reason in unfitted_runs(loop):
        yield run.place, f'run "{run.id}"', reason
    for use in loop.port_uses:
        if not use.with_:
            yield use.place, f'port "{use.port}"', f"what closes it as {use.use} is not named (with)"


def names(ids: Iterable[str]) -> str:
    """A few ids in quotes, and how many more."""
    each = [f'"{id_}"' for id_ in dict.fromkeys(ids)]
    if len(each) > _MOST_NAMES:
        return f"{', '.join(each[:_MOST_NAMES])} and {len(each) - _MOST_NAMES} more"
    return " and ".join([", ".join(each[:-1]), each[-1]] if len(each) > 1 else each)


def part_label(part: PlacedPart) -> str:
    """What a message calls a part: its kind and its id."""
    return f'{getattr(part.card, "kind", "part").replace("-", " ")} "{part.id}"'
