"""WATER-07: every loop has a fill port above its water, and a bottle reaches it.

A port with a radiator close above it is filled beside, and what is spilt stands on the board. Free way along the axis
of the port, beyond what stays screwed in, as wide as a bottle's mouth, to the next part or wall; a wall that opens is
none. Where a squeeze bottle does it, a note says so. What is unknown is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names, part_label
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.checks.heights import full_frac, port_height_m, surface_m
from headrace.checks.reach import Reach, reach_of
from headrace.checks.wetted import head, owner, water_loops
from headrace.geometry.posture import Posture
from headrace.loop.model import Loop, PlacedPart, PortUse
from headrace.loop.placed import spread_m, why_no_boxes, why_no_port
from headrace.units import show

CHECK = Check(
    "WATER-07",
    "Fill port missing or out of reach",
    Severity.BEFORE_POWER,
    Group.WATER,
    what="room before the fill port",
    unit="m",
    limits=("fill_room", "fill_room_least", "fill_width"),
    gate=Gate.LIQUID,
)
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every connected loop."""
    loop = build.loop
    for water in water_loops(loop):
        fills = [use for use in loop.port_uses if use.use == "fill" and owner(use.port) in water]
        if not fills:
            part = head(loop, water)
            subject = f"loop of {part_label(part)}"
            fix = 'Write which port it is filled by, a high one: [[port]] with use = "fill".'
            yield CHECK.finding(part.place, subject, found="0 fill ports", limit="at least 1", fix=fix)
        tanks = [part for part in loop.parts if part.id in water and part.card.passage == "hub"]
        for use in fills:
            yield from _room(loop, use)
            yield from _level(loop, use, tanks)


def _room(loop: Loop, use: PortUse) -> Iterator[Finding | Skipped]:
    need, width = loop.thresholds("fill_room"), loop.thresholds("fill_width")
    subject, lack = f'fill port "{use.port}"', why_no_port(loop, use.port)
    stays, unknown = _stays_m(use)
    reach = None if lack else reach_of(loop, use.port, width)
    if reach is None:
        yield CHECK.skipped(use.place, subject, lack)
    elif reach.free_m - stays < need - _ROUNDING_M:
        yield _short(loop, use, reach, reach.free_m - stays)
    elif unknown or reach.lack(need + stays):
        yield CHECK.skipped(use.place, subject, unknown or reach.lack(need + stays))


def _stays_m(use: PortUse) -> tuple[float, str]:
    """How far what stays in a port while filling stands out, and what is missing for that; a plug comes out."""
    stay = [fitting for fitting in use.with_ if fitting.opens or fitting.tube or fitting.drains]
    blank = [fitting.id for fitting in stay if fitting.height_m is None]
    lack = f"no height on card {names(blank)} (height)" if blank else ""
    return sum(float(fitting.height_m or 0.0) for fitting in stay), lack


def _short(loop: Loop, use: PortUse, reach: Reach, free_m: float) -> Finding:
    part, need = loop.part(owner(use.port)), loop.thresholds("fill_room")
    mild = free_m >= min(loop.thresholds("fill_room_least"), need) - _ROUNDING_M
    squeeze = "A squeeze bottle or a funnel with a bent tube does it here. For a bottle: " if mild else ""
    do = "make" if mild else "Make"
    fix = (
        f"{squeeze}{do} {show(need - free_m, 'room_m')} more room before {reach.what}, fill by another port, or bring "
        f"the port out with a fill tube. Cover board and power supply before filling; power off at the wall."
    )
    parts = (part,) if reach.part is None else (part, reach.part)
    check = CHECK.graded(Severity.NOTE) if mild else CHECK
    spread = spread_m(loop, *parts)
    return check.finding(use.place, f'fill port "{use.port}"', found=free_m, limit=need, fix=fix, spread=spread)


def _level(loop: Loop, use: PortUse, tanks: list[PlacedPart]) -> Iterator[Finding | Skipped]:
    """Whether water runs out of an open fill port, with all reservoirs filled to their marks."""
    posture = loop.handling.posture("fill")
    height_m = port_height_m(loop, use.port, posture)
    if height_m is None:
        return  # skipped by its room already
    lacks: list[str] = []
    for tank in tanks:
        level_m = surface_m(tank, posture)
        if level_m is None:
            lacks.append(why_no_boxes(tank))
        elif height_m < level_m - _ROUNDING_M:
            if full_frac(tank) is not None:
                yield _below(use, tank, level_m - height_m, posture)
                return
            lacks.append(f'card "{tank.card.id}" does not say how full it is (volume, water_volume)')
    if lacks:
        yield CHECK.skipped(use.place, f'fill port "{use.port}" over the water', " and ".join(lacks))


def _below(use: PortUse, tank: PlacedPart, depth_m: float, posture: Posture) -> Finding:
    fix = (
        f'Fill by a port above the water of {part_label(tank)}, or in a posture that has "{use.port}" above it '
        f"([handling] fill, now {posture.name}): opened below the water it empties the loop over what is beneath."
    )
    found = f"{show(depth_m, 'depth_m')} below the water of {part_label(tank)} at its mark"
    return CHECK.finding(use.place, f'fill port "{use.port}"', found=found, limit="above it", fix=fix)
