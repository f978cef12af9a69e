"""POWER-04: the lead of a pump plugs into the outlet that feeds it.

A lead that does not go in is bridged with whatever lies about, and a fan header slows or starves a pump that hangs on
it. Leads that carry signals only are not looked at. An unknown plug or lead is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.current import GOES_IN, draws_here
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.wetted import pumps
from headrace.checks.wiring import Plugged, plugged_in
from headrace.loop.model import Lead, Loop
from headrace.parts.pump import Pump

CHECK = Check("POWER-04", "Pump lead does not fit its outlet", Severity.STOP, Group.ELECTRICITY, what="plug")


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every lead a pump takes its current from."""
    loop = build.loop
    known = {pump.id for pump in pumps(loop)}
    for plugged in plugged_in(loop):
        for lead in plugged.leads:
            if lead.part in known and draws_here(loop, lead):
                yield from _judge(loop, plugged, lead)


def _judge(loop: Loop, plugged: Plugged, lead: Lead) -> Iterator[Finding | Skipped]:
    pump = loop.part(lead.part)
    ends_in = pump.card.lead if isinstance(pump.card, Pump) else None
    plug = plugged.outlet.plug
    subject = f'{part_label(pump)} at outlet "{plugged.id}"'
    lacks = [] if plug else [plugged.lack]
    if ends_in is None:
        lacks.append(f'card "{pump.card.id}" does not say what its lead ends in (lead)')
    if plug is None or ends_in is None:
        yield CHECK.skipped(lead.place, subject, " and ".join(lacks))
        return
    if plug not in GOES_IN[ends_in]:
        wanted = GOES_IN[ends_in][-1]
        fix = (
            f"Feed it from a {wanted} that bears its current, or use an adapter made for both; never bridge or cut "
            "a cable of the power supply, and have mains off while you plug."
        )
        found, limit = f"a {ends_in} lead on a {plug}", f"a {wanted}"
        yield CHECK.finding(lead.place, subject, found=found, limit=limit, fix=fix)
    elif plug == "fan header":
        fix = (
            "Move it to a pump header. If it must stay, set that header to a fixed 100 % and make sure that it never "
            "stops at idle; what the header bears, its board's manual says."
        )
        found = "a pump on a fan header, which may slow it down or stop it"
        yield CHECK.graded(Severity.BEFORE_POWER).finding(
            lead.place, subject, found=found, limit="a pump header", fix=fix
        )
