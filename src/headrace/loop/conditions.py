"""The conditions of a build file: electric leads, states, and the pumps and fans both of them name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import cast

from headrace.errors import Fault, Place
from headrace.loop.handling import Waiver, WaiverEntry
from headrace.loop.model import Lead, Stack, State, Vent
from headrace.loop.names import Names
from headrace.parts.air import Fan
from headrace.parts.block import Block
from headrace.parts.card import Card
from headrace.parts.casing import Feeder
from headrace.parts.faults import nearest
from headrace.parts.pump import Pump
from headrace.parts.tomltext import KeyPath
from headrace.units import Figure, Kind, show

ALL_STATES = "all"  # the word that stands for every state


@dataclass(frozen=True)
class Movers:
    """What turns or can be named as turning: pumps, stacks and vents; `unread` are those whose tables have faults."""

    pumps: frozenset[str]
    stacks: Mapping[str, Stack]
    vents: Mapping[str, Vent]
    unread: frozenset[str]

    @property
    def ids(self) -> set[str]:
        """Everything a speed or a lead may name."""
        return {*self.pumps, *self.stacks, *(id_ for id_, vent in self.vents.items() if vent.fans)}

    def fan_of(self, id_: str) -> Fan | None:
        """The fan card of a stack or vent."""
        mover = self.stacks.get(id_) or self.vents.get(id_)
        return mover.fan if mover else None


def find_movers(names: Names, stacks: tuple[Stack, ...], vents: tuple[Vent, ...]) -> Movers:
    """The movers of a build file."""
    raw = {str(read.raw.get("id")) for key in ("stack", "vent") for read in names.lists[key]}
    linked = {*(stack.id for stack in stacks), *(vent.id for vent in vents)}
    return Movers(
        frozenset(id_ for id_, part in names.parts.items() if isinstance(part.card, Pump)),
        {stack.id: stack for stack in stacks},
        {vent.id: vent for vent in vents},
        frozenset(raw - linked),
    )


def link_leads(names: Names, movers: Movers) -> tuple[Lead, ...]:
    """The leads whose two ends are known; every name that means nothing is a fault."""
    leads = []
    for read in names.lists["lead"]:
        if (entry := read.entry) is None:
            continue
        subject = f'lead "{entry.part}"'
        feeder_id, _, outlet = entry.to.partition(".")
        feeder = names.parts.get(feeder_id)
        if entry.part not in movers.ids:
            _unknown_mover(names, entry.part, names.toml.place((*read.path, "part")), subject, movers)
        elif feeder is None or not isinstance(feeder.card, Feeder):
            if not names.unknown_part(feeder_id):
                feeders = [id_ for id_, part in names.parts.items() if isinstance(part.card, Feeder)]
                no_part = feeder_id not in names.parts
                found = (
                    f'there is no part "{feeder_id}"' if no_part else f'"{feeder_id}" is no board, power supply or hub'
                )
                names.fault((*read.path, "to"), subject, found, nearest(feeder_id, feeders))
        elif outlet not in (outlets := [row.name for row in feeder.card.outlet]):
            names.fault(
                (*read.path, "to"), subject, f'"{feeder_id}" has no outlet "{outlet}"', nearest(outlet, outlets)
            )
        else:
            place = names.toml.place(read.path)
            leads.append(Lead(entry.part, feeder_id, outlet, place, entry.cable_m, entry.splitter, entry.tach))
    return tuple(leads)


def _unknown_mover(names: Names, id_: str, place: Place, subject: str, movers: Movers) -> None:
    """Say that no fan or pump is called `id_`, unless that was said already in another way."""
    if id_ in movers.vents:
        fix = "It is an opening; give it a fan, or leave it out here."
        names.faults.append(Fault(place, subject, f'vent "{id_}" has no fan', "", fix))
    elif not names.unknown_part(id_) and id_ not in movers.unread:
        found = f'there is no pump, stack or vent "{id_}"'
        names.faults.append(Fault(place, subject, found, "", nearest(id_, movers.ids)))


def link_states(names: Names, movers: Movers) -> tuple[State, ...]:
    """The states; every name that means nothing is a fault."""
    states: dict[str, State] = {}
    for read in names.lists["state"]:
        if (entry := read.entry) is None:
            continue
        subject = f'state "{entry.name}"'
        if entry.name in states or entry.name == ALL_STATES:
            found = "is there twice" if entry.name in states else "means every state on the command line"
            names.fault((*read.path, "name"), subject, found, "Give each state a name of its own.")
            continue
        _heats(names, entry.heat, read.path, subject)
        _speeds(names, entry.speed, read.path, subject, movers)
        _fans_out(names, entry.fans_out, read.path, subject, movers)
        _known(names, entry.closed, (*read.path, "closed"), subject)
        states[entry.name] = State(
            entry.name,
            entry.room_k,
            entry.altitude_m,
            entry.humidity_frac,
            entry.heat,
            entry.speed,
            entry.closed,
            names.toml.place(read.path),
            entry.case_heat_w,
            entry.fans_out,
        )
    return tuple(states.values())


def _known(names: Names, parts: Iterable[str], path: KeyPath, subject: str) -> None:
    for id_ in parts:
        if id_ not in names.parts and not names.unknown_part(id_):
            place = names.toml.place((*path, id_), key=True)
            names.faults.append(Fault(place, subject, f'there is no part "{id_}"', "", nearest(id_, names.parts)))


def _heats(names: Names, heat: Mapping[str, Figure], path: KeyPath, subject: str) -> None:
    _known(names, heat, (*path, "heat"), subject)
    for id_ in heat:
        if id_ in names.parts and not isinstance(names.parts[id_].card, Block):
            fix = "Heat enters the water through blocks; a pump's own heat comes from its power."
            names.fault((*path, "heat", id_), subject, f'"{id_}" is no block', fix)


def _speeds(names: Names, speed: Mapping[str, Figure], path: KeyPath, subject: str, movers: Movers) -> None:
    for id_, figure in speed.items():
        where = (*path, "speed", id_)
        if id_ not in movers.ids:
            _unknown_mover(names, id_, names.toml.place(where, key=True), subject, movers)
            continue
        is_pump = id_ in movers.pumps
        card = names.parts[id_].card if is_pump else movers.fan_of(id_)
        fault = find_speed_fault(card, figure, fan=not is_pump)
        if fault:
            names.fault(where, f"{subject}: {id_}", *fault)


def _fans_out(names: Names, fans_out: Mapping[str, int], path: KeyPath, subject: str, movers: Movers) -> None:
    """Faults of fans that stand still: not more than there are."""
    for id_, out in fans_out.items():
        where = (*path, "fans_out", id_)
        mover = movers.stacks.get(id_) or movers.vents.get(id_)
        if id_ in movers.pumps:
            fix = f'A pump that stands is speed = {{ {id_} = "0 %" }}.'
            names.fault(where, subject, f'"{id_}" is a pump', fix)
        elif id_ not in movers.ids or mover is None:
            _unknown_mover(names, id_, names.toml.place(where, key=True), subject, movers)
        elif mover.fans is not None and out > mover.fans:
            has = f"limit {mover.fans}, all of its fans"
            names.fault(where, f"{subject}: {id_}", f"{out} fans out", "Count the fans that stand still.", has)


def link_waivers(names: Names) -> tuple[Waiver, ...]:
    """The waivers, each with its place; whether its check is there and finds that, the checks say."""
    reads = ((cast("WaiverEntry | None", read.entry), names.toml.place(read.path)) for read in names.lists["waiver"])
    return tuple(Waiver(w.check, w.about, w.by, w.reason, place) for w, place in reads if w is not None)


def check_avoided(names: Names, avoid: Mapping[str, object], movers: Movers) -> None:
    """Faults of `[limits] avoid`: only what turns has speeds to keep out of."""
    for id_ in avoid:
        if id_ not in movers.ids:
            path = ("limits", "avoid", id_)
            _unknown_mover(names, id_, names.toml.place(path, key=True), "limits: avoid", movers)


def find_speed_fault(card: Card | None, figure: Figure, *, fan: bool) -> tuple[str, str, str] | None:
    """What is wrong with a speed (found, what to do, limit), or None. Pumps go by share, fans by turns."""
    full = card.full_speed_hz if isinstance(card, Fan | Pump) else None
    if figure.kind is (Kind.FRACTION if fan else Kind.SPEED) and full is None:
        return f'"{figure.text}", but no card states the full speed', f"Write it in {'rpm' if fan else '%'}.", ""
    if figure.kind is Kind.SPEED and full is not None and figure > full:
        return f'"{figure.text}" is above full speed', "Write a speed it reaches.", f"limit {show(full, 'speed_hz')}"
    return None
