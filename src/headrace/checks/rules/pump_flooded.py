"""WATER-04: water stands over the inlet of each pump in the posture for filling.

A pump whose inlet is no lower than the outlet of its reservoir draws air before the reservoir is empty. In one body
with its reservoir, its outlet must lie under the water of a first fill. What is unknown is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.checks.heights import ROUNDING_M, port_height_m, port_heights_m, span_m, unplaced
from headrace.checks.water import feeding_port, pump_inlet, ways
from headrace.checks.wetted import owner, pumps
from headrace.loop.model import Loop, PlacedPart, PortId
from headrace.loop.placed import spread_m
from headrace.units import show

CHECK = Check(
    "WATER-04",
    "Pump inlet not flooded while filling",
    Severity.BEFORE_POWER,
    Group.WATER,
    what="above the water that is left",
    unit="m",
    limits=("first_fill",),
    gate=Gate.LIQUID,
)
_DRY = "Never run the pump dry, not for a second of a test: its maker says what it bears."


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every pump that something feeds."""
    loop = build.loop
    for pump in pumps(loop):
        inlet = pump_inlet(pump)
        if pump.card.passage == "hub":
            yield from _judge_body(loop, pump)
        elif inlet is not None:
            outlet = feeding_port(loop, ways(build, pump.id), inlet)
            if outlet is not None:
                yield from _judge_apart(loop, pump, inlet, outlet)


def _judge_apart(loop: Loop, pump: PlacedPart, inlet: PortId, outlet: PortId) -> Iterator[Finding | Skipped]:
    posture = loop.handling.posture("fill")
    own, left = port_height_m(loop, inlet, posture), port_height_m(loop, outlet, posture)
    if own is None or left is None:
        yield CHECK.skipped(pump.place, part_label(pump), unplaced(loop, (inlet, outlet)))
    elif own > left + ROUNDING_M:
        over, tank = own - left, loop.part(owner(outlet))
        fix = (
            f'Fill in a posture with "{inlet}" no higher than "{outlet}" ([handling] fill, now {posture.name}), or '
            f"lower the pump by {show(over, 'height_m')}. {_DRY}"
        )
        spread = spread_m(loop, pump, tank)
        yield CHECK.finding(pump.place, f'inlet "{inlet}"', found=over, limit=0.0, fix=fix, spread=spread)


def _judge_body(loop: Loop, pump: PlacedPart) -> Iterator[Finding | Skipped]:
    posture, share = loop.handling.posture("fill"), loop.thresholds("first_fill")
    outlets = [f"{pump.id}.{port.name}" for port in pump.card.port if port.way == "out" or port.name == "out"]
    heights, span = port_heights_m(loop, outlets, posture), span_m(pump, posture)
    if span is None or not heights:
        yield CHECK.skipped(pump.place, part_label(pump), unplaced(loop, outlets) or "its card names no outlet (port)")
        return
    lowest, level = min(heights.values()), span[0] + share * (span[1] - span[0])
    if lowest > level + ROUNDING_M:
        fix = (
            f"Fill in a posture that has the pump end of {part_label(pump)} below its tank ([handling] fill, now "
            f"{posture.name}). {_DRY}"
        )
        subject = f'outlet "{min(heights, key=lambda id_: heights[id_])}"'
        yield CHECK.finding(pump.place, subject, found=lowest - level, limit=0.0, fix=fix)
