"""
The arm of an elbow as a body that can turn: how far it reaches, with what is screwed into it.

Answers   the arm of each line of fittings that ends in an elbow, and what is not known for it
Assumes   the arm leaves half a collar below the top of the body and is as thick as its collar; what follows stands in
          line with the arm, up to the next elbow and that one
"""

from __future__ import annotations

from headrace.geometry.sweep import Arm
from headrace.geometry.turn import unit
from headrace.loop.fitted import Line


def arm_of(line: Line, *, alone: bool = False) -> Arm | str:
    """The arm of a line that ends in an elbow, `alone` without what is screwed into it; else what is not known."""
    elbow = line.elbow
    if elbow is None:
        return line.lack
    fitting, radius = elbow.fitting, elbow.body.radius_m
    if fitting.arm_m is None:
        return f'card "{fitting.id}" states no length of its arm (arm)'
    bars = [(float(fitting.arm_m), radius)]
    for piece in () if alone else line.beyond:
        keys = [key for key, value in (("collar", piece.collar_m), ("height", piece.height_m)) if value is None]
        if keys or piece.collar_m is None or piece.height_m is None:
            return f'card "{piece.id}" states no {" and no ".join(keys)} ({", ".join(keys)})'
        bars.append((float(piece.height_m), float(piece.collar_m) / 2))
        if piece.turn_rad:
            break
    x, y, z = unit(elbow.axis)
    top = elbow.body.end
    pivot = (top[0] - radius * x, top[1] - radius * y, top[2] - radius * z)
    return Arm(pivot, elbow.axis, float(fitting.turn_rad or 0.0), tuple(bars))
