"""
Which way the water goes, and what it meets on the way to a pump.

Answers   what lies between a pump's inlet and the reservoir that feeds it
Assumes   the flow of the first solved state; without one, water goes as the cards and runs are written
"""

from __future__ import annotations

from dataclasses import dataclass

from headrace.checks.build import Build
from headrace.checks.wetted import lines, owner
from headrace.loop.model import Loop, PlacedPart
from headrace.parts.pump import Pump
from headrace.parts.vessel import Splitter

_STILL_M3_S = 1e-10  # 0.4 mL/h: such water has no direction


@dataclass(frozen=True)
class Way:
    """One run, joint or passage of a part from `start` to `end`; `either` when the water in it has no direction."""

    owner: str
    start: str
    end: str
    either: bool


def ways(build: Build) -> tuple[Way, ...]:
    """Every way for water, in the direction it takes."""
    if not build.solutions:
        return _written(build.loop)
    _, solution = build.solutions[0]
    found = []
    for link in solution.links:
        ends = (link.start, link.end) if link.flow_m3_s >= 0 else (link.end, link.start)
        found.append(Way(link.owner, *ends, abs(link.flow_m3_s) < _STILL_M3_S))
    return tuple(found)


def _written(loop: Loop) -> tuple[Way, ...]:
    found = []
    for part in loop.parts:
        open_ = isinstance(part.card, Splitter)
        found += [Way(part.id, f"{part.id}.{c.from_}", f"{part.id}.{c.to}", open_) for c in part.card.channels()]
    return (*found, *(Way(line.id, line.from_port, line.to_port, True) for line in lines(loop)))


def pump_inlet(part: PlacedPart) -> str:
    """The port, or the tank, a pump draws from."""
    channel = next(channel for channel in part.card.channels() if channel.does == "pump")
    return f"{part.id}.{channel.from_}"


def find_before(loop: Loop, paths: tuple[Way, ...], inlet: str) -> tuple[bool, tuple[str, ...]]:
    """
    Walk against the water from `inlet`: whether a reservoir is met first, and the parts met instead.

    Tube, splitters, bulkheads, sensors without loss and other pumps are walked through. One way that reaches a
    reservoir is enough: a reservoir on the side branch of a splitter feeds the pump too.
    """
    tube = {line.id for line in lines(loop)}
    seen, edge, met = {inlet}, [inlet], dict[str, None]()
    if loop.part(owner(inlet)).card.passage == "hub":
        return True, ()
    while edge:
        node = edge.pop(0)
        for way in paths:
            if node == way.end or (way.either and node == way.start):
                before = way.start if node == way.end else way.end
                if way.owner not in tube and _hinders(loop.part(way.owner)):
                    met[way.owner] = None
                elif before not in seen:
                    if loop.part(owner(before)).card.passage == "hub":
                        return True, tuple(met)
                    seen.add(before)
                    edge.append(before)
    return False, tuple(met)


def _hinders(part: PlacedPart) -> bool:
    """Whether a part takes pressure from the water before a pump."""
    if isinstance(part.card, Pump | Splitter):
        return False
    kind = getattr(part.card, "kind", "")
    stated = part.card.loss is not None or any(channel.loss is not None for channel in part.card.channels())
    return not (kind == "pass-through" or (kind == "temperature-sensor" and not stated))
