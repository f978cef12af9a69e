"""
From the tables of a build file to a loop: find cards, parts and ports by name.

Answers   what every name in a build file means, and which names mean nothing
Assumes   tables that did not read are passed by; a name that belongs to one of them is not called unknown
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar, cast

from headrace.errors import Fault, Place
from headrace.loop.buildfile import (
    CaseEntry,
    CoolantEntry,
    DefaultsEntry,
    LimitsEntry,
    PartEntry,
    PortEntry,
    RunEntry,
)
from headrace.loop.expand import expand_order
from headrace.loop.model import Joint, Lead, Loop, PlacedPart, PortUse, Run, Stack, State
from headrace.loop.thresholds import Thresholds
from headrace.parts.air import Fan
from headrace.parts.card import Card
from headrace.parts.casing import Case, Feeder
from headrace.parts.faults import nearest
from headrace.parts.fields import Record
from headrace.parts.pump import Pump
from headrace.parts.radiator import Radiator
from headrace.parts.tomltext import KeyPath, TomlText
from headrace.parts.tube import Fitting, Tube
from headrace.units import Figure, Kind

R_co = TypeVar("R_co", bound=Record, covariant=True)
C = TypeVar("C", bound=Card)


@dataclass(frozen=True)
class Read(Generic[R_co]):
    """One table: its record (None when it did not read), its raw value and its path in the file."""

    entry: R_co | None
    raw: Mapping[str, Any]
    path: KeyPath


@dataclass
class Linker:
    """Links one build file; faults are collected, never raised."""

    toml: TomlText
    cards: Mapping[str, Card]
    heads: Mapping[str, Record]
    lists: Mapping[str, list[Read[Any]]]
    thresholds: Thresholds
    faults: list[Fault]
    cards_known: bool = True
    parts: dict[str, PlacedPart] = field(default_factory=dict)
    taken: dict[str, Place] = field(default_factory=dict)

    def link(self) -> Loop:
        """The loop; only whole when no fault was collected."""
        case = cast("CaseEntry | None", self.heads.get("case"))
        case_card = self._card(case.card, Case, ("case", "card"), "case") if case and hasattr(case, "card") else None
        self._place_parts()
        runs = self._runs()
        return Loop(
            file=self.toml.shown,
            name=str(self.toml.data.get("name", "")),
            note=str(self.toml.data.get("note", "")),
            case=case_card,
            coolant=cast("CoolantEntry", self.heads["coolant"]),
            coolant_place=self.toml.place(("coolant",)),
            parts=tuple(self.parts.values()),
            runs=runs,
            joints=self._joints(),
            port_uses=self._port_uses(),
            stacks=(stacks := self._stacks()),
            leads=self._leads(stacks),
            states=self._states(stacks),
            limits=cast("LimitsEntry", self.heads["limits"]),
            thresholds=self.thresholds,
            limits_place=self.toml.place(("limits",)),
        )

    # --- names ------------------------------------------------------------------------------------------------

    def _fault(self, path: KeyPath, subject: str, found: str, fix: str = "", limit: str = "") -> None:
        self.faults.append(Fault(self.toml.place(path), subject, found, limit, fix))

    def _card(self, id_: str, kind: type[C], path: KeyPath, subject: str) -> C | None:
        card = self.cards.get(id_)
        if card is None:
            if self.cards_known:
                alike = [key for key, value in self.cards.items() if isinstance(value, kind)]
                self._fault(path, subject, f'there is no card "{id_}"', nearest(id_, alike))
            return None
        if not isinstance(card, kind):
            word = kind.__name__.lower()
            self._fault(
                path, subject, f'card "{id_}" is a {getattr(card, "kind", "part")}', f"Name the card of a {word}."
            )
            return None
        return card

    def _fittings(self, names: Iterable[str], path: KeyPath, subject: str) -> tuple[Fitting, ...]:
        found = (self._card(name, Fitting, path, subject) for name in names)
        return tuple(card for card in found if card is not None)

    def _port(self, name: str, path: KeyPath, subject: str) -> bool:
        """True when "part.port" exists; a port of a table that did not read counts as unknown but is not a fault."""
        part_id, _, port = name.partition(".")
        part = self.parts.get(part_id)
        if part is None:
            if part_id not in self._unread("part"):
                self._fault(path, subject, f'there is no part "{part_id}"', nearest(part_id, self.parts))
            return False
        if part.card.find_port(port) is None:
            known = [port.name for port in part.card.port]
            self._fault(path, subject, f'"{part_id}" has no port "{port}"', nearest(port, known))
            return False
        return True

    def _take(self, name: str, path: KeyPath, subject: str) -> None:
        """Note that a port is used; a second use is a fault."""
        if name in self.taken:
            self._fault(
                path,
                subject,
                f'port "{name}" is used twice',
                "One port takes one thing; use a splitter.",
                f"first at {self.taken[name]}",
            )
        else:
            self.taken[name] = self.toml.place(path)

    def _unread(self, key: str) -> set[str]:
        return {str(read.raw.get("id")) for read in self.lists[key] if read.entry is None}

    # --- tables -----------------------------------------------------------------------------------------------

    def _place_parts(self) -> None:
        for read in self.lists["part"]:
            entry = cast("PartEntry | None", read.entry)
            if entry is None:
                continue
            subject = f'part "{entry.id}"'
            if entry.id in self.parts:
                limit = f"first at {self.parts[entry.id].place}"
                self._fault((*read.path, "id"), subject, "is there twice", "Give each part an id of its own.", limit)
                continue
            card = self._card(entry.card, Card, (*read.path, "card"), subject)
            if card is not None:
                self.parts[entry.id] = PlacedPart(entry.id, card, entry.at_m, entry.limit_k, self.toml.place(read.path))

    def _unknown_part(self, id_: str) -> bool:
        """True when a part could not be read for reasons already said."""
        return id_ in self._unread("part") or any(
            read.entry is not None and read.entry.id == id_ and id_ not in self.parts for read in self.lists["part"]
        )

    def _runs(self) -> tuple[Run, ...]:
        entries = [(read.entry, read.path) for read in self.lists["run"] if read.entry is not None]
        for read in self.lists["order"]:
            if read.entry is not None:
                ids = [id_ for id_ in read.entry.through if id_ not in self.parts]
                for id_ in ids:
                    if not self._unknown_part(id_):
                        fix = nearest(id_, self.parts)
                        self._fault((*read.path, "through"), "order", f'there is no part "{id_}"', fix)
                if not ids:
                    steps, faults = expand_order(read.entry, self.parts, self.toml.place((*read.path, "through")))
                    self.faults += faults
                    entries += [(step, read.path) for step in steps]
        runs: dict[str, Run] = {}
        for entry, path in entries:
            run = self._run(entry, path)
            if run is not None and run.id in runs:
                self._fault(
                    (*path, "id"),
                    f'run "{run.id}"',
                    "is there twice",
                    "Give each run an id of its own.",
                    f"first at {runs[run.id].place}",
                )
            elif run is not None:
                runs[run.id] = run
        return tuple(runs.values())

    def _run(self, entry: RunEntry, path: KeyPath) -> Run | None:
        defaults = cast("DefaultsEntry", self.heads["defaults"])
        id_ = entry.id or f"{entry.from_} to {entry.to}".replace(".", "-").replace(" ", "-")
        subject = f'run "{id_}"'
        ends = [self._end(name, (*path, key), subject) for name, key in ((entry.from_, "from"), (entry.to, "to"))]
        tube_id = entry.tube or defaults.tube
        if tube_id is None:
            self._fault(path, subject, '"tube" is missing', 'Write tube = "..." here or under [defaults].')
            return None
        tube = self._card(tube_id, Tube, (*path, "tube"), subject)
        with_ = [
            self._fittings(defaults.fitting if names is None else names, (*path, key), subject)
            for names, key in ((entry.from_with, "from_with"), (entry.to_with, "to_with"))
        ]
        if entry.path_m is not None and len(entry.path_m) < 2:
            self._fault((*path, "path_mm"), subject, "a path of one point", "Give at least the two ends.")
            return None
        if entry.path_m is not None and entry.bends is not None:
            self._fault((*path, "bends"), subject, "bends and a path", "The path has its bends; drop one of the two.")
        if tube is None or not all(ends):
            return None
        length = entry.length_m or (defaults.length_m if entry.path_m is None else None)
        return Run(
            id_,
            entry.from_,
            entry.to,
            tube,
            with_[0],
            with_[1],
            length,
            entry.bends,
            entry.bend_radius_m,
            entry.path_m,
            self.toml.place(path),
        )

    def _end(self, name: str, path: KeyPath, subject: str) -> bool:
        part_id = name.partition(".")[0]
        if self._unknown_part(part_id):
            return False
        if not self._port(name, path, subject):
            return False
        self._take(name, path, subject)
        return True

    def _joints(self) -> tuple[Joint, ...]:
        joints = []
        for read in self.lists["joint"]:
            if (entry := read.entry) is None:
                continue
            id_ = f"{entry.from_}-to-{entry.to}".replace(".", "-")
            subject = f'joint "{entry.from_} to {entry.to}"'
            ends = [
                self._end(name, (*read.path, key), subject) for name, key in ((entry.from_, "from"), (entry.to, "to"))
            ]
            with_ = self._fittings(entry.with_, (*read.path, "with"), subject)
            if all(ends):
                joints.append(Joint(id_, entry.from_, entry.to, with_, self.toml.place(read.path)))
        return tuple(joints)

    def _port_uses(self) -> tuple[PortUse, ...]:
        uses = []
        for read in self.lists["port"]:
            entry = cast("PortEntry | None", read.entry)
            if entry is None:
                continue
            subject = f'port "{entry.at}"'
            with_ = self._fittings(entry.with_, (*read.path, "with"), subject)
            if self._end(entry.at, (*read.path, "at"), subject):
                uses.append(PortUse(entry.at, entry.use, with_, self.toml.place(read.path)))
        return tuple(uses)

    def _stacks(self) -> tuple[Stack, ...]:
        stacks: dict[str, Stack] = {}
        ids = {str(read.raw.get("id")) for read in self.lists["stack"]}
        for read in self.lists["stack"]:
            if (entry := read.entry) is None:
                continue
            subject = f'stack "{entry.id}"'
            part = self.parts.get(entry.radiator)
            if entry.id in stacks:
                self._fault((*read.path, "id"), subject, "is there twice", "Give each stack an id of its own.")
            elif part is None:
                if not self._unknown_part(entry.radiator):
                    radiators = [id_ for id_, part in self.parts.items() if isinstance(part.card, Radiator)]
                    self._fault(
                        (*read.path, "radiator"),
                        subject,
                        f'there is no part "{entry.radiator}"',
                        nearest(entry.radiator, radiators),
                    )
            elif not isinstance(part.card, Radiator):
                self._fault((*read.path, "radiator"), subject, f'"{entry.radiator}" is no radiator', "Name a radiator.")
            elif any(stack.radiator == entry.radiator for stack in stacks.values()):
                self._fault(
                    (*read.path, "radiator"),
                    subject,
                    f'"{entry.radiator}" stands in two stacks',
                    "A radiator stands in one stack.",
                )
            else:
                fan = self._card(entry.fan, Fan, (*read.path, "fan"), subject) if entry.fan else None
                fans = entry.fans if entry.fans is not None else (part.card.fan_places or 0)
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
                    self.toml.place(read.path),
                )
            source = entry.inlet.from_
            if source != "room" and (source not in ids or source == entry.id):
                found = "breathes its own exhaust" if source == entry.id else f'there is no stack "{source}"'
                self._fault(
                    (*read.path, "inlet", "from"), subject, found, nearest(source, ["room", *(ids - {entry.id})])
                )
        self._refuse_rings(stacks)
        return tuple(stacks.values())

    def _refuse_rings(self, stacks: Mapping[str, Stack]) -> None:
        for stack in stacks.values():
            seen, here = {stack.id}, stack.inlet.from_
            while here in stacks and here not in seen:
                seen.add(here)
                here = stacks[here].inlet.from_
            if here == stack.id and len(seen) > 1:
                found = "breathes its own exhaust through other stacks"
                self.faults.append(
                    Fault(
                        stack.place, f'stack "{stack.id}"', found, "", "Break the ring: one of them breathes room air."
                    )
                )

    def _leads(self, stacks: tuple[Stack, ...]) -> tuple[Lead, ...]:
        leads = []
        fed = {stack.id for stack in stacks} | {id_ for id_, part in self.parts.items() if isinstance(part.card, Pump)}
        for read in self.lists["lead"]:
            if (entry := read.entry) is None:
                continue
            subject = f'lead "{entry.part}"'
            feeder_id, _, outlet = entry.to.partition(".")
            feeder = self.parts.get(feeder_id)
            if entry.part not in fed:
                if not self._unknown_part(entry.part):
                    self._fault(
                        (*read.path, "part"),
                        subject,
                        f'there is no pump or stack "{entry.part}"',
                        nearest(entry.part, fed),
                    )
            elif feeder is None or not isinstance(feeder.card, Feeder):
                if not self._unknown_part(feeder_id):
                    feeders = [id_ for id_, part in self.parts.items() if isinstance(part.card, Feeder)]
                    self._fault(
                        (*read.path, "to"),
                        subject,
                        f'"{feeder_id}" is no board, power supply or hub',
                        nearest(feeder_id, feeders),
                    )
            elif outlet not in (names := [row.name for row in feeder.card.outlet]):
                self._fault(
                    (*read.path, "to"), subject, f'"{feeder_id}" has no outlet "{outlet}"', nearest(outlet, names)
                )
            else:
                leads.append(Lead(entry.part, feeder_id, outlet, self.toml.place(read.path)))
        return tuple(leads)

    def _states(self, stacks: tuple[Stack, ...]) -> tuple[State, ...]:
        states: dict[str, State] = {}
        turning = {stack.id for stack in stacks} | {
            id_ for id_, part in self.parts.items() if isinstance(part.card, Pump)
        }
        for read in self.lists["state"]:
            if (entry := read.entry) is None:
                continue
            subject = f'state "{entry.name}"'
            if entry.name in states:
                self._fault((*read.path, "name"), subject, "is there twice", "Give each state a name of its own.")
                continue
            self._known(entry.heat, set(self.parts), (*read.path, "heat"), subject, "part")
            self._known(entry.speed, turning, (*read.path, "speed"), subject, "pump or stack")
            self._known(dict.fromkeys(entry.closed), set(self.parts), (*read.path, "closed"), subject, "part")
            self._speed_kinds(entry.speed, {stack.id for stack in stacks}, read.path, subject)
            states[entry.name] = State(
                entry.name,
                entry.room_k,
                entry.altitude_m,
                entry.humidity_frac,
                entry.heat,
                entry.speed,
                entry.closed,
                self.toml.place(read.path),
            )
        return tuple(states.values())

    def _known(self, named: Mapping[str, object], known: set[str], path: KeyPath, subject: str, word: str) -> None:
        for name in named:
            if name not in known and not self._unknown_part(name) and name not in self._unread("stack"):
                self.faults.append(
                    Fault(
                        self.toml.place((*path, name), key=True),
                        subject,
                        f'there is no {word} "{name}"',
                        "",
                        nearest(name, known),
                    )
                )

    def _speed_kinds(self, speed: Mapping[str, Figure], stacks: set[str], path: KeyPath, subject: str) -> None:
        for name, figure in speed.items():
            if name in stacks and figure.kind is not Kind.SPEED:
                stack = next(read.entry for read in self.lists["stack"] if read.entry and read.entry.id == name)
                fan = self.cards.get(stack.fan or "")
                if not isinstance(fan, Fan) or fan.full_speed_hz is None:
                    self._fault(
                        (*path, "speed", name),
                        f"{subject}: {name}",
                        f'"{figure.text}" of a full speed no card states',
                        "Write it in rpm.",
                    )
            if name not in stacks and figure.kind is Kind.SPEED:
                pump = self.parts[name].card if name in self.parts else None
                if isinstance(pump, Pump) and pump.full_speed_hz is None:
                    self._fault(
                        (*path, "speed", name),
                        f"{subject}: {name}",
                        f'"{figure.text}", but the card states no full_speed',
                        'Write it in %, for example "60 %".',
                    )
