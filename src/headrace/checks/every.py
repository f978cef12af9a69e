"""All checks in one tuple, and the run of all of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import ModuleType

from headrace.checks.build import Build
from headrace.checks.finding import Check, Finding, Skipped
from headrace.checks.rules import (
    aluminium_alone,
    avoided_speed,
    barb_stretch,
    bend_radius,
    bridge_pitch,
    bypass,
    cable_reach,
    card_length,
    carried,
    chip_heat,
    collar_gap,
    connector,
    coolant_care,
    coolant_limit,
    coupling_pair,
    dew_point,
    drain,
    drain_low,
    drain_vent,
    drip_path,
    elbow_sweep,
    fan_beat,
    fans_fit,
    fill_power,
    fill_room,
    fitting_box,
    fitting_case,
    fitting_gap,
    flow_limit,
    flow_way,
    freezing,
    hub_total,
    insertion,
    joint_meet,
    least_load,
    memory_room,
    metal_area,
    metal_refused,
    metal_step,
    mixed_coolant,
    month_loss,
    near_size,
    noise_limit,
    one_tach,
    opaque_coolant,
    open_port,
    order_penalty,
    outlet_current,
    outside_case,
    over_power,
    over_room,
    part_heat,
    parts_meet,
    path_ends,
    plasticiser,
    port_rest,
    pump_backwards,
    pump_feed,
    pump_feet,
    pump_flooded,
    pump_high,
    pump_plug,
    pump_slow,
    pump_stop,
    radiator_body,
    rotary_count,
    screw_long,
    screw_short,
    seal_squeeze,
    sealed_air,
    seat_width,
    silver,
    split_share,
    splitter,
    starved_air,
    state_runs,
    straight_between,
    straight_end,
    stud_length,
    summer,
    taken_out,
    thread_match,
    thread_turns,
    tool_room,
    tube_fit,
    tube_pressure,
    tube_softens,
    warm_inlet,
    way_in,
    weakest_part,
    weight,
)
from headrace.errors import BadInput, Fault, Place
from headrace.loop.handling import Waiver
from headrace.parts.faults import nearest

RULES: tuple[ModuleType, ...] = (
    tube_fit,
    barb_stretch,
    bend_radius,
    near_size,
    straight_end,
    straight_between,
    insertion,
    coupling_pair,
    tube_pressure,
    tube_softens,
    seal_squeeze,
    path_ends,
    thread_match,
    stud_length,
    thread_turns,
    collar_gap,
    open_port,
    fitting_gap,
    fitting_box,
    elbow_sweep,
    rotary_count,
    tool_room,
    flow_way,
    joint_meet,
    bridge_pitch,
    seat_width,
    fitting_case,
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
    pump_high,
    pump_flooded,
    drain_low,
    drain_vent,
    fill_room,
    weakest_part,
    sealed_air,
    split_share,
    pump_backwards,
    bypass,
    over_power,
    pump_slow,
    metal_refused,
    metal_step,
    metal_area,
    aluminium_alone,
    silver,
    coolant_care,
    plasticiser,
    opaque_coolant,
    mixed_coolant,
    month_loss,
    freezing,
    outlet_current,
    splitter,
    one_tach,
    pump_plug,
    connector,
    cable_reach,
    least_load,
    fill_power,
    hub_total,
    state_runs,
    part_heat,
    chip_heat,
    coolant_limit,
    warm_inlet,
    summer,
    dew_point,
    pump_stop,
    order_penalty,
    starved_air,
    over_room,
    flow_limit,
    noise_limit,
    fan_beat,
    avoided_speed,
    pump_feet,
    taken_out,
    drip_path,
    carried,
    weight,
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


def find_check(id_: str) -> Check:
    """A check by its id, in letters of any case. Raises BadInput for an id that is not there."""
    known = {check.id: check for check in checks()}
    if id_.upper() not in known:
        raise BadInput(Fault(Place(), "check", f'there is no check "{id_}"', "", nearest(id_.upper(), known)))
    return known[id_.upper()]


def _waiver_of(finding: Finding, waivers: tuple[Waiver, ...]) -> Waiver | None:
    """The waiver that names this check and something in quotes in what the finding is about."""
    return next((w for w in waivers if w.check == finding.check.id and f'"{w.about}"' in finding.subject), None)


def _unknown(waiver: Waiver, known: Mapping[str, Check]) -> Fault:
    return Fault(waiver.place, "waiver", f'there is no check "{waiver.check}"', "", nearest(waiver.check, known))
