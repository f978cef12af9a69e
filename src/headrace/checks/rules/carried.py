"""SERVICE-03: in the posture a filled machine is carried in, the air of its reservoir stays away from the pump.

Air that gets into the pump on the way lets it run dry at the first start, and a pump bears that for seconds at most. A
filled machine that does not say how it is carried, and a reservoir of unknown size or content, is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.heights import full_frac, surface_m
from headrace.geometry.path import Point
from headrace.geometry.posture import Posture
from headrace.loop.model import PlacedPart
from headrace.loop.placed import boxes_of, place_in, port_point, why_no_boxes
from headrace.parts.pump import PumpReservoir
from headrace.parts.vessel import Reservoir
from headrace.units import show

CHECK = Check(
    "SERVICE-03",
    "Air reaches the pump while carried",
    Severity.NOTE,
    Group.SERVICE,
    what="height of the inlet over the water",
    unit="m",
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every reservoir of a machine that travels filled."""
    loop, handling = build.loop, build.loop.handling
    vessels = [part for part in loop.parts if isinstance(part.card, Reservoir | PumpReservoir)]
    if not handling.transport_filled or not vessels:
        return
    if handling.transport is None:
        reason = "it travels filled and [handling] does not say how it is carried (transport)"
        yield CHECK.skipped(vessels[0].place, part_label(vessels[0]), reason)
        return
    posture = handling.transport.posture()
    for part in vessels:
        yield from _judge(part, posture)


def _judge(part: PlacedPart, posture: Posture) -> Iterator[Finding | Skipped]:
    inlets, level_m = _inlets(part), surface_m(part, posture)
    if full_frac(part) is None or not boxes_of(part) or not inlets or level_m is None:
        yield CHECK.skipped(part.place, part_label(part), " and ".join(_lacks(part)))
        return
    over_m = max(posture.height_m(inlet) for inlet in inlets) - level_m
    if over_m >= 0.0:
        fix = (
            f"Carried {posture.name} the water stands {show(over_m, 'over_m')} below what the pump draws from. At the "
            "first start stand it upright, wait ten minutes, top up, and stop the pump at once when it sucks air; or "
            "carry it upright, or drained."
        )
        yield CHECK.finding(part.place, part_label(part), found=over_m, limit=0.0, fix=fix)


def _inlets(part: PlacedPart) -> tuple[Point, ...]:
    """What the pump draws from: the outlets of a reservoir; of one with its pump below, the middle of its foot."""
    if isinstance(part.card, PumpReservoir):
        foot = min((_foot(box) for box in part.card.outline_m), key=lambda point: point[2], default=None)
        inlet = place_in(part, foot)
        return () if inlet is None else (inlet,)
    outlets = [port for port in part.card.port if "out" in (port.way, port.name)]
    return tuple(point for port in outlets if (point := port_point(part, port)) is not None)


def _foot(corners: tuple[float, float, float, float, float, float]) -> Point:
    x, y, z, to_x, to_y, to_z = corners
    return ((x + to_x) / 2, (y + to_y) / 2, min(z, to_z))


def _lacks(part: PlacedPart) -> Iterator[str]:
    if why := why_no_boxes(part):
        yield why
    if full_frac(part) is None:
        yield f'card "{part.card.id}" does not say how much it holds and how much is filled (volume, water_volume)'
    if not _inlets(part) and not why_no_boxes(part):
        yield f'card "{part.card.id}" does not say where its outlet is (at_mm)'
