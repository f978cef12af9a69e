"""
Where in a network the coolant has a temperature of its own: at the junctions, and between the places of heat.

Answers   at which station each node and link finds its coolant
Assumes   tubes lose no heat, so the coolant only changes in a link that is a place of heat: pump, block, radiator
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from headrace.solve.branches import Branches
from headrace.units import Array, Indices


@dataclass(frozen=True, eq=False)  # known by identity, so that what is found for one can be kept
class Stations:
    """
    Stations are the junctions, then the stretches between places of heat along each branch, then water at rest.

    `places` are the links where heat goes in or out; `before` and `after` are their stretches along the branch.
    Points, where properties are taken, are the stretches, then the places (mean of their two ends), then rest.
    """

    branches: Branches
    places: Indices
    place_branch: Indices
    before: Indices
    after: Indices
    stretch_branch: Indices
    passed: Array  # (stretches, places): 1 where a place lies before the stretch along the branch
    node_station: Indices
    point_of_link: Indices

    @property
    def junctions(self) -> int:
        """How many stations are junctions."""
        return len(self.branches.junctions)

    @property
    def count(self) -> int:
        """How many stations there are."""
        return self.junctions + len(self.stretch_branch) + 1

    @property
    def points(self) -> int:
        """How many points there are."""
        return len(self.stretch_branch) + len(self.places) + 1

    @classmethod
    def of(cls, branches: Branches, warm: Sequence[bool]) -> Stations:
        """The stations of a network; `warm` says of each link whether it is a place of heat."""
        network = branches.network
        places: list[tuple[int, int, int]] = []  # link, stretch before, stretch after
        stretches: list[int] = []
        point_of_link = np.full(len(network.links), -1, dtype=np.intp)
        node_stretch: dict[int, int] = {}
        for branch, chain in enumerate(branches.chains):
            stretches.append(branch)
            for link, sign in chain:
                here = len(stretches) - 1
                if warm[link]:
                    places.append((link, here, here + 1))
                    stretches.append(branch)
                else:
                    point_of_link[link] = here
                end = network.links[link].end if sign > 0 else network.links[link].start
                node_stretch[end] = len(stretches) - 1
        count, junctions = len(stretches), len(branches.junctions)
        for index, (link, _, _) in enumerate(places):
            point_of_link[link] = count + index
        point_of_link[point_of_link < 0] = count + len(places)
        node_station = np.full(network.nodes, junctions + count, dtype=np.intp)
        for node, stretch in node_stretch.items():
            node_station[node] = junctions + stretch
        node_station[branches.junctions] = np.arange(junctions)
        link_, before, after = np.array(places, dtype=np.intp).reshape(-1, 3).T
        stretch_branch = np.array(stretches, dtype=np.intp)
        place_branch = stretch_branch[before]
        same = stretch_branch[:, None] == place_branch[None, :]
        passed = (same & (np.arange(count)[:, None] >= after[None, :])).astype(np.float64)
        return cls(branches, link_, place_branch, before, after, stretch_branch, passed, node_station, point_of_link)

    def at_points(self, station_k: Array) -> Array:
        """Temperature of every point, shape (variants, points), from that of every station."""
        stretch = station_k[:, self.junctions : self.count - 1]
        mean = 0.5 * (stretch[:, self.before] + stretch[:, self.after])
        return np.concatenate([stretch, mean, station_k[:, -1:]], axis=1)

    def inlets(self, mass_flow_kg_s: Array) -> Indices:
        """Station at which the water enters each place, shape (variants or 1, places); flows are by branch."""
        forward = directions(mass_flow_kg_s)[:, self.place_branch]
        return self.junctions + np.where(forward, self.before, self.after)


def directions(flow: Array) -> NDArray[np.bool_]:
    """True where a branch flows along; one row where all variants flow the same way, as is usual."""
    forward = flow >= 0.0
    return forward[:1] if len(forward) > 1 and np.all(forward == forward[:1]) else forward
