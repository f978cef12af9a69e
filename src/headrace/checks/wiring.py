"""
What is plugged in where: every outlet in use with all its leads, and how many motors hang on each.

Answers   which leads meet at a header or plug, how many fans and pumps they bring, and what is missing to count them
Assumes   a stack with several leads shares its fans evenly; a lead of a pump is one device, whether it feeds or signals
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from headrace.checks.current import HEADERS, find_fanned
from headrace.errors import Place
from headrace.loop.model import Lead, Loop, PlacedPart
from headrace.parts.casing import Feeder, Outlet


@dataclass(frozen=True)
class Plugged:
    """One outlet in use with every lead that ends in it."""

    part: PlacedPart
    kind: str
    outlet: Outlet
    leads: tuple[Lead, ...]

    @property
    def id(self) -> str:
        """Its name in the build file, "board.fan-1"."""
        return f"{self.part.id}.{self.outlet.name}"

    @property
    def place(self) -> Place:
        """Where its first lead stands."""
        return self.leads[0].place

    @property
    def is_header(self) -> bool:
        """Whether it is a header, by its plug or as an outlet of a board."""
        return self.kind == "board" if self.outlet.plug is None else self.outlet.plug in HEADERS

    @property
    def lack(self) -> str:
        """What its card does not say when its plug is unknown."""
        return f'card "{self.part.card.id}" does not say what plug "{self.outlet.name}" is (plug)'


def plugged_in(loop: Loop) -> tuple[Plugged, ...]:
    """Every outlet something is plugged into, in the order of the leads."""
    by_outlet: dict[tuple[str, str], list[Lead]] = {}
    for lead in loop.leads:
        by_outlet.setdefault((lead.feeder, lead.outlet), []).append(lead)
    found = []
    for (feeder, outlet), leads in by_outlet.items():
        part = loop.part(feeder)
        card = part.card
        if isinstance(card, Feeder):
            found += [Plugged(part, card.kind, row, tuple(leads)) for row in card.outlet if row.name == outlet]
    return tuple(found)


def plugged_by_id(loop: Loop) -> dict[str, Plugged]:
    """The same by the name of the outlet."""
    return {plugged.id: plugged for plugged in plugged_in(loop)}


def motors(loop: Loop, lead: Lead) -> int | None:
    """How many motors a lead brings: 1 for a pump, its share of the fans of a stack or vent; None when not known."""
    fanned = find_fanned(loop, lead.part)
    if fanned is None:
        return 1
    shares = sum(1 for other in loop.leads if other.part == lead.part)
    return None if fanned.fans is None else ceil(fanned.fans / shares)


def feeder_kind(loop: Loop, lead: Lead) -> str:
    """What a lead ends in: board, power-supply or fan-hub."""
    return str(getattr(loop.part(lead.feeder).card, "kind", ""))
