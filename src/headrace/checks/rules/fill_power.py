"""POWER-08: every pump can run while the loop is filled, with nothing else switched on.

The loop is filled and bled before the board gets power. A pump that takes its current from a board then stands
still, or the board is switched on under a loop nobody has tested. A hub nobody says the feed of is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.current import HEADERS, Draw, feeds
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.errors import Place
from headrace.loop.model import PlacedPart
from headrace.parts.casing import Feeder
from headrace.units import show

CHECK = Check(
    "POWER-08",
    "Pump cannot run alone",
    Severity.NOTE,
    Group.ELECTRICITY,
    what="feed",
    gate=Gate.LIQUID,
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every pump by what feeds it."""
    for feed in feeds(build.loop):
        feeder = build.loop.part(feed.part)
        for draw in feed.draws:
            if draw.is_pump:
                yield from _judge(feed.place, f'{draw.label} at outlet "{feed.id}"', feeder, draw)


def _judge(place: Place, subject: str, feeder: PlacedPart, draw: Draw) -> Iterator[Finding | Skipped]:
    card = feeder.card
    if not isinstance(card, Feeder) or card.kind == "power-supply":
        return
    if card.kind == "fan-hub" and card.fed_by is None:
        yield CHECK.skipped(place, subject, f'card "{card.id}" does not say what feeds it (fed_by)')
    elif card.kind == "board" or card.fed_by in HEADERS:
        needs_a = max(draw.current_a or 0.0, draw.start_a or 0.0)
        bears = f"{show(needs_a, 'needs_a')} or more" if needs_a else "what its maker states"
        fix = (
            f"Feed it while you fill from a 12 V supply or adapter that bears {bears}, or for good from a plug of the "
            "power supply with only its signal wires on the board. Only the pump is powered then: plugs out of board "
            "and cards, any bridge insulated, tissue laid, one hand on the switch, and off before it runs dry."
        )
        yield CHECK.finding(
            place, subject, found="its current comes from the board", limit="a feed of its own", fix=fix
        )
