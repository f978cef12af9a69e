"""PORT-02: every port is used or closed.

A port nobody thought of is found by the coolant. Each has a run, a joint or a [[port]] table, and what a [[port]]
table screws in closes it. A part that carries water but states no port is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.ends import part_label
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped

CHECK = Check("PORT-02", "Open port", Severity.STOP, Group.PORTS, what="port")


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every port of every part, then what stands in the closed ones."""
    loop = build.loop
    for part in loop.parts:
        if part.card.passage != "none" and not part.card.port:
            yield CHECK.skipped(part.place, part_label(part), f'card "{part.card.id}" states no port (port)')
    for id_, part, port in loop.all_ports():
        if loop.used_by(id_) is None:
            thread = f"{port.thread} plug" if port.thread else "plug that fits its thread"
            fix = f'Screw a {thread} in: [[port]] at = "{id_}", use = "plug", with = ["card of the plug"]; or join it.'
            yield CHECK.finding(part.place, f'port "{id_}"', found="open", limit="a run, a joint or a plug", fix=fix)
    for use in loop.port_uses:
        last = use.with_[-1] if use.with_ else None
        if last is None:
            reason = f'what closes it is not named ([[port]] at = "{use.port}", with = ["card of the plug"])'
            yield CHECK.skipped(use.place, f'port "{use.port}" ({use.use})', reason)
        if last is not None and (last.tube or last.opens) and not any(piece.drains for piece in use.with_):
            way = f"opens into {last.opens}" if last.opens else "ends in tube"
            cure = f"a {last.opens} plug" if last.opens else "a plug or a valve"
            fix = f'Put {cure} last in "with" of port "{use.port}".'
            subject = f'port "{use.port}" ({use.use}) with fitting "{last.id}"'
            yield CHECK.finding(use.place, subject, found=f"{way}, nothing closes it", limit="a closed end", fix=fix)
