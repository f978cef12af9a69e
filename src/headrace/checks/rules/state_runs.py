"""STATE-01: the loop runs in every state of the build.

A state in which a pump pushes against a closed loop, heat meets no flow or no radiator, or nothing balances has no
temperatures to judge; every other check of heat and flow is blind there. A value that no card states is skipped.
"""

from __future__ import annotations

from collections.abc import Iterator

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Group, Severity, Skipped
from headrace.errors import Place, Unknown

CHECK = Check("STATE-01", "The loop does not run in a state", Severity.BEFORE_POWER, Group.HEAT, what="state")


def run(build: Build) -> Iterator[Finding | Skipped]:
    """Every state without a solution."""
    if not build.loop.states:
        reason = "the build has no [[state]], so neither flow nor heat is judged"
        yield CHECK.skipped(Place(build.loop.file, 1, 1), "every state", reason)
    for state, error in build.unsolved:
        subject = f'state "{state.name}"'
        for fault in error.faults:
            if isinstance(error, Unknown):
                yield CHECK.skipped(fault.place, f"{subject}, {fault.subject}", f"{fault.found}. {fault.fix}")
            else:
                found = f"{fault.subject} {fault.found}"
                yield CHECK.finding(
                    fault.place,
                    subject,
                    found=found,
                    limit=fault.limit.removeprefix("limit ") or "a loop that runs",
                    fix=fault.fix,
                )
