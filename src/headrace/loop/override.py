"""Values of a state changed for one solve: `pump.speed=60%`, `cpu.heat=200 W`, `room=30 °C`.

Answers   the state with a few values set from the command line, or everything wrong with what was typed
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from headrace.errors import BadInput, Fault, Place
from headrace.fluids.air import VALID_ALTITUDE_M
from headrace.loop.buildfile import find_room_fault
from headrace.loop.conditions import find_speed_fault
from headrace.loop.model import Loop, Stack, State, Vent
from headrace.parts.block import Block
from headrace.parts.faults import nearest
from headrace.parts.pump import Pump
from headrace.units import Figure, Kind, UnitFault, read_either, show

_STATE = {
    "room": ("room_k", Kind.TEMPERATURE),
    "altitude": ("altitude_m", Kind.LENGTH),
    "humidity": ("humidity_frac", Kind.FRACTION),
    "case_heat": ("case_heat_w", Kind.HEAT),
}


def set_room(state: State, text: str) -> State:
    """`state` in the room `--room` names. Raises BadInput."""
    try:
        return replace(state, room_k=_room(text))
    except UnitFault as fault:
        raise BadInput(fault.at(Place("--room"), "")) from fault


def override_state(loop: Loop, state: State, settings: Sequence[str]) -> State:
    """`state` with `settings` applied in order. Raises BadInput with every fault."""
    faults: list[Fault] = []
    for setting in settings:
        try:
            state = _apply(loop, state, setting)
        except UnitFault as fault:
            faults.append(fault.at(Place(f"--set {setting}"), ""))
        except BadInput as error:
            faults += error.faults
    if faults:
        raise BadInput(*faults)
    return state


def _apply(loop: Loop, state: State, setting: str) -> State:
    name, equals, text = (piece.strip() for piece in setting.partition("="))
    if not equals or not text:
        raise _bad(setting, "is no setting", "Write for example pump.speed=60%, cpu.heat=200 W or room=30 °C.")
    if name in _STATE:
        field, kind = _STATE[name]
        figure = _room(text) if name == "room" else read_either(text, kind)
        if name == "altitude" and not VALID_ALTITUDE_M.covers(float(figure)):
            low, high = (show(end, kind) for end in (VALID_ALTITUDE_M.low, VALID_ALTITUDE_M.high))
            raise _bad(setting, f"{show(float(figure), kind)} is no {name}", f"It lies between {low} and {high}.")
        return replace(state, **{field: figure})  # type: ignore[arg-type]
    id_, _, what = name.rpartition(".")
    heated = [part.id for part in loop.parts if isinstance(part.card, Block)]
    turning = {part.id for part in loop.parts if isinstance(part.card, Pump)} | set(_fanned(loop))
    known = [*_STATE, *(f"{part}.heat" for part in heated), *(f"{part}.speed" for part in sorted(turning))]
    if what == "heat" and id_ in heated:
        return replace(state, heat_w={**state.heat_w, id_: read_either(text, Kind.HEAT)})
    if what == "speed" and id_ in turning:
        return replace(state, speed={**state.speed, id_: _speed(loop, id_, text, setting)})
    raise _bad(setting, f'there is no "{name}" to set', nearest(name, known))


def _room(text: str) -> Figure:
    figure = read_either(text, Kind.TEMPERATURE)
    fault = find_room_fault(figure)
    if fault is not None:
        raise fault
    return figure


def _speed(loop: Loop, id_: str, text: str, setting: str) -> Figure:
    figure = read_either(text, Kind.FRACTION, Kind.SPEED)
    fanned = _fanned(loop)
    card = fanned[id_].fan if id_ in fanned else loop.part(id_).card
    fault = find_speed_fault(card, figure, fan=id_ in fanned)
    if fault is not None:
        raise _bad(setting, fault[0], fault[1])
    return figure


def _fanned(loop: Loop) -> dict[str, Stack | Vent]:
    """The stacks and vents whose fans turn, by id."""
    movers: list[Stack | Vent] = [*loop.stacks, *(vent for vent in loop.vents if vent.fans)]
    return {mover.id: mover for mover in movers}


def _bad(setting: str, found: str, fix: str) -> BadInput:
    return BadInput(Fault(Place(f"--set {setting}"), "", found, "", fix))
