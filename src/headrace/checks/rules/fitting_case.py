"""PORT-12: fittings stay inside the case and clear of a panel that opens.

A side panel or window that presses on a fitting loosens it each time it is shut. Every fitting whose port lies in the
case is held against its walls, up to its first elbow; pass-throughs may go through a wall. Without a case, or a
fitting's place, collar or height, it is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.bodies import moved
from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.screwed import pieces, unplaced, up_mm
from headrace.errors import Place
from headrace.geometry.solid import Box
from headrace.geometry.turn import Axis, opposite
from headrace.loop.fitted import Piece
from headrace.loop.model import Loop, PortId
from headrace.loop.placed import inside_of, spread_m
from headrace.parts.casing import Case

CHECK = Check(
    "PORT-12",
    "Fitting meets the case",
    Severity.STOP,
    Group.PORTS,
    what="gap",
    unit="m",
    limits=("panel_gap",),
)
_WALLS: dict[str, Axis] = {"rear": "-x", "front": "+x", "left": "-y", "right": "+y", "bottom": "-z", "top": "+z"}
_ROUNDING_M = 1e-9


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every fitting against the six walls; beyond a wall is a stop, too near a panel a step milder."""
    loop, room, start = build.loop, inside_of(build.loop), Place(build.loop.file, 1, 1)
    for place, subject, reason in unplaced(loop):
        yield CHECK.skipped(place, subject, reason)
    inner = [piece for piece in pieces(loop) if room is None or _is_inside(piece, room)]
    if not inner:
        return
    if room is None or loop.case is None:
        yield CHECK.skipped(start, "fittings", "the build names no case ([case] card)")
        return
    opens = _opens(loop.case)
    if opens is None:
        yield CHECK.skipped(start, "panel", "the card of the case does not say which sides open (opens, window)")
    for (_, wall), (gap_m, piece) in _nearest(inner, room).items():
        yield from _judge(loop, piece, wall, gap_m, wall in (opens or ()))


def _judge(loop: Loop, piece: Piece, wall: str, gap_m: float, opening: bool) -> Iterator[Finding]:
    limit_m = loop.thresholds("panel_gap") if opening else 0.0
    if gap_m < limit_m - _ROUNDING_M:
        check = CHECK if gap_m < -_ROUNDING_M else CHECK.graded(Severity.BEFORE_POWER)
        thing = f"the {wall} panel, which opens" if opening else f"the {wall} of the case"
        inward = opposite(_WALLS[wall])
        yield check.finding(
            piece.part.place,
            f"fitting {piece.label} at {thing}",
            found=gap_m,
            limit=limit_m,
            spread=spread_m(loop, piece.part),
            fix=f"Move {moved(loop, piece.part)} {up_mm(limit_m - gap_m)} along {inward}, or take a smaller fitting.",
        )


def _opens(case: Case) -> tuple[str, ...] | None:
    """The sides of the case that open; None when its card does not say."""
    if case.opens is not None:
        return case.opens
    return None if case.window == "none" else (case.window,)


def _nearest(inner: list[Piece], room: Box) -> dict[tuple[PortId, str], tuple[float, Piece]]:
    """Of each port and wall, the fitting that comes nearest and its gap."""
    worst: dict[tuple[PortId, str], tuple[float, Piece]] = {}
    for piece in inner:
        for wall, gap_m in _gaps(piece, room).items():
            key = (piece.port, wall)
            worst[key] = min(worst.get(key, (gap_m, piece)), (gap_m, piece), key=lambda item: item[0])
    return worst


def _is_inside(piece: Piece, room: Box) -> bool:
    """Whether a fitting stands on a port within the case, on a part that does not pass its wall."""
    if getattr(piece.part.card, "kind", "") == "pass-through":
        return False
    ends = zip(room.low, piece.body.start, room.high, strict=True)
    return all(low - _ROUNDING_M <= at <= high + _ROUNDING_M for low, at, high in ends)


def _gaps(piece: Piece, room: Box) -> dict[str, float]:
    """From a fitting to each wall, m; below zero beyond it."""
    body = piece.body.around()
    gaps = {}
    for wall, axis in _WALLS.items():
        i = "xyz".index(axis[1])
        gaps[wall] = body.low[i] - room.low[i] if axis[0] == "-" else room.high[i] - body.high[i]
    return gaps
