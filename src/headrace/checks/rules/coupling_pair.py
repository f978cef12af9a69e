"""TUBE-08: the two halves of a quick-release coupling fit each other.

Halves of two series do not latch, two plugs or two sockets do not either, and a half alone stays shut. A closed pair
on one card is no case for this. Joined couplings of which one does not state its half or series are skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.checks.wetted import lines, owner
from headrace.errors import Place
from headrace.loop.model import Loop, PlacedPart
from headrace.parts.vessel import Inline

CHECK = Check(
    "TUBE-08",
    "Coupling halves that do not fit",
    Severity.STOP,
    Group.TUBE,
    what="halves",
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every joint of two couplings, then every half that no other coupling is joined to."""
    loop = build.loop
    paired: set[str] = set()
    for joint in loop.joints:
        one, other = (loop.part(owner(port)) for port in (joint.from_port, joint.to_port))
        if _half(one) is not None and _half(other) is not None and (_half(one) or _half(other)):
            paired |= {one.id, other.id}
            yield from _judge(joint.place, one, other)
    for part in loop.parts:
        if _half(part) and part.id not in paired and _is_full(loop, part):
            fix = (
                f"Join its {_other(part)} of the same series to it ([[joint]]), or take a fitting in place of "
                f'"{part.id}"; '
                f"alone its valve stays shut and no water passes."
            )
            yield CHECK.finding(
                part.place,
                f'coupling "{part.id}"',
                found=f"a {_half(part)} alone",
                limit=f"a {_other(part)} on it",
                fix=fix,
            )


def _half(part: PlacedPart) -> str | None:
    """The half a coupling is, "" for one that states none; None for any other part."""
    card = part.card
    return (card.half or "") if isinstance(card, Inline) and card.kind == "coupling" else None


def _other(part: PlacedPart) -> str:
    return "socket" if _half(part) == "plug" else "plug"


def _is_full(loop: Loop, part: PlacedPart) -> bool:
    """Whether water is to pass a part: tube or another part on both sides."""
    return sum(owner(port) == part.id for line in lines(loop) for port in (line.from_port, line.to_port)) > 1


def _judge(place: Place, one: PlacedPart, other: PlacedPart) -> Iterator[Finding | Skipped]:
    subject = f'couplings "{one.id}" and "{other.id}"'
    for part in (one, other):
        keys = [key for key in ("half", "series") if not getattr(part.card, key)]
        if keys:
            reason = f'card "{part.card.id}" does not state its {" and its ".join(keys)} ({", ".join(keys)})'
            yield CHECK.skipped(place, subject, reason)
            return
    series, wanted = (getattr(part.card, "series", "") for part in (one, other))
    if series != wanted:
        fix = f'Take the {_half(other)} of series {series} in place of "{other.id}", or both halves of one series.'
        yield CHECK.finding(place, subject, found=f"series {series} and {wanted}", limit="one series", fix=fix)
    elif _half(one) == _half(other):
        fix = f"Take the {_other(one)} of series {series} in place of one of them."
        yield CHECK.finding(place, subject, found=f"two {_half(one)}s", limit="a plug and a socket", fix=fix)
