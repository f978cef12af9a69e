"""POWER-07: a power supply that only feeds pumps while the loop is filled has the load it needs.

Some power supplies switch off, or hold their volts badly, below a least load, and pumps alone are a small one. A
supply that feeds a pump and does not state its least load is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.current import SUPPLY_V, Draw, feeds, is_supply, pumps_once
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.loop.model import PlacedPart
from headrace.parts.casing import Feeder
from headrace.units import show

CHECK = Check(
    "POWER-07",
    "Power supply with hardly a load while filling",
    Severity.NOTE,
    Group.ELECTRICITY,
    what="power of the pumps",
    unit="w",
    gate=Gate.LIQUID,
)
_ROUNDING_W = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every power supply that feeds a pump."""
    loop = build.loop
    for id_ in dict.fromkeys(lead.feeder for lead in loop.leads if is_supply(loop, lead)):
        draws = pumps_once(draw for feed in feeds(loop) if feed.part == id_ for draw in feed.draws if draw.is_pump)
        if draws:
            yield from _judge(loop.part(id_), draws)


def _judge(supply: PlacedPart, draws: tuple[Draw, ...]) -> Iterator[Finding | Skipped]:
    card = supply.card
    least = card.min_load_w if isinstance(card, Feeder) else None
    unknown = [draw.lack for draw in draws if draw.current_a is None]
    if least is None:
        reason = f'card "{card.id}" does not say which load it needs (min_load)'
        yield CHECK.skipped(supply.place, part_label(supply), reason)
    elif unknown and float(least) > 0.0:
        yield CHECK.skipped(supply.place, part_label(supply), "; ".join(dict.fromkeys(unknown)))
    else:
        power_w = SUPPLY_V * sum(draw.current_a or 0.0 for draw in draws)
        if power_w < float(least) - _ROUNDING_W:
            more = show(float(least) - power_w, "more_w")
            fix = (
                f"Give it {more} more while you fill, such as a drive or fans that may run then, or fill with a 12 V "
                "adapter. Have mains off while you wire; start the supply only through an insulated bridge made for "
                "that, with its plugs out of the board and the cards, and take the bridge off afterwards."
            )
            yield CHECK.finding(supply.place, part_label(supply), found=power_w, limit=float(least), fix=fix)
