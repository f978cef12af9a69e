"""All checks in one tuple, and the run of all of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from types import ModuleType

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Skipped
from headrace.checks.rules import collar_gap

RULES: tuple[ModuleType, ...] = (collar_gap,)


def checks() -> tuple[Check, ...]:
    """Every check, in the order they run."""
    return tuple(rule.CHECK for rule in RULES)


def run_checks(build: Build) -> tuple[list[Finding], list[Skipped]]:
    """Run every check on a build: what was found, and what could not be judged."""
    findings: list[Finding] = []
    skipped: list[Skipped] = []
    for rule in RULES:
        run: Callable[[Build], Iterator[Finding | Skipped]] = rule.run
        for result in run(build):
            if isinstance(result, Finding):
                findings.append(result)
            else:
                skipped.append(result)
    return findings, skipped
