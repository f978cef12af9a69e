"""
The ways of the air in a build file: stacks and vents, with their cards found.

Answers   which radiators, fans and screens a stack or vent is made of, and which of its names mean nothing
Assumes   stacks and vents share one set of ids: speeds, leads and fans that stand still name either
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, cast

from headrace.errors import Fault
from headrace.loop.airfile import StackEntry, VentEntry
from headrace.loop.model import Behind, Stack, Vent
from headrace.loop.names import Names, Read
from headrace.parts.air import Fan, Screen
from headrace.parts.faults import nearest, real_path
from headrace.parts.pump import Pump
from headrace.parts.radiator import Radiator
from headrace.parts.tomltext import KeyPath

_PLACES = ("room", "case")  # where air is when it is in no stack


def link_stacks(names: Names) -> tuple[Stack, ...]:
    """The stacks whose radiators are known; every name that means nothing is a fault."""
    stacks: dict[str, Stack] = {}
    standing: set[str] = set()
    for read in _entries(names, "stack"):
        stack = _link_stack(names, cast("StackEntry", read.entry), read.path, standing)
        if stack is not None:
            stacks[stack.id] = stack
    _refuse_rings(names, stacks)
    return tuple(stacks.values())


def _link_stack(names: Names, entry: StackEntry, path: KeyPath, standing: set[str]) -> Stack | None:
    subject = f'stack "{entry.id}"'
    _check_inlets(names, entry, path, subject)
    fan = names.card(entry.fan, Fan, (*path, "fan"), subject) if entry.fan else None
    screens = _screens(names, entry.screens, path, subject)
    first = _radiator(names, entry.radiator, standing, (*path, "radiator"), subject)
    behind = [_radiator(names, id_, standing, (*path, "behind"), subject) for id_ in entry.behind]
    if first is None:
        return None
    return Stack(
        id=entry.id,
        radiator=first.radiator,
        card=first.card,
        behind=tuple(other for other in behind if other is not None),
        fan=fan,
        fans=_fans(entry, first.card),
        mount=entry.mount,
        screens=screens,
        air_m3_s=entry.air_m3_s,
        air_per_fan_m3_s=entry.air_per_fan_m3_s,
        air_at_hz=entry.air_at_hz,
        inlets=entry.inlet,
        recirculated_frac=entry.recirculated_frac,
        out=entry.out,
        screw_m=entry.screw_m,
        fans_at=entry.fans_at,
        place=names.toml.place(path),
    )


def link_vents(names: Names) -> tuple[Vent, ...]:
    """The vents; every name that means nothing is a fault."""
    vents = []
    for read in _entries(names, "vent"):
        entry = cast("VentEntry", read.entry)
        subject = f'vent "{entry.id}"'
        fan = names.card(entry.fan, Fan, (*read.path, "fan"), subject) if entry.fan else None
        screens = _screens(names, entry.screens, read.path, subject)
        fans = entry.fans if entry.driven else 0
        place = names.toml.place(read.path)
        vents.append(Vent(entry.id, fan, fans, entry.blows, entry.air_m3_s, screens, entry.area_m2, place))
    return tuple(vents)


def _entries(names: Names, key: str) -> Iterator[Read[Any]]:
    """The tables of `key` that read and whose id is their own; a fault for every other id."""
    for read in names.lists[key]:
        if read.entry is None:
            continue
        subject = f'{key} "{read.entry.id}"'
        id_, path = read.entry.id, (*read.path, "id")
        part = names.parts.get(id_)
        first = _first_of(names, id_)
        if id_ in _PLACES:
            names.fault(path, subject, f'"{id_}" means the air of the {id_}', "Give it a name of its own.")
        elif first != read.path:
            names.fault(
                path,
                subject,
                "is there twice",
                "Give each stack and vent an id of its own.",
                f"first at {names.toml.place(first)}",
            )
        elif part is not None and isinstance(part.card, Pump):
            names.fault(path, subject, "is called like a pump", "A speed would mean both; rename one of them.")
        else:
            yield read


def _first_of(names: Names, id_: str) -> KeyPath:
    """Where the first stack or vent of that id stands."""
    reads = [*names.lists["stack"], *names.lists["vent"]]
    return next(read.path for read in reads if read.entry is not None and read.entry.id == id_)


def _radiator(names: Names, id_: str, standing: set[str], path: KeyPath, subject: str) -> Behind | None:
    """The radiator called `id_`, which then stands in its stack; None with a fault when it cannot."""
    part = names.parts.get(id_)
    if part is None:
        if not names.unknown_part(id_):
            radiators = [other for other, part in names.parts.items() if isinstance(part.card, Radiator)]
            names.fault(path, subject, f'there is no part "{id_}"', nearest(id_, radiators))
        return None
    if not isinstance(part.card, Radiator):
        names.fault(path, subject, f'"{id_}" is no radiator', "Name a radiator.")
        return None
    if id_ in standing:
        names.fault(path, subject, f'"{id_}" stands in two places', "A radiator stands once, in one stack.")
        return None
    standing.add(id_)
    return Behind(id_, part.card)


def _fans(entry: StackEntry, card: Radiator) -> int | None:
    """All its fans: as stated, else one at each place of its first radiator, in push-pull two."""
    if entry.fans is not None or card.fan_places is None:
        return entry.fans
    return card.fan_places * (2 if entry.mount == "push-pull" else 1)


def _screens(names: Names, ids: tuple[str, ...], path: KeyPath, subject: str) -> tuple[Screen, ...]:
    found = (names.card(id_, Screen, (*path, "screens"), subject) for id_ in ids)
    return tuple(card for card in found if card is not None)


def _check_inlets(names: Names, entry: StackEntry, path: KeyPath, subject: str) -> None:
    ids = {str(read.raw.get("id")) for read in names.lists["stack"]} - {entry.id}
    vents = {str(read.raw.get("id")) for read in names.lists["vent"]} - ids
    for number, inlet in enumerate(entry.inlet):
        where = real_path(names.toml, (*path, "inlet", number, "from"))
        if inlet.from_ == entry.id:
            names.fault(where, subject, "breathes its own exhaust", 'Write recirculated = "10 %" for that.')
        elif inlet.from_ in vents:
            found = f'"{inlet.from_}" is a vent, and its air goes through the case'
            names.fault(where, subject, found, 'Write from = "case".')
        elif inlet.from_ not in {*_PLACES, *ids}:
            names.fault(where, subject, f'there is no stack "{inlet.from_}"', nearest(inlet.from_, [*_PLACES, *ids]))


def _refuse_rings(names: Names, stacks: Mapping[str, Stack]) -> None:
    for stack in stacks.values():
        if stack.id in _breathed(stack, stacks):
            found = "breathes its own exhaust through other stacks"
            names.faults.append(
                Fault(stack.place, f'stack "{stack.id}"', found, "", "Break the ring: one of them breathes room air.")
            )


def _breathed(stack: Stack, stacks: Mapping[str, Stack]) -> set[str]:
    """The stacks whose exhaust reaches `stack`, through however many others."""
    found: set[str] = set()
    waiting = [inlet.from_ for inlet in stack.inlets if inlet.from_ != stack.id]
    while waiting:
        here = waiting.pop()
        if here in stacks and here not in found:
            found.add(here)
            waiting += [inlet.from_ for inlet in stacks[here].inlets]
    return found
