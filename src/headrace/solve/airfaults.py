"""What is missing of the air before anything can be solved: strengths, speeds, airflows, stacks."""

from __future__ import annotations

from headrace.errors import Fault
from headrace.loop.model import Loop, Stack, State
from headrace.solve.airnetwork import case_in_play
from headrace.solve.airpaths import AirPath, no_air
from headrace.solve.cores import CoreAir


def unknown_air(loop: Loop, state: State, paths: tuple[AirPath, ...], cores: tuple[CoreAir, ...]) -> list[Fault]:
    """Strengths, speeds and airflows that something needs and nobody states."""
    faults = []
    breathed = {inlet.from_ for stack in loop.stacks for inlet in stack.inlets}
    case = case_in_play(loop)
    for index, path in enumerate(paths):
        subject = f'stack "{path.id}"'
        mine = [core for core in cores if core.path == index]
        for core, card in zip(mine, path.cores, strict=False):
            if core.table is None and core.ua is None and core.core is None:
                fix = "Give the card strength points, a UA law or its geometry."
                faults.append(Fault(path.place, subject, f'card "{card.id}" states no strength', "", fix))
        by_speed = any(core.by_speed for core in mine)
        stack = path.owner if isinstance(path.owner, Stack) else None
        needed = (
            any(core.needs_air and (core.table or core.ua or core.core) for core in mine)
            or path.id in breathed
            or len(mine) > 1
            or stack is None
            or (stack is not None and bool(stack.recirculated_frac))
            or (case and path.source != path.sink)
        )
        if by_speed and path.speed_hz is None:
            fix = f'Write speed = {{ {path.id} = "1000 rpm" }} in the state.'
            faults.append(Fault(path.place, subject, f'no fan speed in state "{state.name}"', "", fix))
        elif needed and not path.known and not path.findable:
            faults.append(no_air(path, state))
    return faults


def radiators_without_stack(loop: Loop) -> list[Fault]:
    """Radiators that give off heat to nobody knows which air."""
    in_stack = {radiator for stack in loop.stacks for radiator in stack.radiators}
    return [
        Fault(
            part.place,
            f'radiator "{part.id}"',
            "stands in no stack, so its air is not known",
            "",
            f'Add [[stack]] with radiator = "{part.id}".',
        )
        for part in loop.parts
        if part.card.main == "cool" and part.id not in in_stack
    ]
