"""
What hangs on which outlet, and how much current it takes.

Answers   the loads of every header and plug in use, and which pumps and fans nothing feeds
Assumes   12 V; a stack with several leads shares its fans evenly, the odd one counted on each outlet; each lead of a
          pump may bear its whole current, but for those that carry signals only: beside a lead to a power supply all
          others, beside one to a hub those to boards, else one with tach = true beside one without
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import ceil

from headrace.checks.wetted import pumps
from headrace.errors import Place
from headrace.loop.model import Lead, Loop, Stack, Vent
from headrace.parts.card import Card
from headrace.parts.casing import Feeder, Outlet
from headrace.parts.pump import Pump

SUPPLY_V = 12.0  # fans and pumps of a desktop computer run on 12 V, common practice, no source
HEADERS = ("fan header", "pump header")
GOES_IN = {"header": HEADERS, "drive plug": ("drive plug",), "peripheral plug": ("peripheral plug",)}
_ROUNDING_A = 1e-9


@dataclass(frozen=True)
class Draw:
    """One pump or the fans of one stack or vent on an outlet; without a current, `lack` names the missing datum."""

    part: str
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
    draws = pumps_once(_draw(loop, lead) for lead in leads)
    return Feed(f"{feeder}.{outlet}", feeder, outlet, card.id, _limit_a(card, outlet), draws, leads[0].place)


def pumps_once(draws: Iterable[Draw]) -> tuple[Draw, ...]:
    """Each pump once: its leads do not bear more together than one of them may have to bear alone."""
    kept: list[Draw] = []
    for draw in draws:
        if not draw.is_pump or draw not in kept:
            kept.append(draw)
    return tuple(kept)


def _limit_a(card: Card, outlet: str) -> float | None:
    outlets = card.outlet if isinstance(card, Feeder) else ()
    return next((row.max_current_a for row in outlets if row.name == outlet), None)


def draws_here(loop: Loop, lead: Lead) -> bool:
    """Whether current flows through a lead: False for the signal lead of a pump that another lead feeds."""
    if find_fanned(loop, lead.part) is not None:
        return True
    return any(lead is other for other in _feeding([one for one in loop.leads if one.part == lead.part], loop))


def _feeding(own: list[Lead], loop: Loop) -> list[Lead]:
    """The leads of one pump that may bear its current: the surest of them, where some are surer than others."""
    surest = [lead for lead in own if is_supply(loop, lead)]
    surest = surest or [lead for lead in own if _kind(loop, lead.feeder) == "fan-hub"]
    return surest or [lead for lead in own if not lead.tach] or own


def is_supply(loop: Loop, lead: Lead) -> bool:
    """Whether a lead ends in a power supply."""
    return _kind(loop, lead.feeder) == "power-supply"


def _kind(loop: Loop, part: str) -> str:
    return str(getattr(loop.part(part).card, "kind", ""))


def _draw(loop: Loop, lead: Lead) -> Draw:
    fanned = find_fanned(loop, lead.part)
    if fanned is not None:
        return _fans_draw(loop, lead, fanned)
    card = loop.part(lead.part).card
    lack = f'card "{card.id}" states no current and no power (current)'
    return Draw(lead.part, f'pump "{lead.part}"', *_currents(card, loop.thresholds("start_current_factor")), lack, True)


def _fans_draw(loop: Loop, lead: Lead, fanned: Stack | Vent) -> Draw:
    """The share of the fans of a stack or vent that hangs on one of its leads."""
    name = f'{"stack" if isinstance(fanned, Stack) else "vent"} "{fanned.id}"'
    if fanned.fans is None:
        return Draw(lead.part, f"fans of {name}", None, None, f"{name} does not say how many fans (fans)", False)
    fans = ceil(fanned.fans / sum(1 for other in loop.leads if other.part == lead.part))
    label = f"{fans} fan{'s' if fans != 1 else ''} of {name}"
    if fanned.fan is None:
        return Draw(lead.part, label, None, None, f"{name} names no fan (fan)", False)
    current, start = _currents(fanned.fan, loop.thresholds("start_current_factor"))
    lack = f'card "{fanned.fan.id}" states no current (current)'
    return Draw(lead.part, label, *_share(current, start, fans), lack, False)


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
    """Another outlet that takes the plug of `draw` and bears it beside what it feeds; a supply first for a pump."""
    if draw.current_a is None:
        return None
    others = {other.id: other for other in feeds(loop)}
    found = []
    for part in loop.parts:
        card = part.card
        for outlet in card.outlet if isinstance(card, Feeder) else ():
            id_ = f"{part.id}.{outlet.name}"
            on_it = (*(others[id_].draws if id_ in others else ()), draw)
            bears = outlet.max_current_a is not None and needs_a(loop, on_it) <= outlet.max_current_a + _ROUNDING_A
            if id_ != feed.id and bears and _takes(loop, draw, outlet):
                found.append(((_kind(loop, part.id) == "power-supply") is draw.is_pump, id_))
    return max(found, key=lambda item: item[0], default=(False, None))[1]


def needs_a(loop: Loop, draws: Iterable[Draw]) -> float:
    """
    What an outlet must bear to feed these with the usual hand's breadth to spare, A.

    I = max(sum of I_rated / share, sum of I_start / allowance)        common practice, no source
    """
    together = tuple(draws)
    steady = sum(draw.current_a or 0.0 for draw in together)
    start = sum(draw.start_a or 0.0 for draw in together)
    return max(steady / loop.thresholds("outlet_share"), start / loop.thresholds("start_allowance"))


def lead_of(loop: Loop, draw: Draw) -> str | None:
    """What the lead of a pump or fan ends in; None when its card does not say."""
    card = None if not draw.is_pump else loop.part(draw.part).card
    return card.lead if isinstance(card, Pump) else "header"


def _takes(loop: Loop, draw: Draw, outlet: Outlet) -> bool:
    """Whether a lead goes into an outlet, as far as both are known; never a pump on a fan header."""
    lead = lead_of(loop, draw)
    if outlet.plug is None:
        return True
    if draw.is_pump and outlet.plug == "fan header":
        return False
    return lead is None or outlet.plug in GOES_IN[lead]


def unfed(loop: Loop) -> Iterator[tuple[Place, str]]:
    """Pumps, and stacks and vents with fans, that no lead feeds."""
    fed = {lead.part for lead in loop.leads}
    for part in pumps(loop):
        if part.id not in fed:
            yield part.place, f'pump "{part.id}"'
    for stack in loop.stacks:
        moved = stack.fan is not None or (stack.fans is not None and stack.air_m3_s is None)
        if stack.id not in fed and stack.fans != 0 and moved:
            yield stack.place, f'fans of stack "{stack.id}"'
    for vent in loop.vents:
        if vent.id not in fed and vent.fan is not None:
            yield vent.place, f'fans of vent "{vent.id}"'
