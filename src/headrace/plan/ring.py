"""
The ring that the water of a loop runs through, and the groups of parts that may change places in it.

Answers   which parts stand in series, which of them stay together, and what the loop is with them in another order
Assumes   flows as solved. Each run of the ring keeps its place, length, bends and fittings, since where the tubes of
          another order would run is not known yet
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from headrace.loop.model import Loop, PortId
from headrace.solve.heat import LEAST_KG_S
from headrace.solve.solution import LinkResult, Solution

_SAME_FLOW = 1e-6  # of the larger one; flows through one ring are the same to 1e-9


@dataclass(frozen=True)
class Group:
    """
    Parts that stay together, in the order the water meets them, between the ports where the ring comes in and leaves.

    `workers` are those that move water, give heat or take it.
    """

    parts: tuple[str, ...]
    inlet: PortId
    outlet: PortId
    workers: tuple[str, ...]
    does: frozenset[str]
    hub: bool

    @property
    def moves(self) -> bool:
        """True when its place matters: it gives or takes heat."""
        return bool(self.does & {"heat", "cool"})

    @property
    def label(self) -> str:
        """Its working parts, as a person would name it."""
        return " + ".join(self.workers or self.parts)


@dataclass(frozen=True)
class Ring:
    """
    A ring: `anchor` with the pump stays, `groups` may change places after it, in the order of the water.

    `runs` lead from the anchor to the first group, from each group to the next and from the last one back; the flag
    says whether the water goes the way the run is written.
    """

    anchor: Group
    groups: tuple[Group, ...]
    runs: tuple[tuple[str, bool], ...]


class Flow(NamedTuple):
    """A link with water in it, and the ports it comes from and goes to."""

    link: LinkResult
    up: PortId
    down: PortId


def find_rings(loop: Loop, solution: Solution) -> tuple[Ring, ...]:
    """The main ring of each water that has two groups or more to change places."""
    rings = []
    flows = find_flows(solution)
    for water in map(set, solution.waters):
        here = [flow for flow in flows if flow.up in water]
        series = sorted(_series_runs(here), key=lambda runs: -abs(runs[0].link.mass_flow_kg_s))
        found = (_ring(loop, here, runs) for runs in series)
        rings += [ring for ring in found if len(ring.groups) > 1][:1]
    return tuple(rings)


def find_flows(solution: Solution) -> list[Flow]:
    """Every link with water in it, the way the water goes."""
    return [
        Flow(link, link.start, link.end) if link.mass_flow_kg_s > 0 else Flow(link, link.end, link.start)
        for link in solution.links
        if abs(link.mass_flow_kg_s) > LEAST_KG_S
    ]


def reordered(loop: Loop, ring: Ring, order: Sequence[Group]) -> Loop:
    """The loop with the groups of its ring in another order; runs keep their places and take their new ends."""
    seats = (ring.anchor, *order)
    ends = {}
    for place, (id_, forward) in enumerate(ring.runs):
        pair = (seats[place].outlet, seats[(place + 1) % len(seats)].inlet)
        ends[id_] = pair if forward else pair[::-1]
    runs = (replace(run, from_port=ends[run.id][0], to_port=ends[run.id][1]) if run.id in ends else run
            for run in loop.runs)  # fmt: skip
    return replace(loop, runs=tuple(runs))


def _series_runs(flows: Sequence[Flow]) -> Iterator[list[Flow]]:
    """Runs that all the water of a ring passes, ring by ring: without any two of them it falls in two pieces."""
    left = [flow for flow in flows if flow.link.kind == "run"]
    while left:
        first = left.pop(0)
        mates = [other for other in left if _in_series(flows, first, other)]
        left = [other for other in left if other not in mates]
        yield [first, *mates]


def _in_series(flows: Sequence[Flow], one: Flow, other: Flow) -> bool:
    here, there = abs(one.link.mass_flow_kg_s), abs(other.link.mass_flow_kg_s)
    if abs(here - there) > _SAME_FLOW * max(here, there):
        return False
    piece = _pieces([flow for flow in flows if flow not in (one, other)])
    return piece.get(one.up, one.up) != piece.get(one.down, one.down)


def _pieces(flows: Sequence[Flow]) -> dict[PortId, PortId]:
    """One name for all ports that these links join."""
    piece: dict[PortId, PortId] = {}

    def root(port: PortId) -> PortId:
        while piece.setdefault(port, port) != port:
            port = piece[port]
        return port

    for flow in flows:
        piece[root(flow.up)] = root(flow.down)
    return {port: root(port) for port in list(piece)}


def _ring(loop: Loop, flows: Sequence[Flow], runs: Sequence[Flow]) -> Ring:
    """The pieces between the runs of a ring, from the anchor on, with all that has no place of its own settled."""
    inside = [flow for flow in flows if flow not in runs]
    piece = _pieces(inside)
    leaving = {piece.get(run.up, run.up): run for run in runs}
    pieces, run = [], runs[0]
    for _ in runs:
        name = piece.get(run.down, run.down)
        links = [flow for flow in inside if piece[flow.up] == name]
        after = leaving[name]
        pieces.append((_group(loop, links, run.down, after.up), after))
        run = after
    clusters = _settled(_from_anchor(pieces))
    lasts = [cluster[-1][1] for cluster in clusters]
    anchor, *groups = (_joined([group for group, _ in cluster]) for cluster in clusters)
    return Ring(anchor, tuple(groups), tuple((run.link.id, run.up == run.link.start) for run in lasts))


_Piece = tuple[Group, Flow]  # a group and the run that leaves it


def _group(loop: Loop, links: Sequence[Flow], inlet: PortId, outlet: PortId) -> Group:
    seen, parts, workers = [inlet], dict[str, None](), dict[str, None]()
    for port in seen:  # grows as the water is followed
        for flow in (flow for flow in links if flow.up == port):
            if flow.link.kind == "part":
                parts[flow.link.owner] = None
                workers |= {flow.link.owner: None} if flow.link.does else {}
            if flow.down not in seen:
                seen.append(flow.down)
    does = frozenset(flow.link.does for flow in links if flow.link.does)
    hub = any(loop.part(id_).card.passage == "hub" for id_ in parts)
    return Group(tuple(parts), inlet, outlet, tuple(workers), does, hub)


def _from_anchor(pieces: Sequence[_Piece]) -> list[list[_Piece]]:
    """The anchor, then every other piece: the pump with the reservoir that feeds it and what stands between them."""
    count, found = len(pieces), None
    for index in (i for i, (group, _) in enumerate(pieces) if "pump" in group.does):
        first = index
        while not pieces[first][0].hub and first > index - count + 1:
            before = pieces[first - 1][0]
            if before.moves and not before.hub:
                break
            first -= 1
        fed = pieces[first][0].hub
        if found is None or (fed and not found[2]):
            found = (first if fed else index, index, fed)
    first, last, _ = found or (0, 0, False)
    rest = [[pieces[i % count]] for i in range(last + 1, first + count)]
    return [[pieces[i % count] for i in range(first, last + 1)], *rest]


def _settled(clusters: Sequence[list[_Piece]]) -> list[list[_Piece]]:
    """What gives no heat stays with the radiator that follows it, else with the part before it."""
    done, waiting = [clusters[0]], list[_Piece]()
    for cluster in clusters[1:]:
        group = cluster[0][0]
        if not group.moves:
            waiting += cluster
            continue
        if group.does == {"cool"} and not any("cool" in before.does for before, _ in done[-1]):
            done.append([*waiting, *cluster])
        else:
            done[-1] = [*done[-1], *waiting]
            done.append(cluster)
        waiting = []
    done[-1] = [*done[-1], *waiting]
    return done


def _joined(groups: Sequence[Group]) -> Group:
    return Group(
        tuple(dict.fromkeys(id_ for group in groups for id_ in group.parts)),
        groups[0].inlet,
        groups[-1].outlet,
        tuple(dict.fromkeys(id_ for group in groups for id_ in group.workers)),
        frozenset().union(*(group.does for group in groups)),
        any(group.hub for group in groups),
    )
