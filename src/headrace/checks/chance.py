"""
How sure it is that a limit holds, from the band of the state in which it holds most narrowly.

Answers   the upper end of the 90 % band there, the chance of keeping the limit, and what widens the band most
Assumes   a margin of more than half the rise over the room is beyond any band: it would take cards known to 30 %
"""

from __future__ import annotations

from dataclasses import dataclass

from headrace.checks.build import Build
from headrace.checks.states import Worst
from headrace.solve.band import HIGH_FRAC
from headrace.units import show

_REACH_FRAC = 0.5
_MOST_NAMED = 2


@dataclass(frozen=True)
class Doubt:
    """The upper end of a band that passes its limit, and the words that say how likely that is."""

    high: float
    said: str


def in_reach(build: Build, worst: Worst, limit_k: float) -> bool:
    """Whether a band may reach a temperature limit at all; finding a band is the dearest thing a check does."""
    room_k = next(solution.room_k for state, solution in build.solutions if state.name == worst.state)
    return limit_k - worst.value < _REACH_FRAC * (worst.value - room_k)


def find_doubt(build: Build, state: str, output: tuple[str, str], limit: float, chance: str) -> Doubt | None:
    """
    The doubt about one output (quantity, id) of a solved state; None where the limit is kept with 95 % or more.

    `chance` is the name of the limit in the band.
    """
    band = build.band(state)
    quantity, id_ = output
    ends = band.bands[quantity].get(id_)
    kept = band.chance_frac.get(chance)
    if ends is None or kept is None or ends[1] <= limit or kept >= HIGH_FRAC:
        return None
    named = band.by_output.get(f"{quantity}.{id_}", ())[:_MOST_NAMED]
    widest = " and ".join(f"{one.name} ({show(one.share_frac, 'share_frac', digits=0)} of it)" for one in named)
    widens = f"; what widens the band most: {widest}" if widest else ""
    return Doubt(ends[1], f"the chance of keeping it is {show(kept, 'kept_frac', digits=0)}{widens}")
