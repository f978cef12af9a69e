"""
What openers of the air share: which way it takes, where a radiator's air comes from, what a stream carries.

Answers   shares of the air a radiator breathes, temperature and capacity of the air of a stack or vent
Assumes   air is taken as it comes into the first core of its way, as the solver takes it
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from headrace.fluids.air import Air, pressure_pa
from headrace.loop.model import Loop, Stack
from headrace.physics.heat import capacity_w_k
from headrace.solve.airpaths import CASE, AirPath
from headrace.solve.draws import Draws, find_draws
from headrace.solve.explain.explained import Book, Explained, formula_of, stated
from headrace.solve.solution import Solution
from headrace.units import Kind, show


class Breath(NamedTuple):
    """A share of the air into a radiator: "room", "case", or the radiator whose exhaust it is."""

    source: str
    share_frac: float


def stack_of(loop: Loop, part: str) -> Stack:
    """The stack a radiator stands in."""
    return next(stack for stack in loop.stacks if part in stack.radiators)


def turned_zone(loop: Loop, solution: Solution, part: str) -> str | None:
    """Where the air of a radiator comes from when it goes backwards between room and case; None when it does not."""
    stack = stack_of(loop, part)
    from_case = sum(float(inlet.share_frac) for inlet in stack.inlets if inlet.from_ == "case") > 0.5
    crosses = from_case != (stack.out == "case")
    backwards = next(air.backwards for air in solution.air if air.id == stack.id)
    return stack.out if crosses and backwards and solution.case_k is not None else None


def find_breath(loop: Loop, solution: Solution, part: str) -> tuple[Breath, ...]:
    """Where the air into a radiator comes from; the shares add up to one, and room air stands last."""
    stack = stack_of(loop, part)
    place = stack.radiators.index(part)
    turned = turned_zone(loop, solution, part)
    if turned is not None:  # its air meets the last radiator first
        behind = stack.radiators[place + 1 :]
        return (Breath(behind[0], 1.0),) if behind else (Breath(turned, 1.0),)
    if place:
        return (Breath(stack.radiators[place - 1], 1.0),)
    moves = {radiator.part for radiator in solution.radiators if radiator.air_out_temp_k is not None}
    own = float(stack.recirculated_frac)
    last = {other.id: other.radiators[-1] for other in loop.stacks}
    shares: dict[str, float] = {}
    for inlet in stack.inlets:
        source = last.get(inlet.from_, inlet.from_)
        if source == "case" or source in moves:
            shares[source] = float(inlet.share_frac) * (1.0 - own)
    if own and last[stack.id] in moves:
        shares[last[stack.id]] = own
    rest = 1.0 - sum(shares.values())
    found = [Breath(source, share) for source, share in shares.items() if share > 0.0]
    return (*found, Breath("room", rest)) if rest > 1e-9 or not found else tuple(found)


def path_of(book: Book, id_: str) -> AirPath:
    """The way of the air of a stack or vent."""
    return next(path for path in book.prepared.air_model.paths if path.id == id_)


def inlet_k(book: Book, path: AirPath) -> float:
    """Temperature at which the air of a way is taken: into its first core, else that of the zone it comes from."""
    backwards = next(air.backwards for air in book.solution.air if air.id == path.id)
    if isinstance(path.owner, Stack):
        return book.radiators[path.owner.radiators[-1 if backwards else 0]].air_in_temp_k
    case_k = book.solution.case_k
    zone = path.sink if backwards else path.source
    return case_k if zone == CASE and case_k is not None else book.solution.room_k


def find_shares(book: Book) -> Draws:
    """Who breathes what in the solution, one row."""
    model = book.prepared.air_model
    flows = {air.id: air.air_flow_m3_s or 0.0 for air in book.solution.air}
    capacity = [abs(float(air_capacity(book, path.id).value)) if flows[path.id] else 0.0 for path in model.paths]
    return find_draws(model.paths, np.array([capacity]), None, has_case=model.case_heat_w is not None)


def air_density(book: Book, temp_k: float) -> Explained:
    """Density of the air of this state at a temperature."""
    state = book.state
    said = (
        f"at {show(temp_k, 'temp_k')}, {show(state.altitude_m, 'altitude_m', digits=0, unit='m')} above the sea, "
        f"with the water vapour of the room: {state.place}"
    )
    formulas = (formula_of(Air.density_kg_m3), formula_of(pressure_pa))
    value = float(book.prepared.air.density_kg_m3(temp_k))
    return Explained("density of the air", value, "density_kg_m3", formulas, said)


def air_capacity(book: Book, id_: str) -> Explained:
    """Heat that the air of a stack or vent carries per kelvin."""
    flow = book.open_at(f"air_flow.{id_}", 0)
    temp_k = inlet_k(book, path_of(book, id_))
    density, air = air_density(book, temp_k), book.prepared.air
    heat = float(air.heat_capacity_j_kg_k(temp_k))
    inputs = (
        flow,
        density,
        Explained("heat capacity of the air", heat, "heat_capacity_j_kg_k", (formula_of(Air.heat_capacity_j_kg_k),)),
    )
    value = float(capacity_w_k(float(flow.value), float(density.value), heat))
    return Explained(
        f"capacity rate of the air of {id_}", value, "capacity_w_k", (formula_of(capacity_w_k),), "", inputs
    )


def fan_speed(book: Book, id_: str) -> Explained:
    """Speed of the fans of a stack or vent, and who says so."""
    path, place = path_of(book, id_), book.state.place
    figure = book.state.speed.get(id_)
    if path.speed_hz is None:
        return Explained("fan speed", "not stated", said=f"missing in {place}")
    if figure is None:
        card = path.fan.id if path.fan else ""
        return Explained("fan speed", path.speed_hz, "speed_hz", (), f'full speed of card "{card}": none in {place}')
    said = stated("fan speed", figure, "speed_hz", place).said
    turns = "" if figure.kind is Kind.SPEED else f' of the full speed of card "{path.fan.id if path.fan else ""}"'
    return Explained("fan speed", path.speed_hz, "speed_hz", (), said + turns)
