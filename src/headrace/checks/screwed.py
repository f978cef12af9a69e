"""
The bodies of fittings in the case and what stands near them, as the checks of ports read it.

Answers   which fittings come near which others and near which boxes, and what is not known for it
Assumes   a fitting touches the box its port stands in, and in a joint that of both ports: these are not held against it
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from headrace.checks.bodies import fans_beside, moved
from headrace.checks.ends import names, part_label
from headrace.checks.finding import Check, Severity
from headrace.errors import Place
from headrace.geometry.clearance import clearance_m
from headrace.geometry.near import pairs_within, shift_apart
from headrace.geometry.path import Point
from headrace.geometry.solid import Box, Solid
from headrace.geometry.turn import unit
from headrace.loop.fitted import Line, Piece, lines
from headrace.loop.model import Joint, Loop, PlacedPart, PortId, Stack
from headrace.loop.placed import boxes_of, fan_boxes, port_axis, port_point, spread_m
from headrace.parts.radiator import Radiator
from headrace.parts.tables import find_thread
from headrace.units import show

_INWARDS_M = 1e-6
_SLACK_M = 1e-9
_LONGEST_LIFT_M = 0.04  # two long extenders; more is no cure, common practice, no source
SLIMMEST_M = 0.016  # no collar on a G1/4 port is slimmer: trade habit, no source


@dataclass(frozen=True)
class Thing:
    """A box in the case: one of a part, or the fans of a stack on one face."""

    label: str
    part: PlacedPart
    box: Box


@dataclass(frozen=True)
class Close:
    """A fitting and what it comes near: another fitting, or a box."""

    piece: Piece
    other: Piece | Thing
    gap_m: float

    @property
    def subject(self) -> str:
        """What a message calls the pair."""
        if isinstance(self.other, Piece):
            return f"fittings {self.piece.label} and {self.other.label}"
        return f"fitting {self.piece.label} beside {self.other.label}"

    def spread_m(self, loop: Loop) -> float:
        """One standard uncertainty of the gap."""
        one, other = self.piece.part, self.other.part
        return spread_m(loop, one) if one.id == other.id else spread_m(loop, one, other)


def pieces(loop: Loop) -> tuple[Piece, ...]:
    """Every fitting whose body is known."""
    return tuple(piece for line in lines(loop) for piece in line.pieces)


def unplaced(loop: Loop, found: Iterable[Line] | None = None) -> Iterator[tuple[Place, str, str]]:
    """(place, subject, reason) of fittings whose body is not known, those of one reason together."""
    lacking = [line for line in (lines(loop) if found is None else found) if line.lack]
    if lacking and all(part.at_m is None for part in loop.parts):
        yield Place(loop.file, 1, 1), "fittings", "no part says where it stands (at_mm)"
        return
    by_reason: dict[str, list[Line]] = {}
    for line in lacking:
        by_reason.setdefault(line.lack, []).append(line)
    for reason, same in by_reason.items():
        yield same[0].part.place, f"fittings at {names(line.port for line in same)}", reason


def things(loop: Loop) -> tuple[Thing, ...]:
    """Every box in the case that is known."""
    found = [Thing(part_label(part), part, box) for part in loop.parts for box in boxes_of(part)]
    for stack in loop.stacks:
        part = loop.part(stack.radiator)
        found += [Thing(f'fans of stack "{stack.id}" at {face}', part, box) for face, box in fan_boxes(loop, stack)]
    return tuple(found)


def unboxed(loop: Loop) -> Iterator[tuple[Place, str, str]]:
    """(place, subject, reason) of what takes room nobody states, when there are fittings to hold against it."""
    if not pieces(loop):
        return
    unknown = [part for part in loop.parts if part.at_m is None or not part.card.outline_m]
    if unknown:
        reason = "where it stands (at_mm) or the room it takes (outline_mm on its card) is not stated"
        yield unknown[0].place, f"part {names(part.id for part in unknown)}", reason
    for stack in loop.stacks:
        if stack.fan is not None and not stack.fans_at and not _has_obstacle(loop, stack):
            yield stack.place, f'fans of stack "{stack.id}"', "it is not said on which face they are (fans_at)"


def _has_obstacle(loop: Loop, stack: Stack) -> bool:
    """Whether an obstacle beside its radiators stands for the fans."""
    return any(fans_beside(loop, loop.part(id_)) for id_ in stack.radiators)


def graded(check: Check, gap_m: float) -> Check:
    """A check of gaps for one gap: what overlaps is as bad as the check says, what is only too near waits for power."""
    return check if gap_m < -_SLACK_M else check.graded(Severity.BEFORE_POWER)


@lru_cache(maxsize=4096)
def _gap_m(one: Solid, other: Solid) -> float:
    """Clearance of two bodies, m; kept, since several checks ask for it."""
    return clearance_m(one, other)


def near_fittings(loop: Loop, reach_m: float) -> list[Close]:
    """Fittings of two ports less than `reach_m` apart; of each two ports the closest pair, in the order of port ids."""
    bodies = pieces(loop)
    rows: dict[tuple[str, str], Close] = {}
    boxes = [piece.body.around() for piece in bodies]
    for i, j in pairs_within(boxes, boxes, reach_m):
        one, other = bodies[i], bodies[j]
        if one.port < other.port:
            close = Close(one, other, _gap_m(one.body, other.body))
            _keep(rows, (one.port, other.port), close, reach_m)
    return [rows[key] for key in sorted(rows)]


def near_things(loop: Loop, reach_m: float) -> list[Close]:
    """Fittings less than `reach_m` from a box they do not stand on; of each port and thing the closest."""
    bodies, around = pieces(loop), things(loop)
    seats = {piece.port: stood_on(loop, piece.port) for piece in bodies}
    rows: dict[tuple[str, str], Close] = {}
    for i, j in pairs_within([p.body.around() for p in bodies], [t.box for t in around], reach_m):
        piece, thing = bodies[i], around[j]
        if (thing.part.id, thing.box) not in seats[piece.port]:
            _keep(rows, (piece.port, thing.label), Close(piece, thing, _gap_m(piece.body, thing.box)), reach_m)
    return [rows[key] for key in sorted(rows)]


def _keep(rows: dict[tuple[str, str], Close], key: tuple[str, str], close: Close, reach_m: float) -> None:
    if close.gap_m < reach_m - _SLACK_M and (key not in rows or close.gap_m < rows[key].gap_m):
        rows[key] = close


def stood_on(loop: Loop, port_id: PortId) -> set[tuple[str, Box]]:
    """The boxes what is screwed into a port touches by its nature, with their parts."""
    user = loop.used_by(port_id)
    ends = (user.from_port, user.to_port) if isinstance(user, Joint) else (port_id,)
    return {(loop.port(end)[0].id, box) for end in ends for box in _behind(loop, end)}


def _behind(loop: Loop, port_id: PortId) -> tuple[Box, ...]:
    """The boxes just behind a port, else the nearest of its part; all of its part where the port is not known."""
    part, port = loop.port(port_id)
    boxes, point, axis = boxes_of(part), port_point(part, port), port_axis(part, port)
    if point is None or axis is None or not boxes:
        return boxes
    way = unit(axis)
    inward: Point = tuple(p - _INWARDS_M * w for p, w in zip(point, way, strict=True))  # type: ignore[assignment]
    here = tuple(box for box in boxes if _distance_m(inward, box) <= _SLACK_M)
    return here or (min(boxes, key=lambda box: _distance_m(inward, box)),)


def _distance_m(point: Point, box: Box) -> float:
    gaps = (max(low - p, p - high, 0.0) for p, low, high in zip(point, box.low, box.high, strict=True))
    return math.hypot(*gaps)


def up_mm(length_m: float) -> str:
    """A length as text, rounded up to a tenth of a millimetre so that it is enough."""
    return show(math.ceil(length_m * 1e4 - 1e-4) / 1e4, "length_m")


def down_mm(length_m: float) -> str:
    """A length as text, rounded down to a tenth of a millimetre so that it is not too much."""
    return show(math.floor(length_m * 1e4 + 1e-4) / 1e4, "length_m")


def cures(loop: Loop, close: Close, gap_m: float) -> str:
    """What makes room for `gap_m`, as the start of a sentence: who moves how far, which collar or extender fits."""
    ways = []
    one, other = close.piece, close.other
    body, room = one.body.around(), other.body.around() if isinstance(other, Piece) else other.box
    if isinstance(other, Thing) and _fans_of(loop, one.part, other.part):
        ways.append(f'put the fans on the other face of "{one.part.id}", or join another of its ports')
    elif one.part.id != other.part.id:
        axis, far = shift_apart(room, body, gap_m)
        theirs, ours = moved(loop, other.part), moved(loop, one.part)
        ways.append(f"move {theirs} {up_mm(far)} along {axis} (or {ours} the other way)")
    ways += _slimmer(close, gap_m)
    ways = ways or ["join another port, or take a shorter or slimmer fitting or another part"]
    text = ", or ".join(ways)
    return text[0].upper() + text[1:]


def _fans_of(loop: Loop, part: PlacedPart, other: PlacedPart) -> bool:
    """Whether `other` is the fans of a radiator: they are screwed to it, neither moves alone."""
    return isinstance(part.card, Radiator) and (other.id == part.id or other in fans_beside(loop, part))


def _slimmer(close: Close, gap_m: float) -> list[str]:
    """A slimmer fitting, or a slim extender that lifts the collar past a box, where the thread leaves any."""
    piece = close.piece
    room = close.other.body.around() if isinstance(close.other, Piece) else close.other.box
    slim_m = 2 * (_apart_m(piece, room) - gap_m)
    if slim_m < max(find_thread(piece.fitting.thread).major_m, SLIMMEST_M) - _SLACK_M:
        return []
    ways = [f'take a fitting for "{piece.port}" whose collar is {down_mm(slim_m)} or less']
    if isinstance(close.other, Thing):
        lift_m = _past(piece, room) + gap_m
        if lift_m <= _LONGEST_LIFT_M:
            ways.append(
                f"lift it with an extender of at least {up_mm(lift_m)} whose collar is {down_mm(slim_m)} or less"
            )
    return ways


def _apart_m(piece: Piece, room: Box) -> float:
    """Distance of the middle line of a fitting from a box, seen along that line."""
    along, at = "xyz".index(piece.axis[1]), piece.body.start
    gaps = (max(room.low[i] - at[i], at[i] - room.high[i], 0.0) for i in range(3) if i != along)
    return math.hypot(*gaps)


def _past(piece: Piece, box: Box) -> float:
    """How far along its axis a fitting goes until its seat is past a box."""
    along, seat = "xyz".index(piece.axis[1]), piece.body.start
    return box.high[along] - seat[along] if piece.axis[0] == "+" else seat[along] - box.low[along]
