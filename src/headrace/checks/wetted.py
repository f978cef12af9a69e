"""
Everything the coolant touches, and which of it shares one water.

Answers   the parts, fittings and tubes of each connected loop, with their cards and the ports whose water they meet
Assumes   what runs and joints connect is one water; a part joined to nothing has none
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from headrace.checks.ends import all_ends, names, part_label
from headrace.errors import Place
from headrace.loop.model import Joint, Loop, PlacedPart, PortId, Run
from headrace.parts.card import Card
from headrace.parts.pump import Pump


@dataclass(frozen=True)
class Wet:
    """One part, or all fittings or all tube of one card in a loop."""

    label: str
    card: Card
    ports: tuple[PortId, ...]
    place: Place


def water_loops(loop: Loop) -> tuple[frozenset[str], ...]:
    """Part ids that share one water, loop by loop in the order of the file."""
    near: dict[str, set[str]] = {}
    for line in lines(loop):
        one, other = owner(line.from_port), owner(line.to_port)
        near.setdefault(one, set()).add(other)
        near.setdefault(other, set()).add(one)
    found: list[frozenset[str]] = []
    for part in loop.parts:
        if part.id in near and not any(part.id in water for water in found):
            water, edge = {part.id}, [part.id]
            while edge:
                fresh = near[edge.pop()] - water
                water |= fresh
                edge += fresh
            found.append(frozenset(water))
    return tuple(found)


def lines(loop: Loop) -> tuple[Run | Joint, ...]:
    """Everything that joins two ports: runs of tube, then joints."""
    return (*loop.runs, *loop.joints)


def owner(port: PortId) -> str:
    """The part a port belongs to."""
    return port.partition(".")[0]


def wetted(loop: Loop, water: frozenset[str]) -> tuple[Wet, ...]:
    """All that the water of these parts touches: each part, then fittings and tube card by card."""
    parts = [Wet(part_label(part), part.card, _ports(part), part.place) for part in loop.parts if part.id in water]
    pieces: dict[tuple[str, str], list[tuple[Card, PortId, Place]]] = {}
    for end in all_ends(loop):
        if owner(end.port) in water:
            for fitting in end.fittings:
                pieces.setdefault(("fitting", fitting.id), []).append((fitting, end.port, end.place))
    where: dict[str, list[str]] = {}
    for run in loop.runs:
        if owner(run.from_port) in water:
            where.setdefault(run.tube.id, []).append(run.id)
            for port in (run.from_port, run.to_port):
                pieces.setdefault(("tube", run.tube.id), []).append((run.tube, port, run.place))
    return (*parts, *(_piece(kind, id_, found, where) for (kind, id_), found in pieces.items()))


def _ports(part: PlacedPart) -> tuple[PortId, ...]:
    ends = [port.name for port in part.card.port] + [c.from_ for c in part.card.channels()]
    return tuple(dict.fromkeys(f"{part.id}.{name}" for name in ends))


def _piece(kind: str, id_: str, found: list[tuple[Card, PortId, Place]], where: dict[str, list[str]]) -> Wet:
    ports = tuple(dict.fromkeys(port for _, port, _ in found))
    at = f"of run {names(where[id_])}" if kind == "tube" else f"at {names(ports)}"
    return Wet(f'{kind} "{id_}" {at}', found[0][0], ports, found[0][2])


def pumps(loop: Loop) -> Iterator[PlacedPart]:
    """Every pump, alone or under a reservoir."""
    return (part for part in loop.parts if isinstance(part.card, Pump))


def head(loop: Loop, water: Iterable[str]) -> PlacedPart:
    """The part a loop is known by: its reservoir, else its pump, else its first part."""
    here = [part for part in loop.parts if part.id in set(water)]
    return min(here, key=lambda part: (part.card.passage != "hub", not isinstance(part.card, Pump)))
