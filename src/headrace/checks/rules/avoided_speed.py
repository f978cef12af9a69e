"""NOISE-03: nothing turns at a speed it was agreed to keep out of.

At some speeds a fan or pump makes its mounting or a panel hum; [limits] avoid holds the bands somebody heard. Judged
for every state. A speed that no state and no card tells is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.loop.model import Loop, Stack, State, Vent
from headrace.parts.pump import Pump
from headrace.solve.airpaths import find_speed_hz
from headrace.units import Figure, Kind, show

CHECK = Check("NOISE-03", "Speed that is to be avoided", Severity.BEFORE_HANDOVER, Group.NOISE, what="speed", unit="hz")
_ROUNDING_HZ = 1e-9
Bands = tuple[tuple[Figure, Figure], ...]


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every device with bands to avoid, in every state."""
    for id_, bands in build.loop.limits.avoid.items():
        speeds = [(state, _speed_hz(build.loop, id_, state)) for state in build.loop.states]
        unknown = [state for state, speed in speeds if speed is None]
        if unknown:
            yield CHECK.skipped(unknown[0].place, f'"{id_}"', _lack(build.loop, id_, unknown[0]))
        for state, speed in speeds:
            yield from _judge(id_, bands, state, speed)


def _judge(id_: str, bands: Bands, state: State, speed: float | None) -> Iterator[Finding]:
    """The ends of a band are allowed: it is what lies between them that hums."""
    for low, high in bands:
        if speed is not None and low + _ROUNDING_HZ < speed < high - _ROUNDING_HZ:
            ends = f"{show(low, 'speed_hz')} or slower, or {show(high, 'speed_hz')} or faster"
            fix = f'Let "{id_}" turn at {ends} in state "{state.name}", and let its curve pass the band in one step.'
            subject = f'"{id_}" in state "{state.name}"'
            yield CHECK.finding(state.place, subject, found=speed, limit=ends, fix=fix)


def _speed_hz(loop: Loop, id_: str, state: State) -> float | None:
    """Turns per second; None when neither the state nor a card tells."""
    fanned: tuple[Stack | Vent, ...] = (*loop.stacks, *loop.vents)
    for mover in fanned:
        if mover.id == id_:
            return find_speed_hz(id_, mover.fan, state)
    card = loop.part(id_).card
    full = card.full_speed_hz if isinstance(card, Pump) else None
    stated = state.speed.get(id_)
    if stated is not None and stated.kind is Kind.SPEED:
        return float(stated)
    return None if full is None else float(full) * (1.0 if stated is None else float(stated))


def _lack(loop: Loop, id_: str, state: State) -> str:
    pump = next((part for part in loop.parts if part.id == id_), None)
    if pump is not None:
        return f'card "{pump.card.id}" states no full_speed, so its % are no rpm'
    return f'no speed in state "{state.name}", and no card states full_speed (speed = {{ {id_} = "1000 rpm" }})'
