"""
What hangs on which outlet, and how much current it takes.

Answers   the loads of every header and plug in use, and which pumps and fans nothing feeds
Assumes   12 V; a stack with several leads shares its fans evenly, the odd one counted on each outlet; a pump with a
          lead to a power supply draws its current there, and its lead to a board carries signals only
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from headrace.checks.wetted import pumps
from headrace.errors import Place
from headrace.loop.model import Lead, Loop, Stack, Vent
from headrace.parts.card import Card
from headrace.parts.casing import Feeder
from headrace.parts.pump import Pump

SUPPLY_V = 12.0  # fans and pumps of a desktop computer run on 12 V, common practice, no source


@dataclass(frozen=True)
class Draw:
    """One pump or the fans of one stack or vent on an outlet; without a current, `lack` names the missing datum."""

    label: str
    current_a: float | None
    start_a: float | None
    lack: str
    is_pump: bool


@dataclass(frozen=True)
class Feed:
    """One outlet in use."""

    id: str
    part: str
    outlet: str
    card: str
    limit_a: float | None
    draws: tuple[Draw, ...]
    place: Place

    @property
    def steady_a(self) -> float:
        """What all on it with a known current take together, running."""
        return sum(draw.current_a or 0.0 for draw in self.draws)

    @property
    def lacks(self) -> tuple[str, ...]:
        """What is missing for the currents not known."""
        return tuple(dict.fromkeys(draw.lack for draw in self.draws if draw.current_a is None))


def feeds(loop: Loop) -> tuple[Feed, ...]:
    """Every outlet that feeds something, in the order of the file."""
    by_outlet: dict[tuple[str, str], list[Lead]] = {}
    for lead in loop.leads:
        if draws_here(loop, lead):
            by_outlet.setdefault((lead.feeder, lead.outlet), []).append(lead)
    return tuple(_feed(loop, feeder, outlet, leads) for (feeder, outlet), leads in by_outlet.items())


def _feed(loop: Loop, feeder: str, outlet: str, leads: list[Lead]) -> Feed:
    card = loop.part(feeder).card
    draws = tuple(_draw(loop, lead) for lead in leads)
    return Feed(f"{feeder}.{outlet}", feeder, outlet, card.id, _limit_a(card, outlet), draws, leads[0].place)


def _limit_a(card: Card, outlet: str) -> float | None:
    outlets = card.outlet if isinstance(card, Feeder) else ()
    return next((row.max_current_a for row in outlets if row.name == outlet), None)


def draws_here(loop: Loop, lead: Lead) -> bool:
    """Whether current flows through a lead: False for the signal lead of a pump that a power supply feeds."""
    if find_fanned(loop, lead.part) is not None:
        return True
    supplied = [other for other in loop.leads if other.part == lead.part and is_supply(loop, other)]
    return not supplied or is_supply(loop, lead)


def is_supply(loop: Loop, lead: Lead) -> bool:
    """Whether a lead ends in a power supply."""
    return getattr(loop.part(lead.feeder).card, "kind", "") == "power-supply"


def _draw(loop: Loop, lead: Lead) -> Draw:
    factor = loop.thresholds("start_current_factor")
    shares = sum(1 for other in loop.leads if other.part == lead.part and draws_here(loop, other))
    fanned = find_fanned(loop, lead.part)
    if fanned is None:
        card = loop.part(lead.part).card
        current, start = _currents(card, factor)
        lack = f'card "{card.id}" states no current and no power (current)'
        return Draw(f'pump "{lead.part}"', *_share(current, start, 1.0 / shares), lack, True)
    name = f'{"stack" if isinstance(fanned, Stack) else "vent"} "{fanned.id}"'
    fans = ceil((fanned.fans or 0) / shares)
    label = f"{fans} fan{'s' if fans != 1 else ''} of {name}"
    if fanned.fan is None:
        return Draw(label, None, None, f"{name} names no fan (fan)", False)
    current, start = _currents(fanned.fan, factor)
    lack = f'card "{fanned.fan.id}" states no current (current)'
    return Draw(label, *_share(current, start, fans), lack, False)


def find_fanned(loop: Loop, id_: str) -> Stack | Vent | None:
    """The stack or vent called `id_`; None for a pump."""
    found: tuple[Stack | Vent, ...] = (*loop.stacks, *loop.vents)
    return next((fanned for fanned in found if fanned.id == id_), None)


def _share(current: float | None, start: float | None, times: float) -> tuple[float | None, float | None]:
    return (None, None) if current is None or start is None else (current * times, start * times)


def _currents(card: Card, factor: float) -> tuple[float | None, float | None]:
    """Rated and start-up current of one motor; from the power at full speed where only that is stated."""
    current = card.current_a
    steady = float(current) if current is not None else _from_power(card)
    if steady is None:
        return None, None
    return steady, float(card.start_current_a) if card.start_current_a is not None else steady * factor


def _from_power(card: Card) -> float | None:
    """Current of a pump from its electric power.

    I = P / U        by definition, U = 12 V
    """
    if not isinstance(card, Pump):
        return None
    powers = [float(card.power_w)] if card.power_w is not None else []
    if card.power_points is not None:
        powers += [power for _, power in card.power_points.points_si()]
    return max(powers) / SUPPLY_V if powers else None


def find_room(loop: Loop, feed: Feed, draw: Draw) -> str | None:
    """Another outlet that can carry `draw` beside what it feeds already; a power supply first for a pump."""
    if draw.current_a is None:
        return None
    used = {other.id: sum(d.current_a or 0.0 for d in other.draws) for other in feeds(loop)}
    share = loop.thresholds("outlet_share")
    found = [
        (getattr(part.card, "kind", "") == "power-supply", f"{part.id}.{outlet.name}")
        for part in loop.parts
        if isinstance(part.card, Feeder)
        for outlet in part.card.outlet
        if f"{part.id}.{outlet.name}" != feed.id
        and outlet.max_current_a is not None
        and used.get(f"{part.id}.{outlet.name}", 0.0) + draw.current_a <= outlet.max_current_a * share
    ]
    return max(found, key=lambda item: item[0] if draw.is_pump else not item[0], default=(False, None))[1]


def unfed(loop: Loop) -> Iterator[tuple[Place, str]]:
    """Pumps, and stacks and vents with fans, that no lead feeds."""
    fed = {lead.part for lead in loop.leads}
    for part in pumps(loop):
        if part.id not in fed:
            yield part.place, f'pump "{part.id}"'
    for stack in loop.stacks:
        if stack.id not in fed and (stack.fans or 0) > 0 and (stack.fan is not None or stack.air_m3_s is None):
            yield stack.place, f'fans of stack "{stack.id}"'
    for vent in loop.vents:
        if vent.id not in fed and vent.fan is not None:
            yield vent.place, f'fans of vent "{vent.id}"'
