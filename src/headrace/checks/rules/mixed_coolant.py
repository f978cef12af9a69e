"""COOLANT-04: nothing unknown is left in the loop that would mix with the coolant.

Inhibitors of two coolants can gel or cancel one another, and water left over thins the mix. A file that does not say
what was in the loop before is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Gate, Group, Severity, Skipped
from headrace.checks.wetted import water_loops

CHECK = Check(
    "COOLANT-04",
    "Coolants that mix",
    Severity.BEFORE_POWER,
    Group.MATERIALS,
    what="left over",
    gate=Gate.LIQUID,
)
_FLUSH = (
    "flush with distilled water until it comes out clear, three fills at least, drain radiators by hand and write "
    "what is left ([coolant] left_over); wear gloves, and send what holds glycol where local rules say, not down the "
    "drain."
)
_THINNED = (
    "Water left in radiators thins additives and glycol: drain them by tilting, then measure the mix with a "
    "refractometer or strips and top up the dose as its maker says."
)


def run(build: Build) -> Iterator[Finding | Skipped]:
    """What was left over against what is filled in."""
    loop, left = build.loop, build.loop.coolant.left_over
    if not water_loops(loop) or left in ("nothing", "the same coolant"):
        return
    subject = f'coolant "{loop.coolant.base}"'
    if left is None:
        reason = "the file does not say what was in the loop before ([coolant] left_over)"
        yield CHECK.skipped(loop.coolant_place, subject, reason)
        return
    severity, fix = _judge(loop.coolant.base, left)
    found, limit = f"{left} is left in it", "nothing, or the same coolant"
    yield CHECK.graded(severity).finding(loop.coolant_place, subject, found=found, limit=limit, fix=fix)


def _judge(base: str, left: str) -> tuple[Severity, str]:
    """How bad it is that `left` stays under `base`, and what to do."""
    if left == "water":
        return Severity.NOTE, _THINNED
    if left == "unknown coolant" or base not in ("water", left):
        return Severity.STOP, f"What they make together nobody knows: {_FLUSH}"
    return CHECK.severity, f"Two makers' inhibitors can gel: {_FLUSH}"
