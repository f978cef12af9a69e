"""The names of a build file: which card, part and port a name means, and a fault for each that means nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from headrace.errors import Fault, Place
from headrace.loop.model import PlacedPart
from headrace.parts.card import Card
from headrace.parts.faults import nearest
from headrace.parts.fields import Record
from headrace.parts.tomltext import KeyPath, TomlText
from headrace.parts.tube import Fitting

R_co = TypeVar("R_co", bound=Record, covariant=True)
C = TypeVar("C", bound=Card)


@dataclass(frozen=True)
class Read(Generic[R_co]):
    """One table: its record (None when it did not read), its raw value and its path in the file."""

    entry: R_co | None
    raw: Mapping[str, Any]
    path: KeyPath


@dataclass
class Names:
    """One build file while its names are found; faults are collected, never raised.

    A name that belongs to a table that did not read is not called unknown a second time.
    """

    toml: TomlText
    cards: Mapping[str, Card]
    lists: Mapping[str, list[Read[Any]]]
    faults: list[Fault]
    cards_known: bool = True
    parts: dict[str, PlacedPart] = field(default_factory=dict)
    taken: dict[str, Place] = field(default_factory=dict)

    def fault(self, path: KeyPath, subject: str, found: str, fix: str = "", limit: str = "") -> None:
        self.faults.append(Fault(self.toml.place(path), subject, found, limit, fix))

    def card(self, id_: str, kind: type[C], path: KeyPath, subject: str) -> C | None:
        card = self.cards.get(id_)
        if card is None:
            if self.cards_known:
                alike = [key for key, value in self.cards.items() if isinstance(value, kind)]
                self.fault(path, subject, f'there is no card "{id_}"', nearest(id_, alike))
            return None
        if not isinstance(card, kind):
            found = str(getattr(card, "kind", "part"))
            article = "an" if found[0] in "aeiou" else "a"
            fix = f"Name the card of a {kind.__name__.lower()}."
            self.fault(path, subject, f'card "{id_}" is {article} {found}', fix)
            return None
        return card

    def fittings(self, names: Iterable[str], path: KeyPath, subject: str) -> tuple[Fitting, ...]:
        found = (self.card(name, Fitting, path, subject) for name in names)
        return tuple(card for card in found if card is not None)

    def port(self, name: str, path: KeyPath, subject: str) -> bool:
        """True when "part.port" exists; a port of a table that did not read counts as unknown but is not a fault."""
        part_id, _, port = name.partition(".")
        part = self.parts.get(part_id)
        if part is None:
            if part_id not in self.unread("part"):
                self.fault(path, subject, f'there is no part "{part_id}"', nearest(part_id, self.parts))
            return False
        if part.card.find_port(port) is None:
            known = [port.name for port in part.card.port]
            self.fault(path, subject, f'"{part_id}" has no port "{port}"', nearest(port, known))
            return False
        return True

    def take(self, name: str, path: KeyPath, subject: str) -> None:
        """Note that a port is used; a second use is a fault."""
        if name in self.taken:
            self.fault(
                path,
                subject,
                f'port "{name}" is used twice',
                "One port takes one thing; use a splitter.",
                f"first at {self.taken[name]}",
            )
        else:
            self.taken[name] = self.toml.place(path)

    def unread(self, key: str) -> set[str]:
        return {str(read.raw.get("id")) for read in self.lists[key] if read.entry is None}

    def unknown_part(self, id_: str) -> bool:
        """True when a part could not be read for reasons already said."""
        return id_ in self.unread("part") or any(
            read.entry is not None and read.entry.id == id_ and id_ not in self.parts for read in self.lists["part"]
        )
