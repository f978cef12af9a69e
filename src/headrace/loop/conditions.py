"""The conditions of a build file: stacks in their air, electric leads, states."""

from __future__ import annotations

from collections.abc import Mapping

from headrace.errors import Fault
from headrace.loop.model import Lead, Stack, State
from headrace.loop.names import Names
from headrace.parts.air import Fan
from headrace.parts.block import Block
from headrace.parts.card import Card
from headrace.parts.casing import Feeder
from headrace.parts.faults import nearest
from headrace.parts.pump import Pump
from headrace.parts.radiator import Radiator
from headrace.parts.tomltext import KeyPath
from headrace.units import Figure, Kind, show

ALL_STATES = "all"  # the word that stands for every state


def link_stacks(names: Names) -> tuple[Stack, ...]:
    stacks: dict[str, Stack] = {}
    ids = {str(read.raw.get("id")) for read in names.lists["stack"]}
    for read in names.lists["stack"]:
        if (entry := read.entry) is None:
            continue
        subject = f'stack "{entry.id}"'
        part = names.parts.get(entry.radiator)
        if entry.id in stacks:
            names.fault((*read.path, "id"), subject, "is there twice", "Give each stack an id of its own.")
        elif part is None:
            if not names.unknown_part(entry.radiator):
                radiators = [id_ for id_, part in names.parts.items() if isinstance(part.card, Radiator)]
                names.fault(
                    (*read.path, "radiator"),
                    subject,
                    f'there is no part "{entry.radiator}"',
                    nearest(entry.radiator, radiators),
                )
        elif not isinstance(part.card, Radiator):
            names.fault((*read.path, "radiator"), subject, f'"{entry.radiator}" is no radiator', "Name a radiator.")
        elif any(stack.radiator == entry.radiator for stack in stacks.values()):
            names.fault(
                (*read.path, "radiator"),
                subject,
                f'"{entry.radiator}" stands in two stacks',
                "A radiator stands in one stack.",
            )
        else:
            fan = names.card(entry.fan, Fan, (*read.path, "fan"), subject) if entry.fan else None
            fans = entry.fans if entry.fans is not None else part.card.fan_places
            stacks[entry.id] = Stack(
                entry.id,
                entry.radiator,
                part.card,
                fan,
                fans,
                entry.mount,
                entry.air_m3_s,
                entry.air_per_fan_m3_s,
                entry.air_at_hz,
                entry.inlet,
                names.toml.place(read.path),
            )
        source = entry.inlet.from_
        if source != "room" and (source not in ids or source == entry.id):
            found = "breathes its own exhaust" if source == entry.id else f'there is no stack "{source}"'
            names.fault((*read.path, "inlet", "from"), subject, found, nearest(source, ["room", *(ids - {entry.id})]))
    _refuse_rings(names, stacks)
    return tuple(stacks.values())


def _refuse_rings(names: Names, stacks: Mapping[str, Stack]) -> None:
    for stack in stacks.values():
        seen, here = {stack.id}, stack.inlet.from_
        while here in stacks and here not in seen:
            seen.add(here)
            here = stacks[here].inlet.from_
        if here == stack.id and len(seen) > 1:
            found = "breathes its own exhaust through other stacks"
            names.faults.append(
                Fault(stack.place, f'stack "{stack.id}"', found, "", "Break the ring: one of them breathes room air.")
            )


def link_leads(names: Names, stacks: tuple[Stack, ...]) -> tuple[Lead, ...]:
    leads = []
    fed = {stack.id for stack in stacks} | {id_ for id_, part in names.parts.items() if isinstance(part.card, Pump)}
    for read in names.lists["lead"]:
        if (entry := read.entry) is None:
            continue
        subject = f'lead "{entry.part}"'
        feeder_id, _, outlet = entry.to.partition(".")
        feeder = names.parts.get(feeder_id)
        if entry.part not in fed:
            if not names.unknown_part(entry.part):
                names.fault(
                    (*read.path, "part"),
                    subject,
                    f'there is no pump or stack "{entry.part}"',
                    nearest(entry.part, fed),
                )
        elif feeder is None or not isinstance(feeder.card, Feeder):
            if not names.unknown_part(feeder_id):
                feeders = [id_ for id_, part in names.parts.items() if isinstance(part.card, Feeder)]
                names.fault(
                    (*read.path, "to"),
                    subject,
                    f'"{feeder_id}" is no board, power supply or hub',
                    nearest(feeder_id, feeders),
                )
        elif outlet not in (outlets := [row.name for row in feeder.card.outlet]):
            names.fault(
                (*read.path, "to"), subject, f'"{feeder_id}" has no outlet "{outlet}"', nearest(outlet, outlets)
            )
        else:
            leads.append(Lead(entry.part, feeder_id, outlet, names.toml.place(read.path)))
    return tuple(leads)


def link_states(names: Names, stacks: tuple[Stack, ...]) -> tuple[State, ...]:
    states: dict[str, State] = {}
    turning = {stack.id for stack in stacks} | {id_ for id_, part in names.parts.items() if isinstance(part.card, Pump)}
    for read in names.lists["state"]:
        if (entry := read.entry) is None:
            continue
        subject = f'state "{entry.name}"'
        if entry.name in states or entry.name == ALL_STATES:
            found = "is there twice" if entry.name in states else "means every state on the command line"
            names.fault((*read.path, "name"), subject, found, "Give each state a name of its own.")
            continue
        _known(names, entry.heat, set(names.parts), (*read.path, "heat"), subject, "part")
        for id_ in entry.heat:
            if id_ in names.parts and not isinstance(names.parts[id_].card, Block):
                fix = "Heat enters the water through blocks; a pump's own heat comes from its power."
                names.fault((*read.path, "heat", id_), subject, f'"{id_}" is no block', fix)
        _known(names, entry.speed, turning, (*read.path, "speed"), subject, "pump or stack")
        _known(names, dict.fromkeys(entry.closed), set(names.parts), (*read.path, "closed"), subject, "part")
        _speeds(names, entry.speed, read.path, subject)
        states[entry.name] = State(
            entry.name,
            entry.room_k,
            entry.altitude_m,
            entry.humidity_frac,
            entry.heat,
            entry.speed,
            entry.closed,
            names.toml.place(read.path),
        )
    return tuple(states.values())


def _known(names: Names, named: Mapping[str, object], known: set[str], path: KeyPath, subject: str, word: str) -> None:
    for name in named:
        if name not in known and not names.unknown_part(name) and name not in names.unread("stack"):
            names.faults.append(
                Fault(
                    names.toml.place((*path, name), key=True),
                    subject,
                    f'there is no {word} "{name}"',
                    "",
                    nearest(name, known),
                )
            )


def _speeds(names: Names, speed: Mapping[str, Figure], path: KeyPath, subject: str) -> None:
    stacks = {read.entry.id: read.entry for read in names.lists["stack"] if read.entry is not None}
    for name, figure in speed.items():
        is_stack = name in stacks
        part = names.parts.get(name)
        card = names.cards.get(stacks[name].fan or "") if is_stack else part.card if part else None
        if (is_stack or card is not None) and (fault := find_speed_fault(card, figure, fan=is_stack)):
            names.fault((*path, "speed", name), f"{subject}: {name}", *fault)


def find_speed_fault(card: Card | None, figure: Figure, *, fan: bool) -> tuple[str, str, str] | None:
    """What is wrong with a speed (found, what to do, limit), or None. Pumps go by share, fans by turns."""
    full = card.full_speed_hz if isinstance(card, Fan | Pump) else None
    if figure.kind is (Kind.FRACTION if fan else Kind.SPEED) and full is None:
        return f'"{figure.text}", but no card states the full speed', f"Write it in {'rpm' if fan else '%'}.", ""
    if figure.kind is Kind.SPEED and full is not None and figure > full:
        return f'"{figure.text}" is above full speed', "Write a speed it reaches.", f"limit {show(full, 'speed_hz')}"
    return None
