"""Plain values for JSON: SI numbers under names with their suffix.

Answers   what `--json` prints of a solution, of faults and of an opened number
"""

from __future__ import annotations

from typing import Any

from headrace.errors import Fault, Place
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
