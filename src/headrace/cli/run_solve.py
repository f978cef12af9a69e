"""`headrace solve`: balance flow, heat and air of one state or of all."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from headrace.cli.chosen import chosen_states
from headrace.cli.shown import print_faults, print_json, print_report_here
from headrace.errors import NoSolution
from headrace.loop.conditions import ALL_STATES
from headrace.loop.loader import load_build
from headrace.loop.route import stated_route


def run(words: argparse.Namespace) -> int:
    """Solve one state or all."""
    if words.cases:
        return _run_cases(words)
    from headrace.report.band import band_json
    from headrace.report.plain import fault_json, solution_json
    from headrace.report.solution import limits_exceeded, report_solution
    from headrace.solve.band import solve_band
    from headrace.solve.course import time_constant_s
    from headrace.solve.prepared import Prepared
    from headrace.solve.results import build_solution
    from headrace.solve.steady import solve_prepared

    loop = load_build(Path(words.build))
    route = stated_route(loop)
    with_band = (not words.json) if words.band is None else words.band
    found, faults, exceeded = [], [], False
    for state in chosen_states(loop, words):
        try:
            balanced = solve_prepared(Prepared.of(loop, route, state))
        except NoSolution as error:
            faults += [replace(fault, subject=f'state "{state.name}", {fault.subject}') for fault in error.faults]
            found.append({"state": state.name, "faults": [fault_json(fault) for fault in error.faults]})
            continue
        solution, constant_s = build_solution(balanced), time_constant_s(balanced)
        band = solve_band(balanced.prepared, balanced) if with_band else None
        exceeded |= limits_exceeded(loop, solution)
        if words.json:
            bands = {} if band is None else {"band": band_json(band)}
            found.append(solution_json(solution) | {"time_constant_s": constant_s} | bands)
        else:
            print_report_here(report_solution(loop, solution, band, constant_s))
    if words.json:
        print_json(found if words.state == ALL_STATES else found[0])
    else:
        print_faults(faults, as_json=False)
    return 2 if faults else int(exceeded)


def _run_cases(words: argparse.Namespace) -> int:
    """The cases of one state or of all; as without them, the state as it is decides the exit."""
    from headrace.plan.cases import solve_cases
    from headrace.report.cases import cases_json, report_cases
    from headrace.report.plain import fault_json
    from headrace.report.solution import limits_exceeded

    loop = load_build(Path(words.build))
    route = stated_route(loop)
    found, faults, exceeded = [], [], False
    for state in chosen_states(loop, words):
        try:
            cases = solve_cases(loop, route, state)
        except NoSolution as error:
            faults += [replace(fault, subject=f'state "{state.name}", {fault.subject}') for fault in error.faults]
            found.append({"state": state.name, "faults": [fault_json(fault) for fault in error.faults]})
            continue
        found.append(cases_json(cases))
        nominal = cases.nominal.solution
        exceeded |= nominal is not None and limits_exceeded(loop, nominal)
        if not words.json:
            print_report_here(report_cases(cases))
    if words.json:
        print_json(found if words.state == ALL_STATES else found[0])
    else:
        print_faults(faults, as_json=False)
    return 2 if faults else int(exceeded)
