"""
What goes wrong or changes in the life of a build, one thing at a time, against the state as it is.

Answers   what a pump or a fan out, dust, a summer room, altitude or another coolant do to flow, coolant, chips, sound
Assumes   steady, everything else as in the state. A case without a solution says why; one that cannot be told, too
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from headrace.errors import Fault, NoBalance, NoSolution
from headrace.loop.buildfile import CoolantEntry
from headrace.loop.model import Loop, Stack, State, Vent
from headrace.loop.route import Route
from headrace.parts.block import Block
from headrace.parts.pump import Pump
from headrace.parts.radiator import Radiator
from headrace.plan.limits import Judged, judge
from headrace.solve.balance import balance
from headrace.solve.balanced import Balanced
from headrace.solve.prepared import Prepared
from headrace.solve.results import build_solution
from headrace.solve.solution import Solution
from headrace.solve.steady import solve
from headrace.units import Array, Figure, Kind, show

NOMINAL = "as it is"
DUSTY = "dusty fins"
_GIST = 48  # letters of a note that say what it is about
_DUST_ON = ("core ", "screen ")  # what of the air's way dust settles on


@dataclass(frozen=True)
class Case:
    """One thing that is otherwise: its name, what it means, and the loop and state with it."""

    name: str
    change: str
    loop: Loop
    state: State
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Outcome:
    """A case solved, with its limits; or the faults that say why it has no solution."""

    case: Case
    solution: Solution | None
    faults: tuple[Fault, ...]
    limits: tuple[Judged, ...]
    notes: tuple[str, ...]

    @property
    def broken(self) -> tuple[Judged, ...]:
        """The limits that do not hold."""
        return tuple(limit for limit in self.limits if not limit.holds)


@dataclass(frozen=True)
class Cases:
    """All cases of one state; `skipped` are those that say nothing here, with the reason."""

    nominal: Outcome
    outcomes: tuple[Outcome, ...]
    skipped: tuple[tuple[str, str], ...]


def solve_cases(loop: Loop, route: Route, state: State) -> Cases:
    """Every case of a state. Raises NoSolution only when the state itself has none."""
    solution = solve(loop, route, state)
    nominal = _outcome(Case(NOMINAL, "", loop, state), solution, ())
    outcomes: list[Outcome] = []
    skipped: list[tuple[str, str]] = []
    for case in find_cases(loop, state):
        if isinstance(case, Case):
            outcomes.append(_solve(case, route, solution))
        else:
            skipped.append(case)
    return Cases(nominal, tuple(outcomes), tuple(skipped))


def find_cases(loop: Loop, state: State) -> Iterator[Case | tuple[str, str]]:
    """The cases of a state, and the names of those that say nothing in it, with the reason."""
    yield from _pumps_out(loop, state)
    yield from _fans_out(loop, state)
    yield _dusty(loop, state)
    yield _summer(loop, state)
    yield _high(loop, state)
    yield _other_coolant(loop, state)


def _pumps_out(loop: Loop, state: State) -> Iterator[Case | tuple[str, str]]:
    for part in loop.parts:
        if isinstance(part.card, Pump):
            name = f"{part.id} out"
            if state.speed.get(part.id) == 0.0:
                yield name, "it stands still in this state already"
                continue
            still = Figure(0.0, Kind.FRACTION, text="0 %", unit="%")
            speed = {**state.speed, part.id: still}
            yield Case(name, f"{part.id} stands still", loop, replace(state, speed=speed), _whatever_flow(loop))


def _whatever_flow(loop: Loop) -> tuple[str, ...]:
    """What does not know that less water flows."""
    blocks = [(part.id, part.card.resistance) for part in loop.parts if isinstance(part.card, Block)]
    held = [*_by_points(loop), *(id_ for id_, law in blocks if law is not None and law.value_k_w is not None)]
    said = f"what slow water costs is not in the strength points or resistance of {', '.join(held)}"
    return (said,) if held else ()


def _by_points(loop: Loop) -> list[str]:
    """Radiators whose strength is stated as points, which hold whatever the coolant's flow and the air's density."""
    return [part.id for part in loop.parts if isinstance(part.card, Radiator) and part.card.strength is not None]


def _fans_out(loop: Loop, state: State) -> Iterator[Case | tuple[str, str]]:
    movers: list[Stack | Vent] = [*loop.stacks, *(vent for vent in loop.vents if vent.fan is not None)]
    for mover in movers:
        name = f"one fan of {mover.id} out"
        out = state.fans_out.get(mover.id, 0)
        fans = mover.fans
        if fans is None:
            yield name, "the number of its fans is not known"
        elif state.speed.get(mover.id) == 0.0 or out >= fans:
            yield name, "its fans stand still in this state already"
        else:
            change = f"{out + 1} of {fans} fans of {mover.id} stand still"
            yield Case(name, change, loop, replace(state, fans_out={**state.fans_out, mover.id: out + 1}))


def _dusty(loop: Loop, state: State) -> Case:
    kept, more = show(loop.thresholds("dust_strength"), "x_frac"), loop.thresholds("dust_air_loss")
    change = f"radiators keep {kept} of their strength; cores and filters take {more:g} times the pressure of the air"
    given = [stack.id for stack in loop.stacks if stack.air_m3_s is not None or stack.air_per_fan_m3_s is not None]
    notes = (f"the airflow of {', '.join(given)} is stated: dust does not lower it here",) if given else ()
    return Case(DUSTY, change, loop, state, notes)


def _summer(loop: Loop, state: State) -> Case | tuple[str, str]:
    room_k = loop.thresholds("summer_room")
    name = f"room {show(room_k, 'room_k')}"
    if float(state.room_k) >= room_k:
        return name, f"the room of this state is {show(state.room_k, 'room_k')} already"
    return Case(name, "a summer room", loop, replace(state, room_k=Figure(room_k, Kind.TEMPERATURE)))


def _high(loop: Loop, state: State) -> Case | tuple[str, str]:
    altitude_m = loop.thresholds("high_altitude")
    name = f"at {show(altitude_m, 'x_m', unit='m', digits=0)}"
    if float(state.altitude_m) >= altitude_m:
        return name, f"this state is at {show(state.altitude_m, 'x_m', unit='m', digits=0)} already"
    change = "thinner air carries less heat"
    return Case(name, change, loop, replace(state, altitude_m=Figure(altitude_m, Kind.LENGTH)))


def _other_coolant(loop: Loop, state: State) -> Case:
    if loop.coolant.base == "water":
        share = loop.thresholds("biostatic_glycol")
        text = show(share, "volume_frac")
        coolant = CoolantEntry(base="propylene glycol", fraction=Figure(share, Kind.VOLUME_FRACTION, text=text))
        return Case(f"{text} propylene glycol", "instead of water", replace(loop, coolant=coolant), state)
    coolant = CoolantEntry(base="water")
    return Case("plain water", f"instead of {loop.coolant.base}", replace(loop, coolant=coolant), state)


def _solve(case: Case, route: Route, nominal: Solution) -> Outcome:
    try:
        if case.name != DUSTY:
            return _outcome(case, solve(case.loop, route, case.state), nominal.notes)
        found = _with_dust(Prepared.of(case.loop, route, case.state))
        return _outcome(case, build_solution(found), nominal.notes)
    except NoSolution as error:
        return Outcome(case, None, error.faults, (), ())


def _outcome(case: Case, solution: Solution, known: tuple[str, ...]) -> Outcome:
    before = {_gist(note) for note in known}
    new = [note for note in solution.notes if _gist(note) not in before]
    return Outcome(case, solution, (), judge(case.loop, solution), (*case.notes, *new))


def _gist(note: str) -> str:
    """What a note is about, whatever its numbers are in this case."""
    return re.sub(r"\d[\d.]*", "#", note)[:_GIST]


def _with_dust(prepared: Prepared) -> Balanced:
    """The state with dust on its fins. Raises NoBalance where it does not close."""
    model, loop, state = prepared.air_model, prepared.loop, prepared.state
    kept = np.full((1, len(model.cores)), loop.thresholds("dust_strength"))
    variants = replace(prepared.nominal(), strength=kept, air_loss=_dust_on_ways(prepared))
    found = balance(prepared, variants)
    if not found.closed[0]:
        fix = "See the heat of this state against what its radiators can give off."
        raise NoBalance(Fault(state.place, f'state "{state.name}"', "does not come to rest with dust", "", fix))
    return found


def _dust_on_ways(prepared: Prepared) -> Array | None:
    """Factor on what each element of the air's ways takes; None where every airflow is stated."""
    network = prepared.air_model.network
    if network is None:
        return None
    more = prepared.loop.thresholds("dust_air_loss")
    labels = [label for way in network.labels for label in way]
    return np.array([[more if label.startswith(_DUST_ON) else 1.0 for label in labels]])
