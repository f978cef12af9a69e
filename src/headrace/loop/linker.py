"""From the tables of a build file to a loop: find cards, parts and ports by name.

Answers   what every name in a build file means, and which names mean nothing
Assumes   tables that did not read are passed by; a name that belongs to one of them is not called unknown
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

from headrace.geometry.turn import STRAIGHT
from headrace.loop.airways import link_stacks, link_vents
from headrace.loop.buildfile import (
    CaseEntry,
    CoolantEntry,
    DefaultsEntry,
    LimitsEntry,
    PartEntry,
    PortEntry,
    RunEntry,
)
from headrace.loop.conditions import check_avoided, find_movers, link_leads, link_states, link_waivers
from headrace.loop.expand import expand_order
from headrace.loop.handling import HandlingEntry
from headrace.loop.model import Joint, Loop, PlacedPart, PortUse, Run
from headrace.loop.names import Names
from headrace.loop.thresholds import Thresholds
from headrace.parts.card import Card
from headrace.parts.casing import Case
from headrace.parts.faults import nearest
from headrace.parts.fields import Record
from headrace.parts.pump import Pump
from headrace.parts.tomltext import KeyPath
from headrace.parts.tube import Tube


@dataclass
class Linker:
    """Links one build file; faults are collected in `names`, never raised."""

    names: Names
    heads: Mapping[str, Record]
    thresholds: Thresholds

    def link(self) -> Loop:
        """The loop; only whole when no fault was collected."""
        case = cast("CaseEntry | None", self.heads.get("case"))
        case_card = (
            self.names.card(case.card, Case, ("case", "card"), "case") if case and hasattr(case, "card") else None
        )
        self._place_parts()
        runs = self._runs()
        stacks, vents = link_stacks(self.names), link_vents(self.names)
        movers = find_movers(self.names, stacks, vents)
        limits = cast("LimitsEntry", self.heads["limits"])
        check_avoided(self.names, limits.avoid, movers)
        return Loop(
            file=self.names.toml.shown,
            name=str(self.names.toml.data.get("name", "")),
            note=str(self.names.toml.data.get("note", "")),
            case=case_card,
            coolant=cast("CoolantEntry", self.heads["coolant"]),
            coolant_place=self.names.toml.place(("coolant",)),
            parts=tuple(self.names.parts.values()),
            runs=runs,
            joints=self._joints({run.id for run in runs}),
            port_uses=self._port_uses(),
            stacks=stacks,
            leads=link_leads(self.names, movers),
            states=link_states(self.names, movers),
            limits=limits,
            thresholds=self.thresholds,
            limits_place=self.names.toml.place(("limits",)),
            vents=vents,
            handling=cast("HandlingEntry", self.heads["handling"]),
            waivers=link_waivers(self.names),
        )

    # --- tables -----------------------------------------------------------------------------------------------

    def _place_parts(self) -> None:
        for read in self.names.lists["part"]:
            entry = cast("PartEntry | None", read.entry)
            if entry is None:
                continue
            subject = f'part "{entry.id}"'
            if entry.id in self.names.parts:
                limit = f"first at {self.names.parts[entry.id].place}"
                self.names.fault(
                    (*read.path, "id"), subject, "is there twice", "Give each part an id of its own.", limit
                )
                continue
            card = self.names.card(entry.card, Card, (*read.path, "card"), subject)
            if card is None:
                continue
            if entry.mounting is not None and not isinstance(card, Pump):
                fix = "Leave mounting out: only a pump shakes what it stands on."
                self.names.fault((*read.path, "mounting"), subject, f'card "{entry.card}" is no pump', fix)
            place = self.names.toml.place(read.path)
            turn = STRAIGHT if entry.turned is None else entry.turned.turn()
            self.names.parts[entry.id] = PlacedPart(
                entry.id, card, entry.at_m, entry.limit_k, place, entry.mounting, turn, entry.at_spread_m
            )

    def _runs(self) -> tuple[Run, ...]:
        entries = [(read.entry, read.path) for read in self.names.lists["run"] if read.entry is not None]
        for read in self.names.lists["order"]:
            if read.entry is not None:
                ids = [id_ for id_ in read.entry.through if id_ not in self.names.parts]
                for id_ in ids:
                    if not self.names.unknown_part(id_):
                        fix = nearest(id_, self.names.parts)
                        self.names.fault((*read.path, "through"), "order", f'there is no part "{id_}"', fix)
                if not ids:
                    steps, faults = expand_order(
                        read.entry, self.names.parts, self.names.toml.place((*read.path, "through"))
                    )
                    self.names.faults += faults
                    entries += [(step, read.path) for step in steps]
        runs: dict[str, Run] = {}
        for entry, path in entries:
            run = self._run(entry, path)
            if run is not None and run.id in self.names.parts:
                fix = "Give the run an id of its own, such as the two parts it joins."
                self.names.fault((*path, "id"), f'run "{run.id}"', "is called like a part", fix)
            elif run is not None and run.id in runs:
                self.names.fault(
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
        defaults = cast("DefaultsEntry | None", self.heads.get("defaults"))
        if defaults is None:
            return None  # its faults are said; what a run takes from it is not known
        id_ = entry.id or f"{entry.from_} to {entry.to}".replace(".", "-").replace(" ", "-")
        subject = f'run "{id_}"'
        ends = [self._end(name, (*path, key), subject) for name, key in ((entry.from_, "from"), (entry.to, "to"))]
        tube_id = entry.tube or defaults.tube
        if tube_id is None:
            self.names.fault(path, subject, '"tube" is missing', 'Write tube = "..." here or under [defaults].')
            return None
        tube = self.names.card(tube_id, Tube, (*path, "tube"), subject)
        with_ = [
            self.names.fittings(defaults.fitting if names is None else names, (*path, key), subject)
            for names, key in ((entry.from_with, "from_with"), (entry.to_with, "to_with"))
        ]
        if entry.path_m is not None and len(entry.path_m) < 2:
            self.names.fault((*path, "path_mm"), subject, "a path of one point", "Give at least the two ends.")
            return None
        if entry.path_m is not None and entry.bends is not None:
            self.names.fault(
                (*path, "bends"), subject, "bends and a path", "The path has its bends; drop one of the two."
            )
        if tube is None or not all(ends):
            return None
        length = entry.length_m
        if length is None and entry.path_m is None:
            length = defaults.length_m
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
            self.names.toml.place(path),
        )

    def _end(self, name: str, path: KeyPath, subject: str) -> bool:
        part_id = name.partition(".")[0]
        if self.names.unknown_part(part_id):
            return False
        if not self.names.port(name, path, subject):
            return False
        self.names.take(name, path, subject)
        return True

    def _joints(self, runs: set[str]) -> tuple[Joint, ...]:
        joints = []
        for read in self.names.lists["joint"]:
            if (entry := read.entry) is None:
                continue
            id_ = f"{entry.from_}-to-{entry.to}".replace(".", "-")
            subject = f'joint "{entry.from_} to {entry.to}"'
            ends = [
                self._end(name, (*read.path, key), subject) for name, key in ((entry.from_, "from"), (entry.to, "to"))
            ]
            with_ = self.names.fittings(entry.with_, (*read.path, "with"), subject)
            if id_ in runs:
                self.names.fault(read.path, subject, f'a run is called "{id_}", as this joint is', "Rename the run.")
            if all(ends):
                joints.append(Joint(id_, entry.from_, entry.to, with_, self.names.toml.place(read.path)))
        return tuple(joints)

    def _port_uses(self) -> tuple[PortUse, ...]:
        uses = []
        for read in self.names.lists["port"]:
            entry = cast("PortEntry | None", read.entry)
            if entry is None:
                continue
            subject = f'port "{entry.at}"'
            with_ = self.names.fittings(entry.with_, (*read.path, "with"), subject)
            if self._end(entry.at, (*read.path, "at"), subject):
                uses.append(PortUse(entry.at, entry.use, with_, self.names.toml.place(read.path)))
        return tuple(uses)
