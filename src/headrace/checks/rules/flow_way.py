"""PORT-08: water enters where the maker says in.

A jet-plate block with its ports swapped is several kelvin worse, a flow sensor or filter may not work at all. The
solved flow says which way the water goes; pumps have a check of their own. Without a solution it is skipped, and so
are blocks with a jet plate, flow sensors and filters whose card marks no port.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names, part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.states import unsolved
from headrace.checks.water import STILL_M3_S
from headrace.loop.model import Joint, Loop, PlacedPart, Run
from headrace.parts.pump import Pump
from headrace.solve.solution import Solution

CHECK = Check("PORT-08", "In and out swapped", Severity.STOP, Group.PORTS, what="flow")


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every part but pumps whose card marks in or out."""
    loop = build.loop
    joined = [part for part in loop.parts if not isinstance(part.card, Pump) and _ends(loop, part)]
    marked = [part for part in joined if any(port.way != "either" for port in part.card.port)]
    if marked:
        yield from unsolved(CHECK, build)
    for part in joined:
        if part not in marked and _severity(part) is not Severity.NOTE:
            reason = f'card "{part.card.id}" does not mark which port is in and which is out (way)'
            yield CHECK.skipped(part.place, part_label(part), reason)
    for part in marked:
        yield from _judge(build, part)


def _judge(build: Build, part: PlacedPart) -> Iterator[Finding]:
    against = [(state.name, found) for state, solution in build.solutions if (found := _wrong(solution, part))]
    if against:
        (name, (port, does)), others = against[0], len(against) - 1
        more = f" (and in {others} more)" if others else ""
        marked = "out" if does == "enters" else "in"
        ends = _ends(build.loop, part)
        yield CHECK.graded(_severity(part)).finding(
            part.place,
            part_label(part),
            found=f'water {does} at "{port}" in state "{name}"{more}',
            limit=f"its card marks this port {marked}",
            fix=f'Swap what is joined at the ports of "{part.id}" ({names(ends)}), or turn the part round.',
        )


def _wrong(solution: Solution, part: PlacedPart) -> tuple[str, str] | None:
    """The first port of a part the water passes against its mark, and whether it enters or leaves there."""
    ways = {f"{part.id}.{port.name}": port.way for port in part.card.port}
    for link in solution.links:
        if link.owner == part.id and link.kind == "part" and abs(link.flow_m3_s) > STILL_M3_S:
            start, end = (link.start, link.end) if link.flow_m3_s > 0.0 else (link.end, link.start)
            if ways.get(start) == "out":
                return start, "enters"
            if ways.get(end) == "in":
                return end, "leaves"
    return None


def _ends(loop: Loop, part: PlacedPart) -> list[str]:
    """The runs and joints at a part's ports."""
    users = [loop.used_by(f"{part.id}.{port.name}") for port in part.card.port]
    return [user.id for user in users if isinstance(user, Run | Joint)]


def _severity(part: PlacedPart) -> Severity:
    """How bad it is to pass a part backwards."""
    if getattr(part.card, "jet_plate", False):
        return Severity.STOP
    working = getattr(part.card, "kind", "") in ("flow-sensor", "filter")
    return Severity.BEFORE_POWER if working else Severity.NOTE
