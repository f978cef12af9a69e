"""SPACE-07: every part comes in and out in a straight line through an open side of the case.

Parts that stand before one another on every open side go in only together, or not at all. Each is drawn to each open
side; what is left when no more comes out is named. A case that does not say which sides open is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.bodies import WALLS, Body, ahead, bodies, unplaced
from headrace.checks.build import Build
from headrace.checks.ends import names
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.geometry.turn import Axis
from headrace.loop.placed import inside_of
from headrace.parts.casing import Case

CHECK = Check(
    "SPACE-07",
    "Parts that block one another's way out",
    Severity.STOP,
    Group.SPACE,
    what="parts",
)
_SIDES: dict[str, Axis] = {wall: way for way, wall in WALLS.items()}
Blockers = dict[tuple[str, Axis], frozenset[str]]


def run(build: Build) -> Iterator[Finding | Skipped]:
    """All parts of the case together."""
    loop = build.loop
    lacking, inside, found = unplaced(loop), inside_of(loop), bodies(loop)
    if lacking is not None:
        yield CHECK.skipped(*lacking)
    if loop.case is None or inside is None:
        if found:
            yield CHECK.skipped(found[0].place, "the case", "the build names no case (card, under [case])")
        return
    sides = _open_sides(loop.case)
    within = tuple(body for body in found if body.meets(inside))
    if within and not sides:
        reason = f'card "{loop.case.id}" does not say which sides open (opens, or window)'
        yield CHECK.skipped(within[0].place, "the case", reason)
    elif within:
        yield from _judge(within, sides)


def _open_sides(case: Case) -> tuple[Axis, ...]:
    if case.opens is not None:
        return tuple(_SIDES[side] for side in case.opens)
    return tuple(_SIDES[side] for side in (case.window,) if side in _SIDES)


def _judge(within: tuple[Body, ...], sides: tuple[Axis, ...]) -> Iterator[Finding]:
    before = {(body.id, side): _blockers(body, side, within) for body in within for side in sides}
    stuck = _stuck(frozenset(body.id for body in within), sides, before)
    held = [body for body in within if body.id in stuck]
    if held:
        said = " ".join(
            f'To the {WALLS[side]}, {names(sorted(before[body.id, side] & stuck))} stands before "{body.id}".'
            for body in held
            for side in sides
        )
        fix = f"{said} Move or turn one of them so that it leaves on its own, or take the case apart there."
        subject = f"parts {names(body.id for body in held)}"
        limit = f"a straight way out to the {' or the '.join(WALLS[side] for side in sides)}"
        yield CHECK.finding(held[0].place, subject, found=f"{len(held)} block one another", limit=limit, fix=fix)


def _blockers(body: Body, side: Axis, within: tuple[Body, ...]) -> frozenset[str]:
    """What stands between a body and a side."""
    others = tuple(other for other in within if other is not body)
    return frozenset(other.id for box in body.boxes for _, other in ahead(box, side, others))


def _stuck(ids: frozenset[str], sides: tuple[Axis, ...], before: Blockers) -> frozenset[str]:
    """What is left when everything that can has left, without those that only stand behind it."""
    while free := {id_ for id_ in ids if any(not before[id_, side] & ids for side in sides)}:
        ids -= free
    while idle := {id_ for id_ in ids if not any(id_ in before[other, side] for other in ids for side in sides)}:
        ids -= idle
    return ids
