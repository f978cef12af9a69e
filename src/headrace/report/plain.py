"""Plain values for JSON: SI numbers under names with their suffix.

Answers   what `--json` prints of a solution, of findings and of an opened number
"""

from __future__ import annotations

from typing import Any

from headrace.checks.every import Judged
from headrace.checks.finding import Check, Finding
from headrace.errors import Fault, Place
from headrace.loop.thresholds import Thresholds
from headrace.report.checkpage import read_page
from headrace.solve.explain.explained import Explained
from headrace.solve.solution import Solution


def solution_json(solution: Solution) -> dict[str, Any]:
    """A solution in SI; keys are those of the design, each with its suffix."""
    closure = solution.closure
    return {
        "state": solution.state,
        "closure": {
            "mass_rel": closure.mass_rel,
            "pressure_pa": closure.pressure_pa,
            "energy_rel": closure.energy_rel,
            "passes": closure.passes,
        },
        "flow_m3_s": solution.flow_m3_s,
        "dp_pa": solution.dp_pa,
        "share_frac": solution.share_frac,
        "pressure_pa": solution.pressure_pa,
        "coolant_temp_k": solution.coolant_temp_k,
        "coolant_rise_k": solution.coolant_rise_k,
        "part_temp_k": solution.part_temp_k,
        "margin_k": solution.margin_k,
        "heat_w": solution.heat_w,
        "strength_w_k": {r.part: r.strength_w_k for r in solution.radiators},
        "air_flow_m3_s": {r.part: r.air_flow_m3_s for r in solution.radiators},
        "air_path_flow_m3_s": {air.id: air.air_flow_m3_s for air in solution.air},
        "air_in_temp_k": {r.part: r.air_in_temp_k for r in solution.radiators},
        "case_temp_k": solution.case_k,
        "case_dp_pa": solution.case_pa,
        "noise_db": solution.noise.total_db if solution.noise else None,
        "noise_by_source_db": solution.noise.level_db if solution.noise else {},
        "notes": list(solution.notes),
    }


def place_json(place: Place) -> dict[str, Any]:
    """A place in a file."""
    return {"file": place.file, "line": place.line, "column": place.column}


def fault_json(fault: Fault) -> dict[str, Any]:
    """One fault of the input."""
    return {
        "place": place_json(fault.place),
        "subject": fault.subject,
        "found": fault.found,
        "limit": fault.limit,
        "fix": fault.fix,
    }


def finding_json(finding: Finding) -> dict[str, Any]:
    """One finding; numbers in SI with the suffix in `unit`."""
    return {
        "check": finding.check.id,
        "title": finding.check.title,
        "severity": str(finding.check.severity),
        "gate": finding.gate.value,
        "place": place_json(finding.place),
        "subject": finding.subject,
        "found": finding.found,
        "limit": finding.limit,
        "spread": finding.spread,
        "unit": finding.check.unit,
        "fix": finding.fix,
    }


def checks_json(judged: Judged) -> dict[str, Any]:
    """All findings, those somebody let pass, waivers that meet none, and what could not be judged."""
    return {
        "findings": [finding_json(finding) for finding in judged.findings],
        "waived": [finding_json(f) | {"by": w.by, "reason": w.reason} for f, w in judged.waived],
        "idle_waivers": [{"check": w.check, "about": w.about, "place": place_json(w.place)} for w in judged.idle],
        "skipped": [
            {"check": s.check.id, "place": place_json(s.place), "subject": s.subject, "reason": s.reason}
            for s in judged.skipped
        ],
    }


def check_json(check: Check, limits: Thresholds) -> dict[str, Any]:
    """One check, what its page says, and its thresholds in SI."""
    return {
        "check": check.id,
        "title": check.title,
        "group": check.group.value,
        "severity": check.severity.value,
        "gate": check.waits.value,
        "page": {heading: list(paragraphs) for heading, paragraphs in read_page(check).items()},
        "limits": {name: {"value": limits(name), "mark": limits[name].mark} for name in check.limits},
    }


def explained_json(node: Explained) -> dict[str, Any]:
    """An opened number as a tree."""
    return {
        "name": node.name,
        "value": node.value,
        "unit": node.unit,
        "formulas": list(node.formulas),
        "sources": list(node.sources),
        "said": node.said,
        "closed": node.closed,
        "inputs": [explained_json(child) for child in node.inputs],
    }
