"""WATER-02: every loop has a place to drain it.

Without one, each service means opening a joint over the board. A [[port]] with use = "drain" counts, and so does a
fitting that drains (a ball valve) anywhere in the loop. Whether it is low enough is another matter.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.heights import drain_ports, port_heights_m
from headrace.checks.wetted import head, owner, water_loops
from headrace.errors import Place
from headrace.loop.model import Loop, PortUse

CHECK = Check("WATER-02", "No drain", Severity.BEFORE_HANDOVER, Group.WATER, what="drain")


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every connected loop."""
    loop = build.loop
    loops = water_loops(loop)
    if not loops:
        reason = "no part is joined to another yet: there is no [[run]], [[joint]] or [[order]]"
        yield CHECK.skipped(Place(loop.file, 1, 1), "loop", reason)
    drains = {owner(port) for port in drain_ports(loop)}
    for water in loops:
        if not drains & water:
            part = head(loop, water)
            subject = f"loop of {part_label(part)}"
            found, limit = "0 drains", "at least 1"
            yield CHECK.finding(part.place, subject, found=found, limit=limit, fix=_fix(loop, water))


def _fix(loop: Loop, water: frozenset[str]) -> str:
    """Where a drain could go: the lowest port that is free or plugged, as far as heights are known."""
    free = [id_ for id_, part, _ in loop.all_ports() if part.id in water and _is_free(loop, id_)]
    if not free:
        return (
            'Put a splitter with a ball valve into the lowest run, its side port as [[port]] use = "drain"; '
            "drain only with the power off."
        )
    posture = loop.handling.posture("service")
    known = port_heights_m(loop, free, posture)
    if len(known) == len(free):
        where = f'"{min(known, key=lambda id_: known[id_])}", the lowest free port ({posture.name})'
    else:
        named = [id_ for id_ in free if "drain" in id_] or [id_ for id_ in free if "fill" not in id_] or free
        where = f'a low free port, for example "{named[0]}"'
    return f'Put a ball valve at {where}, and write it as [[port]] use = "drain"; drain only with the power off.'


def _is_free(loop: Loop, id_: str) -> bool:
    used = loop.used_by(id_)
    return used is None or (isinstance(used, PortUse) and used.use == "plug")
