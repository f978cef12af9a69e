"""
The branches of a network: links in series that all carry one flow, from junction to junction.

Answers   which links share a flow, in which order they stand, and where branches meet
Assumes   a link in no circuit carries nothing and belongs to no branch
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from headrace.solve.network import Network
from headrace.units import Array, Indices


@dataclass(frozen=True)
class Branches:
    """
    `chains[b]` lists (link, sign) along branch b; sign is -1 where the link is written against the branch.

    `start` and `end` are the junctions of each branch as indices into `junctions`, which holds their nodes.
    """

    network: Network
    chains: tuple[tuple[tuple[int, int], ...], ...]
    start: Indices
    end: Indices
    junctions: Indices

    @classmethod
    def of(cls, network: Network) -> Branches:
        """The branches of a network; a ring without a junction starts at its first node."""
        walker = _Walker(network)
        chains = tuple(walker.chains())
        nodes = sorted({node for chain in chains for node in walker.ends(chain)})
        index = {node: i for i, node in enumerate(nodes)}
        ends = np.array([[index[node] for node in walker.ends(chain)] for chain in chains], dtype=np.intp)
        ends = ends.reshape(-1, 2)
        return cls(network, chains, ends[:, 0], ends[:, 1], np.array(nodes, dtype=np.intp))

    @cached_property
    def of_link(self) -> Indices:
        """Branch of each link, -1 for a link that carries nothing."""
        found = np.full(len(self.network.links), -1, dtype=np.intp)
        for branch, chain in enumerate(self.chains):
            found[[link for link, _ in chain]] = branch
        return found

    @cached_property
    def sign(self) -> Array:
        """+1 where a link is written along its branch, -1 where against it, 0 where it carries nothing."""
        found = np.zeros(len(self.network.links))
        for chain in self.chains:
            for link, sign in chain:
                found[link] = sign
        return found

    @cached_property
    def wheel(self) -> Array:
        """Matrix (branches, circuits): branch flows are this times the circuit flows."""
        rows = [self.network.circuits[chain[0][0]] * chain[0][1] for chain in self.chains]
        return np.array(rows) if rows else np.zeros((0, self.network.circuits.shape[1]))

    @cached_property
    def unwheel(self) -> Array:
        """Matrix (circuits, branches): circuit flows from branch flows."""
        return np.asarray(np.linalg.pinv(self.wheel), dtype=np.float64)

    @cached_property
    def _spread(self) -> Array:
        """Matrix (branches, links): link flows are branch flows times this."""
        spread = np.zeros((len(self.chains), len(self.network.links)))
        for branch, chain in enumerate(self.chains):
            for link, sign in chain:
                spread[branch, link] = sign
        return spread

    def to_links(self, by_branch: Array) -> Array:
        """Flows by link, shape (..., links), from flows by branch."""
        flow: Array = by_branch @ self._spread
        return flow

    def from_links(self, by_link: Array) -> Array:
        """Flows by branch, shape (..., branches), from flows by link."""
        first = [chain[0] for chain in self.chains]
        flow: Array = by_link[..., [link for link, _ in first]] * np.array([float(sign) for _, sign in first])
        return flow


class _Walker:
    """Walks the links that carry flow, from junction to junction."""

    def __init__(self, network: Network) -> None:
        self.links = network.links
        dead = set(network.dead_links())
        self.near: dict[int, list[int]] = {}
        for index, link in enumerate(self.links):
            if index not in dead:
                self.near.setdefault(link.start, []).append(index)
                self.near.setdefault(link.end, []).append(index)
        self.left = {index for index in range(len(self.links)) if index not in dead}

    def chains(self) -> Iterator[tuple[tuple[int, int], ...]]:
        for node in sorted(node for node, at in self.near.items() if len(at) != 2):
            for link in self.near[node]:
                if link in self.left:
                    yield self._walk(node, link)
        while self.left:  # rings
            link = min(self.left)
            yield self._walk(self.links[link].start, link)

    def _walk(self, node: int, link: int) -> tuple[tuple[int, int], ...]:
        chain, first = [], node
        while True:
            along = self.links[link].start == node
            chain.append((link, 1 if along else -1))
            self.left.discard(link)
            node = self.links[link].end if along else self.links[link].start
            onward = [other for other in self.near[node] if other in self.left]
            if node == first or len(self.near[node]) != 2 or not onward:
                return tuple(chain)
            link = onward[0]

    def ends(self, chain: tuple[tuple[int, int], ...]) -> tuple[int, int]:
        (first, way), (last, back) = chain[0], chain[-1]
        start = self.links[first].start if way > 0 else self.links[first].end
        end = self.links[last].end if back > 0 else self.links[last].start
        return start, end
