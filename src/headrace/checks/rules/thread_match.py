"""THREAD-01: every thread screws into one like it, from the port outwards.

A thread that nearly fits strips or wedges; a tapered one in a parallel port never reaches the O-ring and splits the
port. Ports without a stated thread, and ends that name no fitting, are skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import End, all_ends, unfitted
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.loop.model import Joint, Loop, PortId
from headrace.parts.tables import Thread, find_thread
from headrace.units import show

CHECK = Check("THREAD-01", "Threads do not fit one another", Severity.STOP, Group.PORTS, what="thread")


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every fitting against what it screws into, and both ports of every joint."""
    loop = build.loop
    for place, subject, reason in unfitted(loop):
        yield CHECK.skipped(place, subject, reason)
    for end in all_ends(loop):
        if isinstance(end.user, Joint) or end.fittings:
            yield from _chain(loop, end)


def _chain(loop: Loop, end: End) -> Iterator[Finding | Skipped]:
    """From the port outwards; of a joint, on to the other port."""
    holder, held = f'port "{end.port}"', _port_thread(loop, end.port)
    if held is None:
        yield _unknown(loop, end, end.port)
    for index, fitting in enumerate(end.fittings):
        name = f'fitting "{fitting.id}"'
        if held is not None:
            yield from _judge(end, name, fitting.thread, holder, held)
        elif index:
            found = f"{holder} opens into no thread"
            fix = f"Take away {name}, or put a fitting that opens into {fitting.thread} under it."
            yield CHECK.finding(end.place, f'{name} at "{end.port}"', found=found, limit=fitting.thread, fix=fix)
        holder, held = name, fitting.opens
    if isinstance(end.user, Joint):
        yield from _far_end(loop, end, end.user, held)


def _far_end(loop: Loop, end: End, joint: Joint, held: str | None) -> Iterator[Finding | Skipped]:
    """The other port of a joint: screwed into the last fitting, onto its second stud, or straight into the first."""
    thread = _port_thread(loop, joint.to_port)
    far = f'port "{joint.to_port}"'
    if thread is None:
        yield _unknown(loop, end, joint.to_port)
    elif not end.fittings:
        if held is not None:
            yield from _judge(end, far, thread, f'port "{joint.from_port}"', held)
    elif held is not None:
        yield from _judge(end, far, thread, f'fitting "{end.fittings[-1].id}"', held)
    elif end.fittings[-1].tube is not None:
        fix = f"Take a fitting with {thread} threads at both ends, or write a [[run]] with its tube."
        found = "the last fitting ends in tube"
        yield CHECK.finding(
            end.place, f'fitting "{end.fittings[-1].id}" before {far}', found=found, limit=thread, fix=fix
        )
    else:
        yield from _judge(end, f'fitting "{end.fittings[-1].id}"', end.fittings[-1].thread, far, thread)


def _port_thread(loop: Loop, port: PortId) -> str | None:
    return loop.port(port)[1].thread


def _unknown(loop: Loop, end: End, port: PortId) -> Skipped:
    card = loop.port(port)[0].card
    return CHECK.skipped(end.place, f'port "{port}"', f'card "{card.id}" states no thread of this port (thread)')


def _judge(end: End, screwed: str, thread: str, holder: str, held: str) -> Iterator[Finding]:
    if thread == held:
        return
    one, other = find_thread(thread), find_thread(held)
    subject = f"{screwed} in {holder}" if end.port in holder else f'{screwed} in {holder} at "{end.port}"'
    yield CHECK.finding(end.place, subject, found=_text(one), limit=_text(other), fix=_fix(one, other))


def _text(thread: Thread) -> str:
    return f"{thread.name} ({show(thread.major_m, 'major_m')}, {thread.form})"


def _fix(one: Thread, other: Thread) -> str:
    cure = f"Take a fitting with {other.name} thread, or an adapter from {other.name} to {one.name}."
    if one.form == "tapered" and other.form == "parallel":
        return f"A tapered thread wedges in a parallel port: it splits acrylic and never seats on the O-ring. {cure}"
    if one.form == "parallel" and other.form == "tapered":
        return f"A parallel thread finds no face to seal on in a tapered port. {cure}"
    if one.form == "tapered" and one.family != other.family:
        return f"They look alike but differ in pitch and taper. {cure}"
    return f"Do not force it. {cure}"
