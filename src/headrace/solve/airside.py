"""
The air of a loop's radiators with airflow given: flow, strength and inlet of every stack.

Answers   how strong each radiator is at its airflow and coolant flow, and how warm its air comes in
Assumes   airflow is stated, or proportional to fan speed from one stated point; a share of another stack's exhaust
          warms the air coming in, the rest is room air
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from headrace.errors import Fault, Unknown
from headrace.fluids.air import Air
from headrace.fluids.coolant import Coolant
from headrace.loop.model import Loop, Stack, State
from headrace.parts.radiator import UaLaw
from headrace.physics.effectiveness import strength_w_k
from headrace.physics.heat import capacity_w_k
from headrace.physics.radiator import StrengthTable, bound_w_k, ua_w_k
from headrace.solve.assemble import Assembly
from headrace.solve.heat import AirSide
from headrace.units import Array, Kind

_ARRANGEMENT = {
    "both unmixed": "crossflow",
    "air mixed": "crossflow, a mixed",
    "coolant mixed": "crossflow, b mixed",
    "counterflow": "counterflow",
}


@dataclass(frozen=True)
class StackAir:
    """One stack in one state: its link, fan speed and airflow (None when unknown), and capacity of its air."""

    stack: Stack
    link: int
    speed_hz: float | None
    air_flow_m3_s: float | None
    capacity_w_k: float
    table: StrengthTable | None
    ua: UaLaw | None

    def stated_w_k(self) -> float:
        """Strength of the points at this fan speed or airflow, whichever they are stated against."""
        assert self.table is not None
        by_speed = self.stack.card.strength is not None and self.stack.card.strength.speed is not None
        axis = self.speed_hz if by_speed else self.air_flow_m3_s
        return float(self.table.strength_w_k(axis if axis is not None else 0.0))


def find_stacks(loop: Loop, state: State, assembly: Assembly, air: Air) -> tuple[StackAir, ...]:
    """The air of every stack. Raises Unknown with every value that is missing."""
    faults: list[Fault] = []
    found = []
    for stack in loop.stacks:
        link = next(i for i, p in enumerate(assembly.passages) if p.owner == stack.radiator and p.does == "cool")
        speed_hz = _speed_hz(stack, state)
        flow = _air_flow_m3_s(stack, speed_hz)
        card = stack.card
        subject = f'stack "{stack.id}"'
        if card.strength is None and card.ua is None:
            fix = "Give the card strength points or a UA law."
            faults.append(Fault(stack.place, subject, f'card "{card.id}" states no strength', "", fix))
        elif card.strength is not None and card.strength.speed is not None and speed_hz is None:
            fix = f'Write speed = {{ {stack.id} = "1000 rpm" }} in the state.'
            faults.append(Fault(stack.place, subject, f'no fan speed in state "{state.name}"', "", fix))
        elif flow is None and (card.ua is not None or (card.strength and card.strength.air) or _warms(loop, stack)):
            faults.append(_no_air(stack, state))
        rho, cp = float(air.density_kg_m3(state.room_k)), float(air.heat_capacity_j_kg_k(state.room_k))
        capacity = 0.0 if flow is None else float(capacity_w_k(flow, rho, cp))
        table = card.strength.fit() if card.strength is not None else None
        found.append(StackAir(stack, link, speed_hz, flow, capacity, table, card.ua))
    faults += _without_stack(loop)
    if faults:
        raise Unknown(*faults)
    return tuple(found)


def _no_air(stack: Stack, state: State) -> Fault:
    """What is missing of the airflow: the speed of this state, or any statement at all."""
    subject = f'stack "{stack.id}"'
    if stack.air_per_fan_m3_s is not None and stack.fans is None:
        return Fault(stack.place, subject, "the number of its fans is not known", "", "Write fans = 3.")
    if stack.air_per_fan_m3_s is not None:
        fix = f'Write speed = {{ {stack.id} = "1000 rpm" }} in the state.'
        return Fault(state.place, subject, f'its airflow is not known: no fan speed in state "{state.name}"', "", fix)
    fix = 'Write air = "150 m3/h", or air_per_fan and air_at with a speed in the state.'
    return Fault(stack.place, subject, "its airflow is not known", "", fix)


def _without_stack(loop: Loop) -> list[Fault]:
    in_stack = {stack.radiator for stack in loop.stacks}
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


def _warms(loop: Loop, stack: Stack) -> bool:
    return any(other.inlet.from_ == stack.id for other in loop.stacks)


def _speed_hz(stack: Stack, state: State) -> float | None:
    stated = state.speed.get(stack.id)
    full = stack.fan.full_speed_hz if stack.fan else None
    if stated is None:
        return float(full) if full is not None else None
    return float(stated) if stated.kind is Kind.SPEED else float(stated * (full or 0.0))


def _air_flow_m3_s(stack: Stack, speed_hz: float | None) -> float | None:
    if speed_hz == 0.0:
        return 0.0
    if stack.air_m3_s is not None:
        return float(stack.air_m3_s)
    if stack.air_per_fan_m3_s is None or stack.fans is None:
        return None
    if stack.air_at_hz is None:
        return float(stack.air_per_fan_m3_s) * stack.fans
    return None if speed_hz is None else float(stack.air_per_fan_m3_s) * stack.fans * speed_hz / float(stack.air_at_hz)


def stack_strength_w_k(stack: StackAir, flow_m3_s: Array, coolant_w_k: Array) -> Array:
    """Strength (coolant in - air in) of one stack at its coolant flow and capacity rate, shape of those."""
    if stack.ua is not None and stack.air_flow_m3_s is not None:
        law = stack.ua
        ua = ua_w_k(stack.air_flow_m3_s, flow_m3_s, law.air_w_k(), law.ma, law.coolant_w_k(), law.mw)
        return np.asarray(
            strength_w_k(ua, np.full_like(coolant_w_k, stack.capacity_w_k), coolant_w_k, _ARRANGEMENT[law.arrangement])
        )
    strength = np.full_like(coolant_w_k, stack.stated_w_k())
    most = bound_w_k(stack.capacity_w_k, coolant_w_k) if stack.capacity_w_k > 0 else coolant_w_k
    return np.minimum(strength, most)


def air_side(stacks: tuple[StackAir, ...], room_k: float, flow_m3_s: Array, coolant_w_k: Array) -> AirSide:
    """All radiators at link flows and capacity rates, shape (variants, links)."""
    variants = len(flow_m3_s)
    links = np.array([stack.link for stack in stacks], dtype=int)
    strength = [
        stack_strength_w_k(stack, np.abs(flow_m3_s[:, stack.link]), coolant_w_k[:, stack.link]) for stack in stacks
    ]
    base = [np.full(variants, room_k + _plus_k(stack, stacks)) for stack in stacks]
    preheat = preheat_k_w(stacks)
    return AirSide(
        links,
        np.stack(strength, axis=1) if stacks else np.zeros((variants, 0)),
        np.stack(base, axis=1) if stacks else np.zeros((variants, 0)),
        np.broadcast_to(preheat, (variants, *preheat.shape)),
    )


def _plus_k(stack: StackAir, stacks: tuple[StackAir, ...]) -> float:
    """The stated rise of a stack's air, and its share of the stated rises of the stacks it breathes from."""
    by_id = {other.stack.id: other for other in stacks}
    total, share, inlet = 0.0, 1.0, stack.stack.inlet
    while True:
        total += share * float(inlet.plus_k)
        if inlet.from_ == "room" or by_id[inlet.from_].capacity_w_k <= 0.0:
            return total
        share *= float(inlet.share_frac)
        inlet = by_id[inlet.from_].stack.inlet


def preheat_k_w(stacks: tuple[StackAir, ...]) -> Array:
    """Rise of the air into stack s for each watt stack k gives off: share / capacity of k's air, and k's own rise."""
    index = {stack.stack.id: i for i, stack in enumerate(stacks)}
    matrix = np.zeros((len(stacks), len(stacks)))
    for row, stack in enumerate(stacks):
        share, source = 1.0, stack.stack.inlet
        while source.from_ != "room":
            share *= float(source.share_frac)
            column = index[source.from_]
            if stacks[column].capacity_w_k <= 0.0:
                break  # its fans stand still: no air comes from there, and room air takes its place
            matrix[row, column] += share / stacks[column].capacity_w_k
            source = stacks[column].stack.inlet
    return matrix


def used_bounds(stacks: tuple[StackAir, ...], strength: Array) -> list[str]:
    """Notes on radiators whose stated strength was more than their streams carry."""
    notes = []
    for stack, used in zip(stacks, strength, strict=True):
        if stack.table is None:
            continue
        stated = stack.stated_w_k()
        if used < stated * (1 - 1e-9):
            notes.append(
                f'radiator "{stack.stack.radiator}": its stated strength of {stated:.3g} W/K is more than its air or '
                f"coolant can carry, held at {used:.3g} W/K"
            )
    return notes


def coolant_capacity_w_k(coolant: Coolant, flow_m3_s: Array, density_kg_m3: Array, temp_k: Array) -> Array:
    """Capacity rate of the coolant by link, at its local flow and density."""
    return np.asarray(capacity_w_k(flow_m3_s, density_kg_m3, coolant.heat_capacity_j_kg_k(temp_k)))
