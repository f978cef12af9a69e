"""
What is high and what is low in a loop, in any posture of the case.

Answers   the height of ports, parts and water surfaces, where a loop can be drained and opened
Assumes   the water in a tank fills its outline evenly; heights count from the origin of the case frame
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from headrace.checks.ends import all_ends
from headrace.checks.wetted import owner
from headrace.geometry import level
from headrace.geometry.posture import Posture
from headrace.geometry.solid import Box
from headrace.loop.model import Loop, PlacedPart, PortId, PortUse
from headrace.loop.placed import boxes_of, port_point, spread_m

ROUNDING_M = 1e-9
OPENABLE = ("fill", "bleed", "plug")


def port_height_m(loop: Loop, port_id: PortId, posture: Posture) -> float | None:
    """Height of the middle of a port; None when part or port do not say where they are, or there is no such port."""
    part = loop.part(owner(port_id))
    port = part.card.find_port(port_id.partition(".")[2])
    point = None if port is None else port_point(part, port)
    return None if point is None else posture.height_m(point)


def port_heights_m(loop: Loop, ports: Iterable[PortId], posture: Posture) -> dict[PortId, float]:
    """The heights of those ports that are known."""
    found = {port_id: port_height_m(loop, port_id, posture) for port_id in ports}
    return {port_id: height for port_id, height in found.items() if height is not None}


def ports_of(loop: Loop, water: Iterable[str]) -> list[PortId]:
    """Every port of these parts, in the order of the file."""
    here = set(water)
    return [port_id for port_id, part, _ in loop.all_ports() if part.id in here]


def span_m(part: PlacedPart, posture: Posture) -> tuple[float, float] | None:
    """The lowest and the highest of a part, its boxes and ports together; None when neither is known."""
    up = posture.up
    down = (-up[0], -up[1], -up[2])
    points = [box.farthest(way) for box in boxes_of(part) for way in (up, down)]
    points += [point for port in part.card.port if (point := port_point(part, port)) is not None]
    heights = [posture.height_m(point) for point in points]
    return (min(heights), max(heights)) if heights else None


def surface_m(part: PlacedPart, posture: Posture) -> float | None:
    """
    Height of the water in a tank filled to its mark; its top where the card does not say how full that is.

    The tank is the first box of its outline; without one, the box around its ports.
    """
    ends = [end for box in boxes_of(part)[:1] for end in (box.low, box.high)]
    ends = ends or [point for port in part.card.port if (point := port_point(part, port)) is not None]
    if not ends:
        return None
    low = (min(x for x, _, _ in ends), min(y for _, y, _ in ends), min(z for _, _, z in ends))
    high = (max(x for x, _, _ in ends), max(y for _, y, _ in ends), max(z for _, _, z in ends))
    full = full_frac(part)
    return level.surface_m(Box(low, high), posture, 1.0 if full is None else full)


def full_frac(part: PlacedPart) -> float | None:
    """How much of a tank is water when it is filled to its mark; None when its card does not say."""
    water, whole = getattr(part.card, "water_volume_m3", None), part.card.volume_m3
    return None if water is None or not whole else min(1.0, float(water) / float(whole))


def drain_ports(loop: Loop) -> Iterator[PortId]:
    """Ports at which a loop can be drained: those used as a drain, and those with a fitting that drains."""
    for end in all_ends(loop):
        use = end.user.use if isinstance(end.user, PortUse) else ""
        if use == "drain" or any(fitting.drains for fitting in end.fittings):
            yield end.port


def opened_ports(loop: Loop, water: frozenset[str]) -> list[PortId]:
    """Ports of these parts that let air in when they are opened: fill, bleed and plugged ones."""
    return [use.port for use in loop.port_uses if owner(use.port) in water and use.use in OPENABLE]


def unplaced(loop: Loop, ports: Iterable[PortId]) -> str:
    """What is missing for the heights of these ports; empty when nothing is."""
    lacks: dict[str, None] = {}
    for port_id in ports:
        part, name = loop.part(owner(port_id)), port_id.partition(".")[2]
        port = part.card.find_port(name)
        if part.at_m is None:
            lacks[f'part "{part.id}" does not say where it stands (at_mm)'] = None
        elif port is None or port.at_m is None:
            lacks[f'card "{part.card.id}" does not say where port "{name}" is (at_mm)'] = None
    return " and ".join(list(lacks)[:3]) + (f" and {len(lacks) - 3} more" if len(lacks) > 3 else "")


def height_spread_m(loop: Loop, one: PlacedPart, other: PlacedPart) -> float:
    """One standard uncertainty of a difference of heights; none within one part."""
    return 0.0 if one.id == other.id else spread_m(loop, one, other)
