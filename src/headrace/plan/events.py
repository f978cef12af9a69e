"""
What may happen to a running build: warm-up, another load, a pump or fans that stop, a room that warms.

Answers   which events a build has in a state, by plain names, and which one a typed name means
Assumes   all but the warm-up start from the steady state
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from headrace.errors import BadInput, Fault, Place
from headrace.loop.buildfile import ROOM_K
from headrace.loop.model import Loop, Stack, State, Vent
from headrace.parts.faults import nearest
from headrace.parts.pump import Pump
from headrace.solve.airpaths import find_speed_hz
from headrace.units import Figure, Kind, Range, UnitFault, read_figure, show

ROOM_RISE = "5 K"
RISE_K = Range(0.1, 40.0)
RAMP_S = Range(1.0, 7 * 86400.0)
WARM_UP, COOL_DOWN, LOAD_STEP, ALL_PUMPS = "warm-up", "cool-down", "load step", "all pumps stop"
_ROOM = re.compile(r"room rises(?: (?:by )?(?P<rise>.+?)(?: in (?P<over>.+))?)?", re.IGNORECASE)
_STANDS, _NO_TURNS = Figure(0.0, Kind.FRACTION, text="0 %", unit="%"), Figure(0.0, Kind.SPEED, text="0 rpm", unit="rpm")


@dataclass(frozen=True)
class Event:
    """A change of state. Without a `start` everything is as warm as the room; `ramp_s` is how long the room takes."""

    name: str
    start: State | None
    end: State
    ramp_s: float = 0.0
    stops_water: bool = False


def standard_events(loop: Loop, state: State) -> tuple[Event, ...]:
    """Every event worth looking at before a build runs alone."""
    return tuple(_standard(loop, state))


def find_event(loop: Loop, state: State, name: str, to: State | None = None) -> Event:
    """The event called `name`, ending in `to` where it is a load step. Raises BadInput."""
    typed = " ".join(name.split())
    asked = typed.lower()
    if to is not None and asked != LOAD_STEP:
        raise _bad("--to", f'"{name}" ends in no other state', f'Write --event "{LOAD_STEP}", or leave --to out.')
    if to is not None:
        return Event(LOAD_STEP, state, to)
    if (match := _ROOM.fullmatch(typed)) is not None:
        return _room(state, match["rise"] or ROOM_RISE, match["over"])
    events = {event.name.lower(): event for event in standard_events(loop, state)}
    if asked == ALL_PUMPS and (pumps := _turning(loop, state)):
        return _pumps_stop(state, ALL_PUMPS, pumps)
    if asked == LOAD_STEP and asked not in events:
        found = f'no state of the build has less heat than "{state.name}", so there is nothing to step from'
        raise _bad("--event", found, f'Write --to STATE to say which state follows "{state.name}".')
    if asked not in events:
        raise _bad("--event", f'there is no event "{name}" in state "{state.name}"', nearest(name, events))
    return events[asked]


def _standard(loop: Loop, state: State) -> Iterator[Event]:
    yield Event(WARM_UP, None, state)
    yield Event(COOL_DOWN, state, replace(state, heat_w=dict.fromkeys(state.heat_w, Figure(0.0, Kind.HEAT))))
    idle = min(loop.states, key=_heat_w, default=state)
    if _heat_w(idle) < _heat_w(state):
        yield Event(LOAD_STEP, replace(idle, room_k=state.room_k), state)
    pumps = _turning(loop, state)
    for pump in pumps:
        yield _pumps_stop(state, f"{pump} stops", (pump,))
    if len(pumps) > 1:
        yield _pumps_stop(state, ALL_PUMPS, pumps)
    movers: list[Stack | Vent] = [*loop.stacks, *(vent for vent in loop.vents if vent.fans)]
    for mover in movers:
        yield from _fans(state, mover)
    if ROOM_K.covers(float(state.room_k) + float(read_figure(ROOM_RISE, Kind.TEMP_DIFFERENCE))):
        yield _room(state, ROOM_RISE, None)


def _heat_w(state: State) -> float:
    return sum(float(heat) for heat in state.heat_w.values())


def _turning(loop: Loop, state: State) -> tuple[str, ...]:
    pumps = (part.id for part in loop.parts if isinstance(part.card, Pump))
    return tuple(pump for pump in pumps if float(state.speed.get(pump, 1.0)) > 0.0)


def _pumps_stop(state: State, name: str, pumps: tuple[str, ...]) -> Event:
    stopped = replace(state, speed={**state.speed, **dict.fromkeys(pumps, _STANDS)})
    return Event(name, state, stopped, stops_water=True)


def _fans(state: State, mover: Stack | Vent) -> Iterator[Event]:
    if find_speed_hz(mover.id, mover.fan, state) == 0.0:
        return
    out = state.fans_out.get(mover.id, 0) + 1
    if mover.fans is not None and out < mover.fans:
        yield Event(f"one fan of {mover.id} stops", state, replace(state, fans_out={**state.fans_out, mover.id: out}))
    still = replace(state, speed={**state.speed, mover.id: _NO_TURNS})
    yield Event(f"all fans of {mover.id} stop", state, still)


def _room(state: State, rise: str, over: str | None) -> Event:
    name = f"room rises {rise}" + (f" in {over}" if over else "")
    try:
        rise_k = float(read_figure(rise, Kind.TEMP_DIFFERENCE))
        ramp_s = float(read_figure(over, Kind.TIME)) if over else 0.0
    except UnitFault as fault:
        fix = 'Write --event "room rises 5 K" or --event "room rises 8 K in 2 h".'
        raise _bad("--event", f'"{name}": {fault.found}', fix) from fault
    if not RISE_K.covers(rise_k) or (over and not RAMP_S.covers(ramp_s)):
        limit = f"a room rises by {RISE_K.low:g} to {RISE_K.high:g} K, at once or in 1 s to 7 days"
        raise _bad("--event", f'"{name}" is out of reason', "", limit)
    end_k = float(state.room_k) + rise_k
    if not ROOM_K.covers(end_k):
        limit = f"a room lies between {show(ROOM_K.low, 'room_k')} and {show(ROOM_K.high, 'room_k')}"
        raise _bad("--event", f'"{name}" ends at {show(end_k, "room_k")}', "Take a smaller rise.", limit)
    return Event(name, state, replace(state, room_k=Figure(end_k, Kind.TEMPERATURE)), ramp_s)


def _bad(option: str, found: str, fix: str, limit: str = "") -> BadInput:
    return BadInput(Fault(Place(), option, found, limit, fix))
