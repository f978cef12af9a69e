"""
Everything that takes room in a build, as boxes, as the checks of space read it.

Answers   which bodies stand where, which of them are screwed together, what lies ahead of a face, what is not known
Assumes   fans of a stack count once: where an obstacle that says what = "fans" stands in their place, it is them
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from headrace.checks.ends import names, part_label
from headrace.errors import Place
from headrace.geometry.clearance import clearance_m, overlap_m
from headrace.geometry.solid import Box
from headrace.geometry.turn import Axis
from headrace.loop.model import Loop, PlacedPart
from headrace.loop.placed import boxes_of, fan_boxes, why_no_boxes
from headrace.parts.block import Block
from headrace.parts.casing import Feeder, Obstacle
from headrace.parts.radiator import Radiator

ROUNDING_M = 1e-9
_WAYS: dict[Axis, str] = {
    "+x": "to the front",
    "-x": "to the rear",
    "+y": "to the right",
    "-y": "to the left",
    "+z": "up",
    "-z": "down",
}
_TO_WINDOW: dict[str, Axis] = {"right": "+y", "left": "-y"}
WALLS: dict[Axis, str] = {
    "+x": "front",
    "-x": "rear",
    "+y": "right",
    "-y": "left",
    "+z": "top",
    "-z": "bottom",
}


_BESIDE_M = 0.01  # fans so near a radiator are its own
_GRAPHICS = ("gpu", "graphic")


def off_tray(loop: Loop) -> Axis | None:
    """The way that leads away from the board tray, to the window; None where nothing says where the window is."""
    return _TO_WINDOW.get("none" if loop.case is None else loop.case.window)


def way_text(loop: Loop, way: Axis) -> str:
    """A way as a cure says it: along y by the board tray, where it is known on which side that is."""
    off = off_tray(loop)
    if off is None or way[1] != off[1]:
        return _WAYS[way]
    return "away from the board tray" if way == off else "towards the board tray"


def is_graphics(part: PlacedPart) -> bool:
    """Whether a part is a block on a graphics card, as its card says in words of its own (`cools`)."""
    return isinstance(part.card, Block) and any(word in part.card.cools.lower() for word in _GRAPHICS)


@dataclass(frozen=True)
class Body:
    """One thing that takes room: a part, the fans of a stack, or a whole stack.

    `parts` are those its place hangs on, `together` the ids of all that move with it, itself first.
    """

    id: str
    label: str
    place: Place
    boxes: tuple[Box, ...]
    parts: tuple[PlacedPart, ...]
    together: tuple[str, ...] = ()

    @cached_property
    def around(self) -> Box:
        """The box around all its boxes."""
        lows, highs = zip(*((box.low, box.high) for box in self.boxes), strict=True)
        low, high = ([pick(axis) for axis in zip(*ends, strict=True)] for pick, ends in ((min, lows), (max, highs)))
        return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))

    def meets(self, room: Box) -> bool:
        """Whether any of it stands in a box."""
        return any(overlap_m(box, room) is not None for box in self.boxes)


def bodies(loop: Loop) -> tuple[Body, ...]:
    """Every body whose place and outline are known, in the order of the file; then the fans of stacks."""
    placed = [(part, boxes_of(part)) for part in loop.parts]
    found = [Body(part.id, part_label(part), part.place, boxes, (part,)) for part, boxes in placed if boxes]
    room = [body for body in found if getattr(body.parts[0].card, "what", "") == "fans"]
    for stack in loop.stacks:
        boxes = tuple(box for _, box in fan_boxes(loop, stack) if not any(body.meets(box) for body in room))
        if boxes:
            on = (loop.part(stack.radiator),)
            found.append(Body(stack.id, f'fans of stack "{stack.id}"', stack.place, boxes, on))
    return tuple(found)


def fans_beside(loop: Loop, radiator: PlacedPart) -> tuple[PlacedPart, ...]:
    """The obstacles that are the fans of a radiator: they say so, and no other radiator is nearer."""
    return tuple(part for part in loop.parts if _is_fans(part) and _radiator_of(loop, part) is radiator)


def _is_fans(part: PlacedPart) -> bool:
    return isinstance(part.card, Obstacle) and part.card.what == "fans"


def _radiator_of(loop: Loop, fans: PlacedPart) -> PlacedPart | None:
    """The radiator fans are screwed to: the one whose face is nearest theirs; what they stand deep in is another."""
    off_m: dict[str, float] = {}
    for part in loop.parts:
        if isinstance(part.card, Radiator):
            gaps = [abs(clearance_m(box, room)) for box in boxes_of(part) for room in boxes_of(fans)]
            off_m |= {part.id: round(min(gaps), 9)} if gaps and min(gaps) <= _BESIDE_M else {}
    return loop.part(min(off_m, key=lambda id_: off_m[id_])) if off_m else None


def stack_of(loop: Loop, part: PlacedPart) -> tuple[str, ...]:
    """The ids of all that moves with a part: radiators and fans of one stack, radiators first; else the part alone."""
    radiator = part if isinstance(part.card, Radiator) else _radiator_of(loop, part) if _is_fans(part) else None
    if radiator is None:
        return (part.id,)
    chains = [stack.radiators for stack in loop.stacks if radiator.id in stack.radiators]
    radiators = tuple(dict.fromkeys((radiator.id, *(id_ for chain in chains for id_ in chain))))
    return (*radiators, *(fans.id for id_ in radiators for fans in fans_beside(loop, loop.part(id_))))


def moved(loop: Loop, part: PlacedPart) -> str:
    """What moves when a part moves, as a cure calls it: radiators and fans of a stack go together."""
    return moved_together(stack_of(loop, part))


def moved_together(ids: tuple[str, ...]) -> str:
    """Parts that move as one, as a cure calls them."""
    return f"the whole stack ({names(ids)})" if ids[1:] else f'"{ids[0]}"'


def whole(loop: Loop, body: Body, found: tuple[Body, ...]) -> Body:
    """The whole stack a body is screwed to, as one body; itself where it stands alone."""
    ids = stack_of(loop, body.parts[0])
    members = [each for each in found if each.parts[0].id in ids]
    if len(members) < 2:
        return body
    boxes, parts = (tuple(thing for each in members for thing in getattr(each, name)) for name in ("boxes", "parts"))
    return Body(ids[0], body.label, body.place, boxes, parts, tuple(dict.fromkeys(each.id for each in members)))


def unplaced(loop: Loop) -> tuple[Place, str, str] | None:
    """(place, subject, reason) for the parts whose room is not known; boards and supplies without a place count not."""
    lacking = [
        part
        for part in loop.parts
        if not boxes_of(part) and not (isinstance(part.card, Feeder) and part.at_m is None and not part.card.outline_m)
    ]
    if not lacking:
        return None
    more = f", and likewise {len(lacking) - 1} more" if len(lacking) > 1 else ""
    return lacking[0].place, f"room of {names(part.id for part in lacking)}", why_no_boxes(lacking[0]) + more


def joined(loop: Loop) -> frozenset[frozenset[str]]:
    """Pairs of ids made to sit face to face: screwed or bolted together, fans and radiators, a board and all on it."""
    ends = [(joint.from_port, joint.to_port) for joint in loop.joints]
    pairs = [frozenset(port.partition(".")[0] for port in pair) for pair in ends]
    mounted = [frozenset((stack.id, radiator)) for stack in loop.stacks for radiator in stack.radiators]
    fans = [part.id for part in loop.parts if isinstance(part.card, Obstacle) and part.card.what == "fans"]
    radiators = [part.id for part in loop.parts if isinstance(part.card, Radiator)]
    boards = [part.id for part in loop.parts if isinstance(part.card, Feeder) and part.card.kind == "board"]
    seats = [(fan, radiator) for fan in fans for radiator in radiators]
    seats += [(board, part.id) for board in boards for part in loop.parts]
    return frozenset((*pairs, *mounted, *map(frozenset, seats)))


def ahead(box: Box, way: Axis, others: tuple[Body, ...]) -> Iterator[tuple[float, Body]]:
    """(gap_m, body) of all that stands before any of a box's face on one side; nothing that overlaps the box."""
    along = "xyz".index(way[1])
    for body in others:
        for other in body.boxes:
            gap_m = other.low[along] - box.high[along] if way[0] == "+" else box.low[along] - other.high[along]
            across = (i for i in range(3) if i != along)
            if gap_m >= -ROUNDING_M and all(_share_m(box, other, i) > ROUNDING_M for i in across):
                yield max(gap_m, 0.0), body


def _share_m(one: Box, other: Box, along: int) -> float:
    return min(one.high[along], other.high[along]) - max(one.low[along], other.low[along])


def memory(loop: Loop) -> tuple[PlacedPart, ...]:
    """The parts that are memory."""
    return tuple(part for part in loop.parts if isinstance(part.card, Obstacle) and part.card.what == "memory")
