"""
A flow network as a graph: nodes, links, and the independent circuits water can run in.

Answers   in which circuits water can go round, and which links no water can pass
Assumes   a closed, filled loop: static head cancels, nothing enters or leaves
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from headrace.solve.laws import Law
from headrace.units import Array


@dataclass(frozen=True)
class Link:
    """One way for water between two nodes: one or more laws in series. Flow counts positive from `start` to `end`."""

    id: str
    start: int
    end: int
    laws: tuple[Law, ...]
    closed: bool = False


@dataclass(frozen=True)
class Network:
    """Nodes 0..nodes-1 and the links between them."""

    nodes: int
    links: tuple[Link, ...]

    @cached_property
    def _forest(self) -> tuple[list[int], list[int], list[int]]:
        """(parent link of each node or -1, depth, order of the walk) of a spanning forest over the open links."""
        near: list[list[int]] = [[] for _ in range(self.nodes)]
        for index, link in enumerate(self.links):
            if not link.closed and link.start != link.end:
                near[link.start].append(index)
                near[link.end].append(index)
        parent, depth, walk = [-1] * self.nodes, [-1] * self.nodes, []
        for root in range(self.nodes):
            if depth[root] >= 0:
                continue
            depth[root] = 0
            queue = deque([root])
            while queue:
                node = queue.popleft()
                walk.append(node)
                for index in near[node]:
                    other = self.other_end(index, node)
                    if depth[other] < 0:
                        depth[other], parent[other] = depth[node] + 1, index
                        queue.append(other)
        return parent, depth, walk

    def other_end(self, index: int, node: int) -> int:
        """The node at the other end of a link."""
        link = self.links[index]
        return link.end if link.start == node else link.start

    @cached_property
    def circuits(self) -> Array:
        """Matrix (links, circuits) of 0 and +-1: link flows are this times the circuit flows, so mass always closes."""
        parent, depth, _ = self._forest
        tree = set(parent)
        columns = []
        for index, link in enumerate(self.links):
            if index in tree or link.closed:
                continue
            column = np.zeros(len(self.links))
            column[index] = 1.0
            up, down = link.end, link.start  # close the chord: from its end back to its start through the tree
            while up != down:
                node, sign = (up, 1.0) if depth[up] >= depth[down] else (down, -1.0)
                step = parent[node]
                forward = self.links[step].start == node
                column[step] += sign if forward else -sign
                if sign > 0:
                    up = self.other_end(step, node)
                else:
                    down = self.other_end(step, node)
            columns.append(column)
        return np.column_stack(columns) if columns else np.zeros((len(self.links), 0))

    def dead_links(self) -> tuple[int, ...]:
        """Links in no circuit: nothing can flow there whatever the pumps do."""
        return tuple(int(i) for i in np.flatnonzero(~np.any(self.circuits != 0.0, axis=1)))

    def node_pressure_pa(self, dp_pa: Array, datum: Sequence[int]) -> Array:
        """
        Pressure of every node, shape (..., nodes), from the pressure each link takes.

        The first node of `datum` in each connected piece is at 0; a piece without one has its first node at 0.
        """
        parent, _, walk = self._forest
        pressure = np.zeros((*dp_pa.shape[:-1], self.nodes))
        root_of = list(range(self.nodes))
        for node in walk:
            step = parent[node]
            if step < 0:
                continue
            above = self.other_end(step, node)
            root_of[node] = root_of[above]
            sign = -1.0 if self.links[step].end == node else 1.0
            pressure[..., node] = pressure[..., above] + sign * dp_pa[..., step]
        zero: dict[int, int] = {}
        for node in datum:
            zero.setdefault(root_of[node], node)
        origin = np.array([zero.get(root, root) for root in root_of], dtype=np.intp)
        relative: Array = pressure - pressure[..., origin]
        return relative
