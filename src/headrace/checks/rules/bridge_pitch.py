"""PORT-10: the cards a bridge joins stand a whole number of slots apart.

Cards stand in slots, so the blocks on them cannot stand at any distance, and a bridge is made for one number of
slots. A bridge is looked at that is joined to two blocks for graphics cards or more; where the case does not state
its slots, or a block its place, it is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.geometry.path import Point
from headrace.loop.model import Loop, PlacedPart
from headrace.loop.placed import spread_m
from headrace.parts.block import Block
from headrace.units import show

CHECK = Check(
    "PORT-10",
    "Bridge does not fit the slots",
    Severity.STOP,
    Group.PORTS,
    what="distance of the cards",
    unit="m",
    digits=2,
    limits=("slot_slack",),
)
_GRAPHICS = ("gpu", "graphic")
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every bridge."""
    loop = build.loop
    for part in loop.parts:
        cards = _joined(loop, part) if getattr(part.card, "kind", "") == "bridge" else []
        if len(cards) < 2:
            continue
        subject = f'bridge "{part.id}" between {names(card.id for card in cards)}'
        pitch_m = None if loop.case is None else loop.case.slot_pitch_m
        placed = [(card, card.at_m) for card in cards if card.at_m is not None]
        if not pitch_m:
            yield CHECK.skipped(
                part.place, subject, "no case states how far its slots are apart ([case] card, slot_pitch)"
            )
        elif len(placed) < len(cards):
            nowhere = names(card.id for card in cards if card.at_m is None)
            yield CHECK.skipped(part.place, subject, f"it is not said where {nowhere} stands (at_mm)")
        else:
            yield from _judge(loop, part, placed, float(pitch_m))


def _joined(loop: Loop, bridge: PlacedPart) -> list[PlacedPart]:
    """The blocks for graphics cards that are screwed to a bridge."""
    ids = set()
    for joint in loop.joints:
        one, other = (port.partition(".")[0] for port in (joint.from_port, joint.to_port))
        if bridge.id in (one, other):
            ids |= {one, other}
    blocks = [part for part in loop.parts if part.id in ids and isinstance(part.card, Block)]
    return [part for part in blocks if any(word in part.card.cools.lower() for word in _GRAPHICS)]  # type: ignore[attr-defined]


def _judge(loop: Loop, bridge: PlacedPart, placed: list[tuple[PlacedPart, Point]], pitch_m: float) -> Iterator[Finding]:
    spans = [max(at[i] for _, at in placed) - min(at[i] for _, at in placed) for i in range(3)]
    along = spans.index(max(spans))
    placed = sorted(placed, key=lambda item: item[1][along])
    for (low, at_low), (high, at_high) in pairwise(placed):
        apart_m = at_high[along] - at_low[along]
        slots = max(round(apart_m / pitch_m), 1)
        off_m = apart_m - slots * pitch_m
        if abs(off_m) > loop.thresholds("slot_slack") + _ROUNDING_M:
            yield CHECK.finding(
                bridge.place,
                f'bridge "{bridge.id}" between "{low.id}" and "{high.id}"',
                found=apart_m,
                limit=slots * pitch_m,
                spread=spread_m(loop, low, high),
                fix=_fix(high.id, slots, off_m, f"{'-' if off_m > 0.0 else '+'}{'xyz'[along]}"),
            )


def _fix(card: str, slots: int, off_m: float, way: str) -> str:
    return (
        f'The nearest number of slots is {slots}, with {slots - 1} between the two: place "{card}" '
        f"{show(abs(off_m), 'off_m', digits=2)} along {way}, measure both again, and take a bridge for that number."
    )
