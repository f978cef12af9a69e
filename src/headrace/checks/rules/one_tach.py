"""POWER-03: each header gets one speed signal, and the board sees every pump turn.

Two signals on one wire read as nonsense, and an alarm on them is worthless. A pump whose signal reaches no board may
stop unseen. Where an outlet has several leads and does not say which brings the signal, it is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import names, part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.wetted import pumps
from headrace.checks.wiring import Plugged, feeder_kind, plugged_in
from headrace.loop.model import Loop, PlacedPart

CHECK = Check("POWER-03", "One speed signal per header", Severity.BEFORE_POWER, Group.ELECTRICITY, what="signals")


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every outlet of a board or hub in use, then every pump."""
    for plugged in plugged_in(build.loop):
        if plugged.kind != "power-supply":
            yield from _judge(plugged)
    for pump in pumps(build.loop):
        yield from _seen(build.loop, pump)


def _judge(plugged: Plugged) -> Iterator[Finding | Skipped]:
    subject = f'outlet "{plugged.id}" with {names(lead.part for lead in plugged.leads)}'
    stated = [lead.part for lead in plugged.leads if lead.tach]
    unsaid = [lead.part for lead in plugged.leads if lead.tach is None]
    if len(stated) > 1:
        fix = (
            f"Keep the speed signal of {names(stated[:1])} and cut off the others with a splitter that passes one only "
            "(tach = false), or give each a header of its own; power off at the wall while you plug."
        )
        yield CHECK.finding(plugged.place, subject, found=f"{len(stated)} speed signals", limit="one", fix=fix)
    elif unsaid and len(plugged.leads) > 1:
        reason = f"the [[lead]] of {names(unsaid)} does not say whether it brings a speed signal (tach)"
        yield CHECK.skipped(plugged.place, subject, reason)


def _seen(loop: Loop, pump: PlacedPart) -> Iterator[Finding]:
    """A note on a pump that has leads, none of which can bring its speed to a board."""
    own = [lead for lead in loop.leads if lead.part == pump.id]
    if own and not any(feeder_kind(loop, lead) == "board" and lead.tach is not False for lead in own):
        fix = (
            "Lead its speed signal to a header of the board, tach = true, and let the board stop the machine when it "
            "falls silent: without flow a chip is too hot within a minute."
        )
        found, limit = "no speed signal reaches a board", "one"
        yield CHECK.graded(Severity.NOTE).finding(own[0].place, part_label(pump), found=found, limit=limit, fix=fix)
