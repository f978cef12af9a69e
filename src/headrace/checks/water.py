"""
Which way the water goes, and what it meets on the way to a pump.

Answers   what lies between a pump's inlet and the reservoir that feeds it, and which port of that feeds it
Assumes   the flow of the first solved state in which the pump moves water; without one, water goes as the cards and
          runs are written
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from headrace.checks.build import Build
from headrace.checks.wetted import lines, owner
from headrace.loop.model import Loop, PlacedPart, PortId
from headrace.parts.pump import Pump
from headrace.parts.vessel import Splitter
from headrace.solve.solution import LinkResult

STILL_M3_S = 1e-10  # 0.4 mL/h: such water has no direction


@dataclass(frozen=True)
class Way:
    """One passage of a part, or one run or joint (`part` None), from `start` to `end`.

    `either` when the water in it has no direction.
    """

    part: str | None
    start: str
    end: str
    either: bool


def ways(build: Build, pump: str) -> tuple[Way, ...]:
    """Every way for water in the direction it takes in the first state in which `pump` moves any."""
    for _, solution in build.solutions:
        through = (link.flow_m3_s for link in solution.links if link.owner == pump and link.does == "pump")
        if any(abs(flow) > STILL_M3_S for flow in through):
            return tuple(_solved(link) for link in solution.links)
    return _written(build.loop)


def _solved(link: LinkResult) -> Way:
    ends = (link.start, link.end) if link.flow_m3_s >= 0 else (link.end, link.start)
    return Way(link.owner if link.kind == "part" else None, *ends, abs(link.flow_m3_s) < STILL_M3_S)


def _written(loop: Loop) -> tuple[Way, ...]:
    found = []
    for part in loop.parts:
        open_ = isinstance(part.card, Splitter)
        found += [Way(part.id, f"{part.id}.{c.from_}", f"{part.id}.{c.to}", open_) for c in part.card.channels()]
    return (*found, *(Way(None, line.from_port, line.to_port, True) for line in lines(loop)))


def pump_inlet(part: PlacedPart) -> str | None:
    """The port, or the tank, a pump draws from; None when its card names no outlet."""
    channel = next((channel for channel in part.card.channels() if channel.does == "pump"), None)
    return None if channel is None else f"{part.id}.{channel.from_}"


def find_before(
    loop: Loop, paths: tuple[Way, ...], inlet: str, *, past_small: bool = False
) -> tuple[bool, tuple[str, ...]]:
    """
    Walk against the water from `inlet`: whether a reservoir is met first, and the parts met instead.

    Tube, splitters, bulkheads, sensors without loss and other pumps are walked through. One way that reaches a
    reservoir is enough: a reservoir on the side branch of a splitter feeds the pump too. With `past_small`
    couplings and flow sensors are walked through as well.
    """
    if loop.part(owner(inlet)).card.passage == "hub":
        return True, ()
    outlet, met = _walk(loop, paths, inlet, lambda part: _hinders(part) and not (past_small and _is_small(part)))
    return outlet is not None, met


def feeding_port(loop: Loop, paths: tuple[Way, ...], inlet: PortId) -> PortId | None:
    """Walk against the water from a pump's inlet to the first tank: the port it leaves by; None when there is none."""
    return _walk(loop, paths, inlet, lambda _: False)[0]


def _walk(
    loop: Loop, paths: tuple[Way, ...], inlet: PortId, ends: Callable[[PlacedPart], bool]
) -> tuple[PortId | None, tuple[str, ...]]:
    """The port of the first tank against the water, and the parts that end the way to it."""
    pump = owner(inlet)
    seen, edge, met = {inlet}, [inlet], dict[str, None]()
    while edge:
        node = edge.pop(0)
        for way in paths:
            if way.part == pump or not (node == way.end or (way.either and node == way.start)):
                continue
            before = way.start if node == way.end else way.end
            if loop.part(owner(before)).card.passage == "hub":
                return before, tuple(met)
            if way.part is not None and ends(loop.part(way.part)):
                met[way.part] = None
            elif before not in seen:
                seen.add(before)
                edge.append(before)
    return None, tuple(met)


def _is_small(part: PlacedPart) -> bool:
    return getattr(part.card, "kind", "") in ("coupling", "flow-sensor")


def _hinders(part: PlacedPart) -> bool:
    """Whether a part takes pressure from the water before a pump."""
    if isinstance(part.card, Pump | Splitter):
        return False
    kind = getattr(part.card, "kind", "")
    stated = part.card.loss is not None or any(channel.loss is not None for channel in part.card.channels())
    return not (kind == "pass-through" or (kind == "temperature-sensor" and not stated))
