"""POWER-09: all that hangs on a hub together is not more than the plug that feeds the hub bears.

Every outlet of a hub may be within its own limit while the one cable to it is not: a drive plug bears 4.5 A for all.
A hub that does not say what feeds it is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.current import Feed, feeds, pumps_once
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.loop.model import PlacedPart
from headrace.parts.casing import Feeder
from headrace.parts.tables import connectors

CHECK = Check(
    "POWER-09",
    "Hub overloaded",
    Severity.BEFORE_POWER,
    Group.ELECTRICITY,
    what="current through its plug",
    unit="a",
)
_ROUNDING_A = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every hub that feeds something."""
    on_hub: dict[str, list[Feed]] = {}
    for feed in feeds(build.loop):
        on_hub.setdefault(feed.part, []).append(feed)
    for id_, own in on_hub.items():
        part = build.loop.part(id_)
        if isinstance(part.card, Feeder) and part.card.kind == "fan-hub":
            yield from _judge(part, part.card, own)


def _judge(hub: PlacedPart, card: Feeder, own: list[Feed]) -> Iterator[Finding | Skipped]:
    if card.fed_by is None:
        yield CHECK.skipped(hub.place, part_label(hub), f'card "{card.id}" does not say what feeds it (fed_by)')
        return
    draws = pumps_once(draw for feed in own for draw in feed.draws)
    limit_a, total_a = connectors()[card.fed_by].bears_a, sum(draw.current_a or 0.0 for draw in draws)
    lacks = dict.fromkeys(lack for feed in own for lack in feed.lacks)
    if total_a > limit_a + _ROUNDING_A:
        fix = (
            f"Move some of it to another hub or header, or feed the hub from a plug that bears more than a "
            f"{card.fed_by}, if its maker allows; power off at the wall while you rewire."
        )
        yield CHECK.finding(hub.place, part_label(hub), found=total_a, limit=limit_a, fix=fix)
    elif lacks:
        yield CHECK.skipped(hub.place, part_label(hub), "; ".join(lacks))
