"""
What is screwed into ports, as bodies in the case: the collars in line with each port, and the elbow that ends the line.

Answers   which room fittings take, and what is not known for it
Assumes   fittings stand from the port outwards along its axis; the line ends with the first that turns. `height` counts
          from the seat to the top of the body, and the arm of an elbow leaves half a collar below that
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from headrace.geometry.path import Point
from headrace.geometry.solid import Cylinder
from headrace.geometry.turn import Axis, unit
from headrace.loop.model import Joint, Loop, PlacedPart, PortId, Run
from headrace.loop.placed import port_axis, port_point, why_no_port
from headrace.parts.tube import Fitting


@dataclass(frozen=True)
class Piece:
    """One fitting in line with a port: the room its body takes."""

    fitting: Fitting
    part: PlacedPart
    port: PortId
    axis: Axis
    body: Cylinder

    @property
    def label(self) -> str:
        """What a message calls it."""
        return f'"{self.fitting.id}" at "{self.port}"'


@dataclass(frozen=True)
class Line:
    """The fittings in line with a port, as far as they are known; `lack` says what ends the knowledge early."""

    port: PortId
    part: PlacedPart
    pieces: tuple[Piece, ...]
    beyond: tuple[Fitting, ...]  # what follows the elbow, in the way of its arm
    lack: str

    @property
    def elbow(self) -> Piece | None:
        """The fitting that turns, when the line ends in one."""
        return self.pieces[-1] if self.pieces and self.pieces[-1].fitting.turn_rad else None


def lines(loop: Loop) -> Iterator[Line]:
    """The line of fittings at every used port; a joint's fittings stand at the port it is written from."""
    for port_id, part, _ in loop.all_ports():
        used = loop.used_by(port_id)
        if used is None or (isinstance(used, Joint) and used.to_port == port_id):
            continue
        if loop.fittings_at(port_id) or not isinstance(used, Joint):
            yield line_at(loop, port_id, part)


def line_at(loop: Loop, port_id: PortId, part: PlacedPart) -> Line:
    """The fittings in line with one port."""
    port = loop.port(port_id)[1]
    point, axis = port_point(part, port), port_axis(part, port)
    if point is None or axis is None:
        return Line(port_id, part, (), (), why_no_port(loop, port_id))
    return line_from(loop, port_id, point, axis)


def line_from(loop: Loop, port_id: PortId, point: Point, axis: Axis) -> Line:
    """The fittings in line with one port from a point along an axis, in whichever frame these are given."""
    part, fittings = loop.port(port_id)[0], loop.fittings_at(port_id)
    if not fittings:
        return Line(port_id, part, (), (), f'no fitting is named at "{port_id}" (from_with, to_with or with)')
    pieces: list[Piece] = []
    seat = point
    for index, fitting in enumerate(fittings):
        keys = [key for key, value in (("collar", fitting.collar_m), ("height", fitting.height_m)) if value is None]
        if keys or fitting.collar_m is None or fitting.height_m is None:
            lack = f'card "{fitting.id}" states no {" and no ".join(keys)} ({", ".join(keys)})'
            return Line(port_id, part, tuple(pieces), (), lack)
        top = _beyond(seat, axis, float(fitting.height_m))
        body = Cylinder(seat, top, float(fitting.collar_m) / 2)
        pieces.append(Piece(fitting, part, port_id, axis, body))
        if fitting.turn_rad:
            return Line(port_id, part, tuple(pieces), fittings[index + 1 :], "")
        seat = top
    return Line(port_id, part, tuple(pieces), (), "")


def tube_beyond(loop: Loop, line: Line) -> Cylinder | None:
    """The tube that leaves a line of fittings straight, as far as it is thick; None where no tube ends in its axis."""
    used = loop.used_by(line.port)
    if line.lack or line.elbow is not None or not isinstance(used, Run):
        return None
    last, outside_m = line.pieces[-1], float(used.tube.outside_m)
    return Cylinder(last.body.end, _beyond(last.body.end, last.axis, outside_m), outside_m / 2)


def _beyond(point: Point, axis: Axis, distance_m: float) -> Point:
    way = unit(axis)
    return (point[0] + distance_m * way[0], point[1] + distance_m * way[1], point[2] + distance_m * way[2])
