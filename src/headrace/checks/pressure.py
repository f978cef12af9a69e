"""
The highest pressure a water can be put under by its own pumps and its own height.

Answers   the pressure of all pumps of a loop at full speed against a closed way, and that of the water standing above
Assumes   pumps run up to full speed whenever their control fails, so lesser speeds of the states ask for nothing more;
          pumps one after another add, pumps side by side do not; one reservoir holds its water at the pressure around
Source    shut-off pressure of each pump's own curve, through physics.pump; hydrostatics
"""

from __future__ import annotations

from headrace.checks.build import Build
from headrace.checks.heights import span_m
from headrace.checks.wetted import Wet, lines, owner, wetted
from headrace.geometry.posture import UPRIGHT
from headrace.loop.model import Loop, PlacedPart, PortId
from headrace.loop.placed import port_point
from headrace.parts.card import TANK
from headrace.parts.pump import Pump
from headrace.physics.expansion import column_pa

COLD_K = 293.15  # a loop is tried at its shut-off pressure cold; glycol mixes weigh 1 % less at 45 °C
_MOST_TRIED = 6  # pumps in one water; of more, the plain sum is taken
_Edge = tuple[str, str, float]  # where a pump draws, where it delivers, its shut-off pressure


def shut_off_pa(build: Build, water: frozenset[str]) -> float | None:
    """
    Pressure of the pumps of one water with the way closed behind them, above the air around, Pa. None without a pump.

    p = max over chains of sum of (rho / rho_test) dp(0)        dp(0) at full speed, from each card's curve

    A chain is pumps of which each delivers into the water the next one draws from; so pumps in series add and of
    pumps side by side the strongest counts. Where there is not exactly one reservoir, nothing holds a level, and all
    pumps may add up: an upper bound. `water` is one of `wetted.water_loops`.
    """
    loop = build.loop
    parts = [part for part in loop.parts if part.id in water]
    heads = {part.id: _head_pa(loop, part) for part in parts if isinstance(part.card, Pump)}
    if not heads:
        return None
    tanks = [part for part in parts if part.card.passage == "hub"]
    if len(tanks) != 1 or len(heads) > _MOST_TRIED:
        return sum(heads.values())
    return _chain_pa(_edges(loop, parts, heads), None, frozenset())


def static_pa(loop: Loop, ports: tuple[PortId, ...], water: frozenset[str]) -> float:
    """
    Pressure of the water standing above the lowest of `ports`, upright, Pa.

    p = rho g (z of the highest port of the loop - z of the lowest of these ports)        hydrostatics

    A part that does not say where its ports are counts with its outline; where one does not say where it stands, the
    height is at least the usual height of a loop (`assumed_loop_height`).
    """
    tops = [_ends_m(part, None)[1] for part in loop.parts if part.id in water]
    own = [_ends_m(loop.part(owner(port)), port.partition(".")[2])[0] for port in ports]
    return column_pa(_height_m(loop, own, tops), _cold_kg_m3(loop)) if ports else 0.0


def loop_column_pa(build: Build, water: frozenset[str]) -> float:
    """
    Pressure of the water column from the top to the bottom of a loop, upright, Pa.

    p = rho g h        hydrostatics

    Where a part does not say where it stands, h is at least the usual height of a loop (`assumed_loop_height`).
    """
    spans = [span_m(part, UPRIGHT) or (None, None) for part in build.loop.parts if part.id in water]
    height_m = _height_m(build.loop, [low for low, _ in spans], [high for _, high in spans])
    return column_pa(height_m, _cold_kg_m3(build.loop))


def _height_m(loop: Loop, lows: list[float | None], highs: list[float | None]) -> float:
    """From the lowest of `lows` to the highest of `highs`; with one unknown, at least the usual height of a loop."""
    known_lows, known_highs = ([end for end in ends if end is not None] for ends in (lows, highs))
    height_m = max(known_highs) - min(known_lows) if known_lows and known_highs else 0.0
    if len(known_lows) == len(lows) and len(known_highs) == len(highs):
        return height_m
    return max(height_m, loop.thresholds("assumed_loop_height"))


def _ends_m(part: PlacedPart, name: str | None) -> tuple[float, float] | tuple[None, None]:
    """The lowest and the highest of the ports of a part (of one with a name), or else of its outline."""
    heights = _heights(part, name)
    return (min(heights), max(heights)) if heights else span_m(part, UPRIGHT) or (None, None)


def most_pa(build: Build, water: frozenset[str]) -> float:
    """
    The most pressure a part of a loop can see, Pa: pumps and water column; without a pump the column alone.

    p = p_pumps + rho g h        hydrostatics, an upper bound
    """
    return (shut_off_pa(build, water) or 0.0) + loop_column_pa(build, water)


def limits_pa(loop: Loop, water: frozenset[str]) -> list[tuple[float, Wet]]:
    """What each part, tube and fitting of a loop bears, for those whose cards state it, Pa."""
    stated = [(wet.card.max_pressure_pa, wet) for wet in wetted(loop, water)]
    return [(float(limit), wet) for limit, wet in stated if limit is not None]


def _cold_kg_m3(loop: Loop) -> float:
    return float(loop.coolant.fluid().density_kg_m3(COLD_K))


def _heights(part: PlacedPart, name: str | None) -> list[float]:
    points = (port_point(part, port) for port in part.card.port if name is None or port.name == name)
    return [point[2] for point in points if point is not None]


def _head_pa(loop: Loop, part: PlacedPart) -> float:
    """Shut-off pressure of one pump at full speed in the coolant of the loop."""
    assert isinstance(part.card, Pump)
    tested = part.card.curve[0].with_.density_kg_m3()
    return part.card.fit().shutoff_pa * _cold_kg_m3(loop) / tested


def _edges(loop: Loop, parts: list[PlacedPart], heads: dict[str, float]) -> tuple[_Edge, ...]:
    """Every pump between the two waters it joins; what joins without a pump or a reservoir is one water."""
    root: dict[str, str] = {}

    def find(node: str) -> str:
        while root.setdefault(node, node) != node:
            node = root[node]
        return node

    pumped: list[_Edge] = []
    for line in lines(loop):
        root[find(line.from_port)] = find(line.to_port)
    for part in parts:
        for channel in part.card.channels():
            start, end = f"{part.id}.{channel.from_}", f"{part.id}.{channel.to}"
            if channel.does == "pump":
                pumped.append((start, end, heads[part.id]))
            elif TANK not in (channel.from_, channel.to):
                root[find(start)] = find(end)
    return tuple((find(start), find(end), head) for start, end, head in pumped)


def _chain_pa(edges: tuple[_Edge, ...], at: str | None, used: frozenset[int]) -> float:
    """The most that pumps add one after another from the water `at` (from anywhere with None), each once."""
    after = [
        head + _chain_pa(edges, end, used | {index})
        for index, (start, end, head) in enumerate(edges)
        if index not in used and at in (None, start)
    ]
    return max(after, default=0.0)
