"""All checks in one tuple, and the run of all of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import ModuleType

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Skipped
from headrace.checks.rules import (
    barb_stretch,
    card_length,
    chip_heat,
    collar_gap,
    coolant_care,
    coolant_limit,
    drain,
    fans_fit,
    flow_limit,
    memory_room,
    metal_refused,
    metal_step,
    open_port,
    outlet_current,
    outside_case,
    part_heat,
    parts_meet,
    port_rest,
    pump_feed,
    radiator_body,
    screw_long,
    screw_short,
    state_runs,
    stud_length,
    thread_match,
    tube_fit,
    way_in,
)
from headrace.errors import BadInput, Fault, Place
from headrace.loop.handling import Waiver
from headrace.parts.faults import nearest

RULES: tuple[ModuleType, ...] = (
    tube_fit,
    barb_stretch,
    thread_match,
    stud_length,
    collar_gap,
    open_port,
    parts_meet,
    outside_case,
    radiator_body,
    port_rest,
    memory_room,
    card_length,
    way_in,
    fans_fit,
    screw_long,
    screw_short,
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


@dataclass(frozen=True)
class Judged:
    """What the checks say of a build: findings, those somebody waived and by which waiver, and what was not judged."""

    findings: tuple[Finding, ...]
    waived: tuple[tuple[Finding, Waiver], ...]
    skipped: tuple[Skipped, ...]
    idle: tuple[Waiver, ...]  # waivers that meet no finding

    @property
    def blocked(self) -> bool:
        """True when something must be cured that nobody waived."""
        return any(finding.check.severity.blocks for finding in self.findings)


def run_checks(build: Build) -> Judged:
    """
    Run every check on a build.

    Raises BadInput for a waiver that names no check.
    """
    known = {check.id: check for check in checks()}
    faults = [_unknown(waiver, known) for waiver in build.loop.waivers if waiver.check not in known]
    if faults:
        raise BadInput(*faults)
    findings: list[Finding] = []
    waived: list[tuple[Finding, Waiver]] = []
    skipped: list[Skipped] = []
    for rule in RULES:
        run: Callable[[Build], Iterator[Finding | Skipped]] = rule.run
        for result in run(build):
            if isinstance(result, Skipped):
                skipped.append(result)
            elif (waiver := _waiver_of(result, build.loop.waivers)) is not None:
                waived.append((result, waiver))
            else:
                findings.append(result)
    used = {waiver.place for _, waiver in waived}
    idle = tuple(waiver for waiver in build.loop.waivers if waiver.place not in used)
    return Judged(tuple(findings), tuple(waived), tuple(skipped), idle)


def find_rule(id_: str) -> tuple[Check, str]:
    """A check by its id and what its file says of it. Raises BadInput for an id that is not there."""
    rules = {rule.CHECK.id: rule for rule in RULES}
    rule = rules.get(id_.upper())
    if rule is None:
        raise BadInput(Fault(Place(), "check", f'there is no check "{id_}"', "", nearest(id_.upper(), rules)))
    said = (rule.__doc__ or "").partition(": ")[2].strip()
    return rule.CHECK, said


def _waiver_of(finding: Finding, waivers: tuple[Waiver, ...]) -> Waiver | None:
    """The waiver that names this check and something in quotes in what the finding is about."""
    return next((w for w in waivers if w.check == finding.check.id and f'"{w.about}"' in finding.subject), None)


def _unknown(waiver: Waiver, known: Mapping[str, Check]) -> Fault:
    return Fault(waiver.place, "waiver", f'there is no check "{waiver.check}"', "", nearest(waiver.check, known))
