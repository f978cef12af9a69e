"""PORT-10: the cards a bridge joins stand a whole number of slots apart.

Cards stand in slots, so the blocks on them cannot stand at any distance, and a bridge is made for one number of
slots. A bridge is looked at that is joined to two blocks for graphics cards or more. Cards drawn alike are compared by
their origins, others by the ports joined to the bridge. What does not say where it is, is skipped, and so is a case
that does not state its slots.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import TypeAlias

from headrace.checks.bodies import is_graphics
from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.geometry.path import Point
from headrace.loop.model import Loop, PlacedPart, PortId
from headrace.loop.placed import port_axis, port_point, spread_m
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
_ROUNDING_M = 1e-9
_SIGMAS = 1.645  # one side of a 90 % band
_Ends: TypeAlias = tuple[PortId, PortId]
_Pair: TypeAlias = tuple[PlacedPart, PlacedPart]


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every bridge."""
    loop = build.loop
    for part in loop.parts:
        cards = _joined(loop, part) if getattr(part.card, "kind", "") == "bridge" else {}
        if len(cards) < 2:
            continue
        subject = f'bridge "{part.id}" between {names(cards)}'
        pitch_m = None if loop.case is None else loop.case.slot_pitch_m
        placed = [(card, at_m) for card in map(loop.part, cards) if (at_m := card.at_m) is not None]
        if not pitch_m:
            yield CHECK.skipped(
                part.place, subject, "no case states how far its slots are apart ([case] card, slot_pitch)"
            )
        elif len(placed) < len(cards):
            nowhere = names(id_ for id_ in cards if loop.part(id_).at_m is None)
            yield CHECK.skipped(part.place, subject, f"it is not said where {nowhere} stands (at_mm)")
        else:
            along = _stacked(loop, cards, [at_m for _, at_m in placed])
            row = [card for card, _ in sorted(placed, key=lambda item: item[1][along])]
            for low, high in pairwise(row):
                yield from _judge(loop, part, (low, high), cards, along, float(pitch_m))


def _joined(loop: Loop, bridge: PlacedPart) -> dict[str, list[_Ends]]:
    """The blocks on graphics cards that are screwed to a bridge: of each, the ports (of the bridge, of the block)."""
    ends: dict[str, list[_Ends]] = {}
    for joint in loop.joints:
        for one, other in ((joint.from_port, joint.to_port), (joint.to_port, joint.from_port)):
            if loop.port(one)[0] is bridge and is_graphics(loop.port(other)[0]):
                ends.setdefault(loop.port(other)[0].id, []).append((one, other))
    return ends


def _stacked(loop: Loop, cards: dict[str, list[_Ends]], places: list[Point]) -> int:
    """The axis along which cards are stacked: where the ports of the bridge differ most, else their places."""
    own = [_on_part(loop, port) for ends in cards.values() for port, _ in ends[:1]]
    known = [point for point in own if point is not None]
    spans = [max(axis) - min(axis) for axis in zip(*(known if len(known) == len(own) else places), strict=True)]
    return spans.index(max(spans))


def _on_part(loop: Loop, port_id: PortId) -> Point | None:
    """Where a port is from the origin of its part, as that is turned."""
    part, port = loop.port(port_id)
    return None if port.at_m is None else part.turn.point(port.at_m)


def _judge(
    loop: Loop, bridge: PlacedPart, pair: _Pair, cards: dict[str, list[_Ends]], along: int, pitch_m: float
) -> Iterator[Finding | Skipped]:
    low, high = pair
    subject = f'bridge "{bridge.id}" between "{low.id}" and "{high.id}"'
    apart_m = _apart_m(loop, pair, cards, along)
    if apart_m is None:
        reason = (
            "cards of unlike outline are compared by their joined ports: where these are (at_mm, axis) is not known"
        )
        yield CHECK.skipped(bridge.place, subject, f"{reason}, or they look different ways")
        return
    slots = max(round(apart_m / pitch_m), 1)
    off_m, slack_m, spread = apart_m - slots * pitch_m, loop.thresholds("slot_slack"), spread_m(loop, *pair)
    if abs(off_m) > slack_m + _ROUNDING_M:
        unsure = abs(off_m) <= _SIGMAS * spread + _ROUNDING_M
        yield (CHECK.graded(Severity.NOTE) if unsure else CHECK).finding(
            bridge.place,
            subject,
            found=apart_m,
            limit=slots * pitch_m,
            spread=spread,
            fix=_fix(high.id, slots, off_m, f"{'-' if off_m > 0.0 else '+'}{'xyz'[along]}"),
        )


def _apart_m(loop: Loop, pair: _Pair, cards: dict[str, list[_Ends]], along: int) -> float | None:
    """How far two cards are apart: their origins where both are drawn alike, else the ports joined to the bridge."""
    low, high = pair
    places: list[Point | None] = [low.at_m, high.at_m]
    if (low.card.outline_m, low.turn) != (high.card.outline_m, high.turn):
        ports = [loop.port(cards[part.id][0][1]) for part in pair]
        if len({port_axis(*port) for port in ports} - {None}) != 1:
            return None
        places = [port_point(*port) for port in ports]
    one, other = places
    return None if one is None or other is None else abs(other[along] - one[along])


def _fix(card: str, slots: int, off_m: float, way: str) -> str:
    return (
        f'The nearest number of slots is {slots}, with {slots - 1} between the two: place "{card}" '
        f"{show(abs(off_m), 'off_m', digits=2)} along {way}, measure both again, and take a bridge for that number."
    )
