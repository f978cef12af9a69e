"""Which build and which states a command means."""

from __future__ import annotations

import argparse

from headrace.errors import BadInput, Fault, Place
from headrace.loop.conditions import ALL_STATES
from headrace.loop.model import Loop, State
from headrace.loop.override import override_state, set_room
from headrace.parts.faults import nearest


def chosen_states(loop: Loop, words: argparse.Namespace) -> list[State]:
    """The states asked for, with the settings of the command line."""
    if not loop.states:
        fix = "Add [[state]] with name, room, heat and speed."
        raise BadInput(Fault(Place(loop.file), "", "the build has no state to solve", "", fix))
    names = [state.name for state in loop.states]
    if words.state not in (None, ALL_STATES, *names):
        raise BadInput(
            Fault(Place(loop.file), "--state", f'there is no state "{words.state}"', "", nearest(words.state, names))
        )
    chosen = list(loop.states) if words.state == ALL_STATES else [loop.state(words.state)]
    if words.room is not None:
        chosen = [set_room(state, words.room) for state in chosen]
        again = [setting for setting in words.settings if setting.partition("=")[0].strip() == "room"]
        if again:
            found = f"and --set {again[0]} both name the room"
            raise BadInput(Fault(Place(f"--room {words.room}"), "", found, "", "Leave one of them out."))
    return [override_state(loop, state, words.settings) for state in chosen]
