"""
What the water met before it came to a block.

Answers   how much warmer it is there than where it left the last radiator, and which blocks made it so
Assumes   the flow of one solution; water of several radiators is taken as mixed by flow, and what the pumps give is
          shared out by heat
"""

from __future__ import annotations

from dataclasses import dataclass

from headrace.loop.model import Loop
from headrace.parts.block import Block
from headrace.solve.solution import LinkResult, Solution

_STILL_KG_S = 1e-7  # as 0.4 mL/h: such water brings nothing


@dataclass(frozen=True)
class Upstream:
    """By how much blocks before a block warm its water, and which they are."""

    rise_k: float
    blocks: tuple[str, ...]


def find_upstream(loop: Loop, solution: Solution, part: str) -> Upstream | None:
    """
    What blocks warm the water before block `part`; None when there are none, or no radiator before it.

    rise = (T in - T mixed out of the radiators) * heat of blocks / heat of blocks and pumps        first law
    """
    own = next((link for link in solution.links if link.owner == part and link.does == "heat"), None)
    if own is None or abs(own.mass_flow_kg_s) < _STILL_KG_S:
        return None
    radiators, warmers = _walk(solution, own)
    blocks = [link for link in warmers if isinstance(loop.part(link.owner).card, Block)]
    flow = sum(abs(link.mass_flow_kg_s) for link in radiators)
    if not blocks or not flow:
        return None
    cool_k = sum(abs(link.mass_flow_kg_s) * link.temp_out_k for link in radiators) / flow
    share = sum(link.heat_w for link in blocks) / sum(link.heat_w for link in warmers)
    return Upstream((own.temp_in_k - cool_k) * share, tuple(link.owner for link in blocks))


def _walk(solution: Solution, own: LinkResult) -> tuple[list[LinkResult], list[LinkResult]]:
    """Against the water from the inlet of a link: the radiators that end each way, and what gives heat on it."""
    moving = [link for link in solution.links if abs(link.mass_flow_kg_s) >= _STILL_KG_S and link is not own]
    into: dict[str, list[LinkResult]] = {}
    for link in moving:
        into.setdefault(_ends(link)[1], []).append(link)
    inlet = _ends(own)[0]
    seen, edge = {inlet}, [inlet]
    radiators, warmers = [], []
    while edge:
        for link in into.get(edge.pop(), ()):
            if link.does == "cool":
                radiators.append(link)
                continue
            warmers += [link] if link.heat_w > 0.0 else []
            before = _ends(link)[0]
            if before not in seen:
                seen.add(before)
                edge.append(before)
    return radiators, warmers


def _ends(link: LinkResult) -> tuple[str, str]:
    return (link.start, link.end) if link.mass_flow_kg_s >= 0.0 else (link.end, link.start)
