"""
How sure it is that a limit holds, from the band of the state in which it holds most narrowly.

Answers   the upper end of the 90 % band there, the chance of keeping the limit, and what widens the band most
Assumes   no band is wider than a first-order estimate on the safe side: one that cannot reach its limit is not found
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from headrace.checks.build import Build
from headrace.checks.states import Worst
from headrace.physics.sound import energy_share_frac
from headrace.solve.band import HIGH_FRAC
from headrace.solve.noise import NoiseModel
from headrace.units import show

_REACH = 1.645 * 1.1
# how much of a share in each kind of input comes through to the coolant's rise, at most
_COUNT = {"strength": 1.0, "air_flow": 1.0, "air_loss": 0.7, "air_share": 1.0, "heat": 1.0, "loss": 0.5}
_MOST_NAMED = 2


@dataclass(frozen=True)
class Doubt:
    """The upper end of a band that passes its limit, and the words that say how likely that is."""

    high: float
    said: str


def in_reach(build: Build, worst: Worst, limit_k: float, chip: str | None = None) -> bool:
    """
    Whether the band of the hottest coolant, or of a chip, may reach a limit; finding a band is dear.

    reach = 1.645 * 1.1 ((rise s_cool)^2 + (step s_step)^2 + s_room^2)^0.5, s_cool^2 = sum over kinds of the largest s^2
    first order [jcgm-100-2008]; each kind of input counts in full, which none does, and 1.1 is for the skew
    """
    solution = next(solution for state, solution in build.solutions if state.name == worst.state)
    step_k = sum(block.temp_k - block.node_temp_k for block in solution.blocks if block.part == chip)
    largest, own, room_k = _sigmas(build, worst.state, chip)
    rise_k = worst.value - step_k - solution.room_k
    step_sigma = math.hypot(own, largest.get("heat", 0.0))
    wide_k = math.hypot(rise_k * math.hypot(*largest.values()), step_k * step_sigma, room_k)
    return limit_k - worst.value < _REACH * wide_k


def _sigmas(build: Build, state: str, chip: str | None) -> tuple[dict[str, float], float, float]:
    """The largest share unknown of every kind of input, that of the resistance under one chip, and the room's, in K."""
    place = build.balances[state].prepared.place_of.get(chip or "")
    largest: dict[str, float] = {}
    own, room_k = 0.0, 0.0
    for item in build.uncertain(state):
        if item.target == "resistance" and place in item.columns:
            own = item.sigma
        elif item.target == "room":
            room_k = item.sigma
        elif item.target in _COUNT:
            largest[item.target] = max(largest.get(item.target, 0.0), _COUNT[item.target] * item.sigma)
    return largest, own, room_k


def sound_in_reach(build: Build, worst: Worst, limit: float) -> bool:
    """
    Whether the band of the sound may reach a limit.

    reach = 1.645 * 1.1 sum w s, w the energy shares: all sources wrong together        first order [jcgm-100-2008]
    """
    model = NoiseModel.of(build.balances[worst.state].prepared)
    levels = model.levels_db(model.prepared.nominal())[0]
    known = [i for i, source in enumerate(model.sources) if source.sound is not None]
    sigmas = np.array([model.sources[i].sigma_db + model.sources[i].mounting_sigma_db for i in known])
    return limit - worst.value < _REACH * float(energy_share_frac(levels[known]) @ sigmas)


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
