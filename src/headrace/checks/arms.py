"""
Where the water of a loop parts and meets again.

Answers   which ways lie side by side, and how much water each takes
Assumes   an arm is a row of links between two places where water parts or meets; an arm that parts again within is
          several arms, and only those that begin and end together are compared. Links with still water count as none
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass

from headrace.checks.water import STILL_M3_S
from headrace.checks.wetted import lines, owner
from headrace.loop.model import Loop
from headrace.solve.solution import LinkResult, Solution


@dataclass(frozen=True)
class Arm:
    """A row of links from `start` to `end`, in the direction of its water."""

    start: str
    end: str
    flow_m3_s: float
    links: tuple[LinkResult, ...]

    def owners(self, does: str) -> tuple[str, ...]:
        """The parts in it that do something: "heat", "cool" or "pump"."""
        return tuple(link.owner for link in self.links if link.does == does)


def parallel_arms(solution: Solution) -> tuple[tuple[Arm, ...], ...]:
    """Groups of two or more arms that begin and end together, the water going the same way in all."""
    groups: dict[tuple[str, str], list[Arm]] = defaultdict(list)
    for arm in _arms(solution):
        if arm.start != arm.end:
            groups[arm.start, arm.end].append(arm)
    return tuple(tuple(group) for group in groups.values() if len(group) > 1)


def _arms(solution: Solution) -> list[Arm]:
    moving = [link for link in solution.links if abs(link.flow_m3_s) > STILL_M3_S]
    ways = [((a, b) if link.flow_m3_s > 0.0 else (b, a), link) for link in moving for a, b in [(link.start, link.end)]]
    meets = Counter(node for (start, end), _ in ways for node in (start, end))
    onward: dict[str, list[tuple[str, LinkResult]]] = defaultdict(list)
    for (start, end), link in ways:
        onward[start].append((end, link))
    found = []
    for start in [node for node, count in meets.items() if count > 2]:
        for end, link in onward[start]:
            row = [link]
            while meets[end] == 2 and onward[end]:
                end, link = onward[end][0]
                row.append(link)
            found.append(Arm(start, end, abs(row[0].flow_m3_s), tuple(row)))
    return found


def branched(loop: Loop) -> bool:
    """Whether water can part anywhere: a part that more than two runs or joints meet."""
    meets = Counter(owner(port) for line in lines(loop) for port in (line.from_port, line.to_port))
    return any(count > 2 for count in meets.values())
