"""All checks in one tuple, and the run of all of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from types import ModuleType

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Skipped
from headrace.checks.rules import (
    barb_stretch,
    chip_heat,
    collar_gap,
    coolant_care,
    coolant_limit,
    drain,
    flow_limit,
    metal_refused,
    metal_step,
    open_port,
    outlet_current,
    part_heat,
    pump_feed,
    state_runs,
    stud_length,
    thread_match,
    tube_fit,
)

RULES: tuple[ModuleType, ...] = (
    tube_fit,
    barb_stretch,
    thread_match,
    stud_length,
    collar_gap,
    open_port,
    pump_feed,
    drain,
    metal_refused,
    metal_step,
    coolant_care,
    outlet_current,
    state_runs,
    part_heat,
    chip_heat,
    coolant_limit,
    flow_limit,
)


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
