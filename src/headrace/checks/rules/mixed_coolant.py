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


def run(build: Build) -> Iterator[Finding | Skipped]:
    """What was left over against what is filled in."""
    loop, left = build.loop, build.loop.coolant.left_over
    if not water_loops(loop) or left in ("nothing", "the same coolant"):
        return
    base = loop.coolant.base
    subject = f"coolant ({base})"
    if left is None:
        reason = "the file does not say what was in the loop before ([coolant] left_over)"
        yield CHECK.skipped(loop.coolant_place, subject, reason)
    elif left == "water":
        fix = (
            "Water left in radiators thins additives and glycol: drain them by tilting, then measure the mix with a "
            "refractometer or strips and top up the dose as its maker says."
        )
        yield CHECK.graded(Severity.NOTE).finding(
            loop.coolant_place, subject, found="water is left in it", limit="nothing, or the same coolant", fix=fix
        )
    else:
        unlike = left == "unknown coolant" or base not in ("water", left)
        why = "What they make together nobody knows" if unlike else "Two makers' inhibitors can gel"
        check = CHECK.graded(Severity.STOP) if unlike else CHECK
        yield check.finding(
            loop.coolant_place,
            subject,
            found=f"{left} is left in it",
            limit="nothing, or the same coolant",
            fix=f"{why}: {_FLUSH}",
        )
