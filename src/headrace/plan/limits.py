"""
Every limit a solution can be held against, with what was found.

Answers   which limits a state holds and which it breaks
Assumes   limits as the checks judge them: coolant anywhere, chips, least flow, sound, and each card's max_temp at its
          ports. What states no limit is not judged
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headrace.checks.wetted import Wet, owner, water_loops, wetted
from headrace.loop.model import Loop
from headrace.parts.tube import Fitting, Tube
from headrace.solve.solution import Solution


@dataclass(frozen=True)
class Judged:
    """One limit: `name` as "chip.gpu", `suffix` of its unit, and whether it is a least or a most."""

    name: str
    suffix: str
    found: float
    limit: float
    least: bool = False

    @property
    def past(self) -> float:
        """How far the limit is broken; 0 and below where it holds."""
        return self.limit - self.found if self.least else self.found - self.limit

    @property
    def holds(self) -> bool:
        """True when the limit is kept."""
        return self.past <= 0.0


def judge(loop: Loop, solution: Solution) -> tuple[Judged, ...]:
    """Every limit that applies."""
    return (*_agreed(loop, solution), *_chips(loop, solution), *_parts(loop, solution))


def _agreed(loop: Loop, solution: Solution) -> Iterator[Judged]:
    limits = loop.limits
    if limits.coolant_k is not None:
        yield Judged("coolant", "k", solution.hottest[1], float(limits.coolant_k))
    if limits.flow_m3_s is not None:
        least = solution.block_flow_m3_s
        flow = least[1] if least else solution.pump_flow_m3_s
        yield Judged("flow", "m3_s", flow, float(limits.flow_m3_s), least=True)
    if limits.noise_db is not None and solution.noise is not None:
        yield Judged("noise", "db", solution.noise.total_db, float(limits.noise_db))


def _chips(loop: Loop, solution: Solution) -> Iterator[Judged]:
    for block in solution.blocks:
        if block.limit_k is not None:
            yield Judged(f"chip.{block.part}", "k", block.temp_k, block.limit_k - loop.thresholds("chip_margin"))


def _parts(loop: Loop, solution: Solution) -> Iterator[Judged]:
    """Parts, and tube and fittings card by card, at the hottest of their ports."""
    temps = solution.coolant_temp_k
    for wet in (wet for water in water_loops(loop) for wet in wetted(loop, water)):
        found = [temps[port] for port in wet.ports if port in temps]
        if wet.card.max_temp_k is not None and found:
            limit_k = float(wet.card.max_temp_k) - loop.thresholds("part_margin")
            yield Judged(".".join(called(wet)), "k", max(found), limit_k)


def called(wet: Wet) -> tuple[str, str]:
    """Kind and name of a wetted thing: a part by its id, tube and fittings by their card."""
    if isinstance(wet.card, Tube | Fitting):
        return "tube" if isinstance(wet.card, Tube) else "fitting", wet.card.id
    return "part", owner(wet.ports[0])
